"""What a dimension of a drawing says, beside what is drawn between its ends."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import cos, hypot, radians, sin
from typing import Literal

from cutplan.files.dxf.sections import Block
from cutplan.files.dxf.shapes import Facts, Unreadable

#: Most dimensions of a drawing that are compared with what is drawn [1].
MOST = 2_000
#: A length below this is none [file units].
_NOTHING = 1e-6
#: Kinds of a dimension by the low bits of group code 70 that tell one length: along an angle, between two points, across.
_ALONG, _BETWEEN, _DIAMETER, _RADIUS = 0, 1, 3, 4
#: Turns of the pen in a text of several lines: fonts, heights, colours, alignment; a stacked fraction is left standing.
_STYLE = re.compile(r"\\[ACFfHQTWLOKlok][^;\\{}]*;|\\[LOKlok]|[{}]")
#: A count, a sign for across or round, then the figure; after it no other figure but a tolerance or one in brackets.
_FIGURE = re.compile(
    r"""^\s*\(?\s*(?:\d{1,2}\s*[xX\u00d7]\s*)?(?:%%[cC]|[\u00d8\u2300\u00f8]|[Rr])?\s*
    (?P<figure>\d+(?:[.,]\d+)?|[.,]\d+)\s*
    (?P<unit>mm|in\b|"|'')?
    (?P<rest>[^\d]*|\s*(?:%%[pP]|[\u00b1+(\[\\]).*)$""",
    re.VERBOSE,
)


@dataclass(frozen=True, slots=True)
class Dimension:
    """One figure and the length drawn that it stands for.

    Parameters
    ----------
    figure : float
        The number printed.
    step : float
        The last place of that number.
    unit : {"mm", "in", ""}
        The unit printed beside it.
    drawn : float
        Length between the ends, in units of the file.
    at : tuple of float
        One of the ends, in units of the file.
    """

    figure: float
    step: float
    unit: Literal["mm", "in", ""]
    drawn: float
    at: tuple[float, float]


def dimension_of(facts: Facts, block: Block | None) -> Dimension | None:
    """Return what a dimension says and stands for; None where it tells no plain length.

    The figure is what its own picture shows, else what its text was overwritten with.
    """
    try:
        drawn, at = _drawn(facts)
    except Unreadable:
        return None
    text = _printed(facts, block) or facts.text(1)
    found = _FIGURE.match(_STYLE.sub("", text))
    if drawn < _NOTHING or found is None or "<>" in text:
        return None
    figure = found["figure"].replace(",", ".")
    if float(figure) == 0.0:
        return None
    unit: Literal["mm", "in", ""] = "mm" if found["unit"] == "mm" else "in" if found["unit"] else ""
    return Dimension(float(figure), 10.0 ** -len(figure.partition(".")[2]), unit, drawn, at)


def _drawn(facts: Facts) -> tuple[float, tuple[float, float]]:
    """The length between the ends of a dimension, and one of the ends; nought where it is of another kind."""
    kind = facts.whole(70) & 15
    if kind in (_DIAMETER, _RADIUS):
        ends = (10, 15)
    elif kind in (_ALONG, _BETWEEN):
        ends = (13, 14)
    else:
        return 0.0, (0.0, 0.0)
    (x0, y0), (x1, y1) = ((facts.number(code), facts.number(code + 10)) for code in ends)
    if kind == _ALONG:
        angle = radians(facts.number(50, 0.0))
        return abs((x1 - x0) * cos(angle) + (y1 - y0) * sin(angle)), (x0, y0)
    return hypot(x1 - x0, y1 - y0), (x0, y0)


def _printed(facts: Facts, block: Block | None) -> str:
    """The text in the picture that a dimension carries; empty where it carries none."""
    for entity in block.entities if block is not None else ():
        if entity.kind in ("TEXT", "MTEXT"):
            return Facts(facts.tags, entity).text(1)
    return ""
