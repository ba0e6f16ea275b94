"""Take segments out of a contour that are shorter than a table can follow."""

from __future__ import annotations

from math import atan2, pi

from cutplan.geometry.contour import Contour
from cutplan.geometry.intersect import meet
from cutplan.geometry.segment import TAU, Arc, Line, Segment, arc_from_bulge, arc_through, circle
from cutplan.geometry.vector import Point, middle
from cutplan.tolerance import SHORTEST_CUT_MM

#: Distance that a preferred way of bridging may always cost [mm].
NEAR_MM = 0.002


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
        A short segment gives way to whatever stays nearest to the line: the common point of its neighbours prolonged,
        or its middle or one of its ends. A contour of up to three segments, or one shorter than ten times the limit,
        is returned as it is.
    """
    if contour.length < 10.0 * shortest_mm or all(s.length >= shortest_mm for s in contour.segments):
        return contour, 0.0
    segments = list(contour.segments)
    lengths = [s.length for s in segments]
    moved = 0.0
    while len(segments) > 3:
        least_mm = min(lengths)
        if least_mm >= shortest_mm:
            break
        k = lengths.index(least_mm)
        short = segments[k]
        i, j = (k - 1) % len(segments), (k + 1) % len(segments)
        offers = _offers(segments[i], short, segments[j], shortest_mm)
        # lines prolonged keep their direction, so they are preferred where nothing is much nearer
        least = min(offer[0] for offer in offers)
        off, first, between, last = next(offer for offer in offers if offer[0] <= max(1.5 * least, NEAR_MM))
        moved = max(moved, off)
        segments[i], segments[j] = first, last
        lengths[i], lengths[j] = first.length, last.length
        if between is not None:
            segments[k], lengths[k] = between, between.length
        else:
            del segments[k], lengths[k]
    return Contour(tuple(segments)), moved


_Offer = tuple[float, Segment, Segment | None, Segment]


def _offers(before: Segment, short: Segment, after: Segment, limit_mm: float) -> list[_Offer]:
    """Ways to do without the short segment, preferred first, each with its distance from the line as it was [mm]."""
    offers: list[tuple[Segment, Segment | None, Segment]] = []
    crossing = _common_point(before, short, after, limit_mm)
    if crossing is not None:
        offers.append((_prolonged(before, before.start, crossing), None, _prolonged(after, crossing, after.end)))
    offers.extend(_lengthened(before, short, after, limit_mm))
    for place in (middle(short.start, short.end), short.start, short.end):
        offers.append((_bent(before, before.start, place), None, _bent(after, place, after.end)))
        offers.append((_through(before, before.start, place), None, _through(after, place, after.end)))
    old = (before, short, after)
    rated: list[_Offer] = []
    for first, between, last in offers:
        new = tuple(s for s in (first, between, last) if s is not None)
        rated.append((max(_away(short, new), *(_away(s, old) for s in new)), first, between, last))
    return rated


def _lengthened(
    before: Segment, short: Segment, after: Segment, limit_mm: float
) -> list[tuple[Segment, Segment | None, Segment]]:
    """The short segment stretched over a little of its neighbours, when that makes it long enough."""
    for step in range(1, 26):
        more = 0.02 * step * limit_mm
        if min(before.length, after.length) < 2.0 * more + limit_mm:
            return []
        first = before.part(0.0, 1.0 - more / before.length)
        last = after.part(more / after.length, 1.0)
        between = arc_through(first.end, short.point_at(0.5), last.start)
        if between.length >= limit_mm and abs(getattr(between, "sweep", 0.0)) < pi:
            return [(first, between, last)]
    return []


def _away(segment: Segment, line: tuple[Segment, ...]) -> float:
    """Largest distance of a segment from a line, by sampling [mm]."""
    return max(min(s.nearest(segment.point_at(t / 8.0))[1] for s in line) for t in range(9))


def _through(segment: Segment, start: Point, end: Point) -> Segment:
    """Return the segment between other ends; an arc keeps its middle."""
    if isinstance(segment, Arc):
        return arc_through(start, segment.point_at(0.5), end)
    return Line(start, end)


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
