"""One known length of a drawing, from which its scale follows: the width, the height or the largest round hole."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutplan.errors import UsageError
from cutplan.geometry.region import Region
from cutplan.texts import Message, code, every, inch_or_mm, say
from cutplan.texts import name as named
from cutplan.units import UnitName, parse_length

#: What can be measured, and what it is.
NAMES: dict[str, Message] = {
    "width": say("width of the largest part"),
    "height": say("height of the largest part"),
    "hole": say("diameter of the largest round hole"),
}


@dataclass(frozen=True, slots=True)
class Known:
    """A length that somebody measured: its name and value [mm]."""

    name: str
    mm: float

    def said(self) -> Message:
        """Return the length in words."""
        return say("{what} stated as {length}", what=NAMES[self.name], length=inch_or_mm(self.mm, None))


def parse_known(text: str, unit: UnitName = "mm") -> Known:
    """Return a known length written as ``NAME=VALUE``, such as ``width=150`` or ``hole = 1/2 in``.

    Raises
    ------
    UsageError
        If the name is none that can be measured, or the value no length above zero.
    """
    name, sign, value = text.partition("=")
    name = name.strip().lower()
    if not sign or name not in NAMES:
        raise UsageError(
            say("{text} is no known length", text=named(repr(text))),
            hint=say(
                "write NAME=VALUE with one of the names {names}, such as width=150", names=every(map(code, NAMES))
            ),
        )
    mm = parse_length(value.strip(), unit, "--length")
    if not mm > 0.0:
        raise UsageError(say("a known length must be above zero"), hint=say("write it as width=150"))
    return Known(name, mm)


def measured(name: str, regions: Sequence[Region]) -> float | None:
    """Return the length of a name as it was read [mm], None where there is nothing to measure."""
    if not regions:
        return None
    box = regions[0].box
    if name == "width":
        return box.width
    if name == "height":
        return box.height
    rounds = [c[1] for region in regions for c in (h.as_circle() for h in region.holes) if c is not None]
    return 2.0 * max(rounds) if rounds else None
