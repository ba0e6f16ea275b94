"""Words that several messages of the cutting trade share."""

from __future__ import annotations

from collections.abc import Iterable

from cutplan.geometry.vector import Box, Point
from cutplan.tables.cutting.cut_sources import source_text
from cutplan.texts import Message, every, mm, name, place, plural, say

OUTLINE = say("outline")


def hole_word(hole: str) -> Message:
    """Return the word for a hole with its name: ``hole H3``."""
    return say("hole {hole}", hole=name(hole))


def at(p: Point) -> Message:
    """Return a place on the plate."""
    return say("at {place}", place=place(p.x, p.y))


def spanning(box: Box) -> Message:
    """Return what a contour spans."""
    return say(
        "spanning {low} to {high}",
        low=place(box.xmin, box.ymin),
        high=place(box.xmax, box.ymax),
    )


def names(given: Iterable[str], most: int = 8) -> Message:
    """Return names joined for reading; beyond a few, the first ones and how many there are."""
    told = list(given)
    if len(told) <= most:
        return say("{names}", names=every(told))
    return say("{names} and {more} more", names=every(told[:most]), more=len(told) - most)


def cited(*keys: str) -> Message:
    """Return the citations of sources."""
    return source_text(*keys)


def sized(width_mm: float, height_mm: float, digits: int = 1) -> Message:
    """Return a width and a height."""
    return say("{width} x {height}", width=mm(width_mm, digits), height=mm(height_mm, digits))


def holes_word(count: int) -> Message:
    """Return the word for one or more holes."""
    return plural("hole", "holes", count)
