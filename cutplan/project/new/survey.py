"""What a new job file holds for a plate that is measured with a tape: points, readings to fill in, and the side."""

from __future__ import annotations

from math import cos, pi, sin
from string import ascii_uppercase
from typing import Any, Literal

from cutplan.errors import UsageError
from cutplan.files.job.begin import Answer
from cutplan.files.job.declared.key import Offer
from cutplan.geometry.vector import Point
from cutplan.texts import code, say

#: Fewest and most corners that are offered.
CORNERS = (3, 12)
#: Size of the example whose distances stand in the file until the user's own do [mm].
_WIDE_MM, _TALL_MM = 200.0, 120.0


def corner_names(count: int) -> tuple[str, ...]:
    """Return the names of the corners, once round from A."""
    return tuple(ascii_uppercase[:count])


def surveyed_by(count: int, side: Literal["left", "right"] | None) -> dict[str, Any]:
    """Return the answers of a survey of a plate with so many corners.

    Each corner is held by its two sides and by its distance from A and B; the lengths are those of an example.

    Parameters
    ----------
    count : int
        Corners [1].
    side : {"left", "right"} or None
        Where C lies, seen from A towards B; None: left open, and the job is refused until it is told.

    Raises
    ------
    UsageError
        When the count is not from 3 to 12.
    """
    low, high = CORNERS
    if not low <= count <= high:
        raise UsageError(
            say("a survey of {count} corners is not offered", count=count),
            "--survey",
            say("from {low} to {high}; write more points into the file by hand", low=low, high=high),
        )
    names = corner_names(count)
    points = dict(zip(names, _example(count), strict=True))
    pairs = [(a, b) for a in names[:2] for b in names if a < b]
    pairs += [(a, b) for a, b in zip(names[2:], [*names[3:], names[0]], strict=True) if b != names[0]]
    told = say("yours in place of this example's, a plate of {count} corners", count=count)
    tape = [
        {"from": Answer(a), "to": Answer(b), "length": Answer(round(points[a].distance(points[b]), 1), told)}
        for a, b in pairs
    ]
    where = say(
        "LOOK at the part: seen from A towards B, does C lie {left} or {right}?", left=code("left"), right=code("right")
    )
    shown: Answer | Offer = Answer(side, where) if side else Offer("left", off=True, note=where)
    return {
        "base": Answer(["A", "B"]),
        "outline": Answer(list(names)),
        "tape": tape,
        "side": [{"point": Answer("C"), "of": Answer(["A", "B"]), "side": shown}],
    }


def _example(count: int) -> tuple[Point, ...]:
    """Corners of the example, once round and to the left of the way from A to B [mm]."""
    if count == 4:
        return Point(0.0, 0.0), Point(_WIDE_MM, 0.0), Point(_WIDE_MM, _TALL_MM), Point(0.0, _TALL_MM)
    angles = [-0.5 * pi - pi / count + 2.0 * pi * k / count for k in range(count)]
    return tuple(Point(0.5 * _WIDE_MM * cos(a), 0.5 * _WIDE_MM * sin(a)) for a in angles)
