"""Take segments out of a contour that are shorter than a table can follow."""

from __future__ import annotations

from math import atan2, pi

from cutplan.geometry.contour import Contour
from cutplan.geometry.intersect import meet
from cutplan.geometry.segment import TAU, Arc, Line, Segment, arc_from_bulge, circle
from cutplan.geometry.vector import Point, middle
from cutplan.tolerance import SHORTEST_CUT_MM


def without_short_segments(contour: Contour, shortest_mm: float = SHORTEST_CUT_MM) -> tuple[Contour, float]:
    """Return a contour without segments shorter than a limit, and how far its line moved at most [mm].

    Parameters
    ----------
    contour : Contour
        Closed contour.
    shortest_mm : float
        Shortest segment kept [mm].

    Returns
    -------
    (Contour, float)
        A short segment gives way to the common point of its neighbours prolonged; where they have none nearby it is
        drawn together to its middle. A contour of up to three segments, or one shorter than ten times the limit, is
        returned as it is.
    """
    if contour.length < 10.0 * shortest_mm or all(s.length >= shortest_mm for s in contour.segments):
        return contour, 0.0
    segments = list(contour.segments)
    moved = 0.0
    while len(segments) > 3:
        k = min(range(len(segments)), key=lambda i: segments[i].length)
        short = segments[k]
        if short.length >= shortest_mm:
            break
        i, j = (k - 1) % len(segments), (k + 1) % len(segments)
        place = _common_point(segments[i], short, segments[j], shortest_mm)
        if place is not None:
            moved = max(moved, short.nearest(place)[1])
            segments[i] = _prolonged(segments[i], segments[i].start, place)
            segments[j] = _prolonged(segments[j], place, segments[j].end)
        else:
            place = middle(short.start, short.end)
            moved = max(moved, 0.5 * short.length)
            segments[i] = _bent(segments[i], segments[i].start, place)
            segments[j] = _bent(segments[j], place, segments[j].end)
        del segments[k]
    return Contour(tuple(segments)), moved


def _common_point(before: Segment, short: Segment, after: Segment, limit_mm: float) -> Point | None:
    """Common point of two neighbours prolonged, when it lies near the short segment between them."""
    if before.end_direction.dot(after.start_direction) > 1.0 - 1e-7:
        return None
    centre = middle(short.start, short.end)
    places = [m.point for m in meet(_whole(before, limit_mm), _whole(after, limit_mm), 1e-9)]
    near = [p for p in places if p.distance(centre) < limit_mm]
    return min(near, key=lambda p: p.distance(centre)) if near else None


def _whole(segment: Segment, more_mm: float) -> Segment:
    if isinstance(segment, Arc):
        away = atan2(segment.centre.y - segment.start.y, segment.centre.x - segment.start.x)
        return circle(segment.centre, segment.radius, away + 0.1)
    step = segment.start_direction.times(2.0 * more_mm)
    return Line(segment.start.minus(step), segment.end.plus(step))


def _prolonged(segment: Segment, start: Point, end: Point) -> Segment:
    """Return the segment between other ends that lie on the same line or circle."""
    if not isinstance(segment, Arc):
        return Line(start, end)
    c = segment.centre
    turn0 = _turn(atan2(start.y - c.y, start.x - c.x) - segment.start_angle)
    turn1 = _turn(atan2(end.y - c.y, end.x - c.x) - segment.end_angle)
    return Arc(start, end, c, segment.radius, segment.sweep - turn0 + turn1)


def _turn(angle_rad: float) -> float:
    return (angle_rad + pi) % TAU - pi


def _bent(segment: Segment, start: Point, end: Point) -> Segment:
    """Return the segment between other ends; an arc keeps its bulge."""
    if isinstance(segment, Arc):
        return arc_from_bulge(start, end, segment.bulge)
    return Line(start, end)
