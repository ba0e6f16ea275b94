"""Rulers on both axes of a sheet, millimetres on one side and inches on the other, as long as the sheet allows."""

from __future__ import annotations

from math import ceil, floor

from cutplan.drawing.model import Item, Pen, Stroke, Text, line
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point
from cutplan.templates.drawn.pens import TICK
from cutplan.units import MM_PER_INCH

#: Font size of the figures on a ruler [mm]; the ticks carry the reading, the figures only count.
FIGURES_MM = 3.2
_HALF = 4.6


def ruler(start: Point, room_mm: float, upward: bool) -> tuple[tuple[Item, ...], float]:
    """Return a ruler from ``start`` along x, or along y when ``upward``, and its nominal length [mm].

    Parameters
    ----------
    start : Point
        Zero of the ruler on its middle line [mm].
    room_mm : float
        Room along it [mm]; the length is the largest multiple of 5 mm that fits.
    upward : bool
        Direction.
    """
    length = 5.0 * floor((room_mm - 0.2) / 5.0)

    def at(along: float, across: float) -> Point:
        # millimetres lie left of travel for the lower ruler and for the left ruler alike
        return Point(start.x - across, start.y + along) if upward else Point(start.x + along, start.y + across)

    turn = 90.0 if upward else 0.0
    ticks: list[Line] = []
    texts: list[Text] = []
    for mm in range(int(length) + 1):
        size = _HALF if mm % 10 == 0 else 2.1 if mm % 5 == 0 else 1.5
        ticks.append(Line(at(mm, 0.0), at(mm, size)))
        if mm % 10 == 0 and mm < length - 6.0:
            texts.append(
                Text(
                    str(mm) if mm else "0 mm",
                    at(mm + 0.6, _HALF - 2.35),
                    FIGURES_MM,
                    angle_deg=turn,
                    tag="ruler figure",
                )
            )
    sixteenth = MM_PER_INCH / 16.0
    for k in range(int(length / sixteenth) + 1):
        size = _HALF if k % 16 == 0 else 2.4 if k % 8 == 0 else 1.7 if k % 4 == 0 else 1.1
        ticks.append(Line(at(k * sixteenth, 0.0), at(k * sixteenth, -size)))
        if k % 16 == 0 and k // 16 <= inch_end(length):
            inch = str(k // 16) if k else "0 in"
            texts.append(Text(inch, at(k * sixteenth + 0.6, -_HALF), FIGURES_MM, angle_deg=turn, tag="ruler figure"))
    ends = (
        line(at(0.0, -_HALF), at(0.0, _HALF), Pen(0.25), "ruler end"),
        line(at(length, -_HALF), at(length, _HALF), Pen(0.25), "ruler end"),
        line(at(0.0, 0.0), at(length, 0.0), TICK, "ruler"),
    )
    return (Stroke(tuple(ticks), TICK, tag="ruler"), *ends, *texts), length


def inch_end(length_mm: float) -> int:
    """Return the last inch that a ruler of a length [mm] names [in]."""
    return ceil((length_mm - 6.0) / MM_PER_INCH) - 1
