"""Published and exact check values kept as data: reading ``shared/*.toml`` and asking our functions for the same.

Each file holds one source::

    title = "what the source is"

    [[check]]
    id = "butt-s1-inch-trap"                        # unique over all files
    function = "cutplan.welding.shrinkage.across.butt_spraragen_mm"
    inputs = { area_mm2 = 64.516, thickness_mm = 12.7, gap_mm = 3.175 }
    value = 1.175
    unit = "mm"
    tolerance = 0.0005                              # half a unit of the source's last digit, in the unit of value
    source = "author, title, place"
    tag = "second hand"                             # how the value was seen, see TAGS
    shows = "entered"                               # what agreement shows, see SHOWS
    note = "optional"

Optional: ``field`` names an attribute of the result or an index into a tuple; ``times`` multiplies our result before
the comparison (a change of unit); ``refused = true`` in place of ``value`` says that the function must raise.
An input table ``steel`` becomes ``SteelProperties`` with those fields changed.
"""

from __future__ import annotations

import dataclasses
import importlib
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

#: How the value was seen: worked by hand from mathematics or physics; printed in a handbook, a maker's manual or a
#: course that was at hand; quoted, transcribed or copied by somebody else; recalled.
TAGS = ("exact", "handbook", "second hand", "memory")
#: What agreement shows: that our computation is right; that a source's formula was entered right (not that nature
#: follows it); that our table was copied right; nothing but a fit, since a constant of ours was set to meet the value.
SHOWS = ("agrees", "entered", "copied", "fitted")
_KNOWN = {
    "id",
    "function",
    "inputs",
    "value",
    "unit",
    "tolerance",
    "source",
    "tag",
    "shows",
    "note",
    "field",
    "times",
    "refused",
}
SHARED = Path(__file__).resolve().parent.parent / "shared"


@dataclass(frozen=True)
class Check:
    """One value of a source and how to ask for ours."""

    id: str
    function: str
    inputs: dict[str, Any]
    value: float
    unit: str
    tolerance: float
    source: str
    tag: str
    shows: str
    note: str = ""
    field: str = ""
    times: float = 1.0
    refused: bool = False
    file: str = dataclasses.field(default="", compare=False)

    def ours(self) -> float:
        """Return our number for this check."""
        module, _, name = self.function.rpartition(".")
        call = getattr(importlib.import_module(module), name)
        inputs = dict(self.inputs)
        if isinstance(inputs.get("steel"), dict):
            from cutplan.tables.steel import SteelProperties

            inputs["steel"] = SteelProperties(**inputs["steel"])
        result = call(**inputs)
        for step in filter(None, self.field.split(".")):
            result = result[int(step)] if step.isdigit() else getattr(result, step)
        return float(result) * self.times

    @property
    def difference(self) -> float:
        """Ours minus theirs [unit of value]."""
        return self.ours() - self.value

    @property
    def agrees(self) -> bool:
        """Whether ours is within the source's rounding."""
        return abs(self.difference) <= self.tolerance * (1.0 + 1e-9)


def read_entry(entry: dict[str, Any], file: str) -> Check:
    """Return a check from one ``[[check]]`` table; raise ValueError for anything missing, empty or unknown."""
    label = f"{file}: {entry.get('id', '(no id)')}"
    unknown = set(entry) - _KNOWN
    if unknown:
        raise ValueError(f"{label}: unknown keys {sorted(unknown)}")
    refused = bool(entry.get("refused", False))
    needed = ["id", "function", "inputs", "source", "tag", "shows"] + (
        [] if refused else ["value", "unit", "tolerance"]
    )
    for key in needed:
        if entry.get(key) in (None, ""):
            raise ValueError(f"{label}: {key} is missing")
    if entry["tag"] not in TAGS:
        raise ValueError(f"{label}: tag must be one of {TAGS}")
    if entry["shows"] not in SHOWS:
        raise ValueError(f"{label}: shows must be one of {SHOWS}")
    if not refused and not entry["tolerance"] >= 0.0:
        raise ValueError(f"{label}: tolerance must not be negative")
    rest = {k: v for k, v in entry.items() if k not in ("value", "tolerance")}
    rest.setdefault("unit", "")
    value, tolerance = float(entry.get("value", "nan")), float(entry.get("tolerance", 0.0))
    return Check(value=value, tolerance=tolerance, file=file, **rest)


def read_file(path: Path) -> tuple[Check, ...]:
    """Return the checks of one file."""
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    if not data.get("title"):
        raise ValueError(f"{path.name}: title is missing")
    return tuple(read_entry(entry, path.name) for entry in data.get("check", ()))


def read_all(folder: Path = SHARED) -> tuple[Check, ...]:
    """Return the checks of all files, by file name and in the order written."""
    return tuple(check for path in sorted(folder.glob("*.toml")) for check in read_file(path))
