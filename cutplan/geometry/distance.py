"""Shortest distances between segments, contours and regions, exactly, with the two places."""

from __future__ import annotations

from math import atan2
from typing import NamedTuple

from cutplan.geometry.contour import Contour
from cutplan.geometry.intersect import meet
from cutplan.geometry.segment import Arc, Line, Segment
from cutplan.geometry.vector import Box, Point


class Gap(NamedTuple):
    """A shortest distance [mm] and the two places that it lies between [mm]."""

    distance: float
    first: Point
    second: Point


def segment_distance(a: Segment, b: Segment) -> Gap:
    """Return the shortest distance between two segments; zero where they meet."""
    found = meet(a, b, 0.0)
    if found:
        return Gap(0.0, found[0].point, found[0].point)
    best = Gap(float("inf"), a.start, b.start)
    for p in (a.start, a.end, *_feet(a, b)):
        t, gap = b.nearest(p)
        if gap < best.distance:
            best = Gap(gap, p, b.point_at(t))
    for p in (b.start, b.end, *_feet(b, a)):
        t, gap = a.nearest(p)
        if gap < best.distance:
            best = Gap(gap, a.point_at(t), p)
    return best


def _feet(a: Segment, b: Segment) -> list[Point]:
    """The place inside segment a that is nearest to the centre of arc b."""
    if not isinstance(b, Arc):
        return []
    if isinstance(a, Line):
        return [a.point_at(a.nearest(b.centre)[0])]
    angle = atan2(b.centre.y - a.centre.y, b.centre.x - a.centre.x)
    return [a.centre.plus(Point(a.radius, 0.0).turned(angle))] if a.spans(angle) else []


def _box_gap(a: Box, b: Box) -> float:
    dx = max(a.xmin - b.xmax, b.xmin - a.xmax, 0.0)
    dy = max(a.ymin - b.ymax, b.ymin - a.ymax, 0.0)
    return float((dx * dx + dy * dy) ** 0.5)


def contour_distance(a: Contour, b: Contour, beyond_mm: float = float("inf")) -> Gap:
    """Return the shortest distance between two closed curves.

    Parameters
    ----------
    a, b : Contour
        The curves themselves count, not what they enclose.
    beyond_mm : float
        Distances above this are of no interest [mm]: the result may then be endless.
    """
    best = Gap(beyond_mm, a.segments[0].start, b.segments[0].start)
    found = False
    others = [(s, s.box) for s in b.segments]
    whole = b.box
    for s in a.segments:
        box = s.box
        if _box_gap(box, whole) >= best.distance:
            continue
        for t, other in others:
            if _box_gap(box, other) >= best.distance:
                continue
            gap = segment_distance(s, t)
            if gap.distance < best.distance:
                best, found = gap, True
                if gap.distance == 0.0:
                    return best
    return best if found else Gap(float("inf"), best.first, best.second)
