"""The drawing that a job names, as plain data for a screen: its unit with the reason, its parts, and every doubt."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

from cutplan.errors import CutplanError, JobError
from cutplan.files.drawing_in import Drawing
from cutplan.files.job.plate import drawing_of, inside
from cutplan.findings import Finding, errors
from cutplan.project.desk import shapes
from cutplan.project.desk.live import problems, told
from cutplan.texts import ENGLISH, Message, Reader, say
from cutplan.texts.values import Listing, Place

#: Findings that make the unit a question.
_DOUBTFUL = ("units-asked", "units-from-numbers", "units-contradict-header", "units-questionable")
_OTHER = {"mm": ("in", 25.4), "in": ("mm", 1.0 / 25.4)}
#: Most parts that are drawn on the screen.
_MOST_PARTS = 60


def drawing_view(data: Mapping[str, Any], folder: Path, read: Reader = ENGLISH) -> dict[str, Any]:
    """Return what the drawing of a job holds, whether the job can be read or not.

    Parameters
    ----------
    data : mapping
        The parsed job file.
    folder : Path
        The job's folder; the drawing must lie in it.
    read : Reader
        Whose words are used.

    Returns
    -------
    dict
        ``name``; ``units`` with the reason, whether it is doubtful and what the other unit would make of the size;
        ``parts``; ``findings``, each with its places [mm]; ``repairs``, what would be mended if that is accepted.
        ``problems`` when the drawing cannot be read at all; nothing but an empty name when there is none.
    """
    plate = data.get("plate")
    plate = plate if isinstance(plate, Mapping) else {}
    name = plate.get("drawing")
    if not isinstance(name, str):
        return {"name": ""}
    stated = plate.get("drawing_units")
    units: Literal["mm", "in"] | None = "mm" if stated == "mm" else "in" if stated == "in" else None
    layers = plate.get("layers")
    wanted = tuple(str(x) for x in layers) if isinstance(layers, list) else None
    repair = plate.get("repair") is True
    path = inside(folder, name)
    known: dict[str, Any] = {"name": name, "problems": [], "repair": repair}
    try:
        if path is None:
            raise JobError(say("the drawing leads outside the job's folder"), name, say("put it beside the job file"))
        drawing = drawing_of(path, units, repair, wanted)
        mended: Drawing | None = None
        if errors(drawing.findings) and not repair:
            mended = drawing_of(path, units, True, wanted)
    except CutplanError as error:
        known["problems"] = problems(error, read)
        return known
    known["units"] = _units(drawing, units, read)
    known["parts"] = [_part(p) for p in drawing.parts[:_MOST_PARTS]]
    known["findings"] = [placed(f, read) for f in drawing.findings]
    known["repairs"] = _repairs(drawing, mended, read)
    return known


def _units(drawing: Drawing, stated: str | None, read: Reader) -> dict[str, Any]:
    units = drawing.units
    name = "in" if abs(units.mm_per_unit - 25.4) < 1e-9 else "mm" if units.mm_per_unit == 1.0 else units.name
    other, factor = _OTHER.get(name, ("mm", 1.0 / units.mm_per_unit))
    return {
        "name": name,
        "reason": read(units.reason),
        "stated": stated or "",
        "doubtful": stated is None and any(f.code in _DOUBTFUL for f in drawing.findings),
        "other": other,
        "factor": factor,
    }


def _part(part: Any) -> dict[str, Any]:
    region = part.region
    return {
        "outline": shapes.segments(region.outer.segments),
        "box": shapes.box(region.box),
        "size_mm": [shapes.number(region.box.width), shapes.number(region.box.height)],
        "holes": [shapes.hole(h) for h in region.holes],
    }


def _repairs(drawing: Drawing, mended: Drawing | None, read: Reader) -> dict[str, Any] | None:
    """What accepting the repairs would do: possible or not, and each mending; None when nothing needs it."""
    if mended is None:
        return None
    before = {(f.code, str(f.message)) for f in drawing.findings}
    fresh = [f for f in mended.findings if (f.code, str(f.message)) not in before and f.severity != "note"]
    return {
        "possible": mended.sound,
        "list": [placed(f, read) for f in fresh],
        "parts": [_part(p) for p in mended.parts[:_MOST_PARTS]],
    }


def placed(finding: Finding, read: Reader = ENGLISH) -> dict[str, Any]:
    """Return a finding as plain data with the places [mm] that it speaks of."""
    return {**told(finding, read), "places": [[p.x_mm, p.y_mm] for p in places_in(finding.where)]}


def places_in(value: object) -> list[Place]:
    """Return every place that a message speaks of, in order."""
    if isinstance(value, Place):
        return [value]
    if isinstance(value, Message):
        return [p for _, v in value.values for p in places_in(v)]
    if isinstance(value, Listing):
        return [p for v in value.items for p in places_in(v)]
    return []
