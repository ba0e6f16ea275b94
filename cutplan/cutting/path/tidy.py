"""Take segments out of a contour that are shorter than a table can follow."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from math import atan2, pi

import numpy as np

from cutplan.geometry.clearance import Clearance
from cutplan.geometry.contour import Contour
from cutplan.geometry.intersect import meet
from cutplan.geometry.segment import TAU, Arc, Line, Segment, arc_from_bulge, arc_through, circle
from cutplan.geometry.vector import Point, middle
from cutplan.tolerance import SHORTEST_CUT_MM

#: Distance that a preferred way of bridging may always cost [mm].
NEAR_MM = 0.002
#: How far bridged steps may move a torch line into the part, and into the waste [mm] (our own choice).
INTO_PART_MM = 3e-4
INTO_WASTE_MM = 0.02
#: Places looked at along a segment when its distance from a line is told.
_SAMPLES = 5


def without_short_segments(
    contour: Contour, shortest_mm: float = SHORTEST_CUT_MM, *, part_side: int = 0
) -> tuple[Contour, float]:
    """Return a contour without segments shorter than a limit, and how far its line moved at most [mm].

    Parameters
    ----------
    contour : Contour
        Closed contour.
    shortest_mm : float
        Shortest segment kept [mm].
    part_side : int
        Side of the travel on which the part lies that the line must not be moved into: +1 left, -1 right. There a step
        is left alone when bridging it would move the line by more than 0.0003 mm into the part, or 0.02 mm off it.
        0: the line may move to either side.

    Returns
    -------
    (Contour, float)
        A short segment gives way to whatever stays nearest to the line: the common point of its neighbours prolonged,
        or its middle or one of its ends. A contour of up to three segments, or one shorter than ten times the limit,
        is returned as it is.
    """
    if contour.length < 10.0 * shortest_mm or all(s.length >= shortest_mm for s in contour.segments):
        return contour, 0.0
    chain = _Chain(list(contour.segments), part_side)
    while (k := chain.shortest(shortest_mm)) is not None:
        chain.bridge(k, shortest_mm)
    if chain.kept == len(contour.segments) and not chain.changed:
        return contour, 0.0
    tidy = chain.contour()
    return tidy, _departure(contour, tidy)


@dataclass(frozen=True, slots=True)
class _Offer:
    """A way to do without a short segment: what becomes of the three, and the distances from the line as it was."""

    parts: tuple[Segment, Segment | None, Segment]
    off_mm: float
    left_mm: float
    right_mm: float


class _Chain:
    """A closed chain whose segments are bridged one after the other, shortest first."""

    def __init__(self, segments: list[Segment], part_side: int) -> None:
        n = len(segments)
        self._segments: list[Segment | None] = list(segments)
        self._following = [(k + 1) % n for k in range(n)]
        self._leading = [k - 1 if k else n - 1 for k in range(n)]
        self._moved = [(0.0, 0.0)] * n  # to the left and to the right so far [mm]
        self._side = part_side
        self._queue = [(s.length, k) for k, s in enumerate(segments)]
        heapify(self._queue)
        self.kept = n
        self.changed = False

    def shortest(self, limit_mm: float) -> int | None:
        """Return the number of the shortest segment below a limit that has not been tried in vain, or None."""
        while self._queue and self.kept > 3:
            length, k = heappop(self._queue)
            if length >= limit_mm:
                return None
            s = self._segments[k]
            if s is not None and s.length == length:
                return k
        return None

    def bridge(self, k: int, limit_mm: float) -> None:
        """Bridge a segment by the best offer that is allowed, if there is one."""
        i, j = self._leading[k], self._following[k]
        before, short, after = self._segments[i], self._segments[k], self._segments[j]
        assert before is not None and short is not None and after is not None
        left, right = (max(self._moved[m][side] for m in (i, k, j)) for side in (0, 1))
        offers: list[_Offer] = []
        for offer in _offers(before, short, after, limit_mm):
            if not self._allows(offer, left, right):
                continue
            offers.append(offer)
            if offer.off_mm <= NEAR_MM and len(offers) == 1:
                break  # what comes first is preferred, and none that follows could be chosen before it
        if not offers:
            return
        # lines prolonged keep their direction, so they are preferred where nothing is much nearer
        least = min(o.off_mm for o in offers)
        offer = next(o for o in offers if o.off_mm <= max(1.5 * least, NEAR_MM))
        first, between, last = offer.parts
        moved = (left + offer.left_mm, right + offer.right_mm)
        self.changed = True
        self._put(i, first, moved)
        self._put(j, last, moved)
        if between is not None:
            self._put(k, between, moved)
            return
        self._segments[k] = None
        self._following[i], self._leading[j] = j, i
        self.kept -= 1

    def _allows(self, offer: _Offer, left_mm: float, right_mm: float) -> bool:
        if self._side == 0:
            return True
        into, off = left_mm + offer.left_mm, right_mm + offer.right_mm
        if self._side < 0:
            into, off = off, into
        return into <= INTO_PART_MM and off <= INTO_WASTE_MM

    def _put(self, k: int, segment: Segment, moved: tuple[float, float]) -> None:
        self._segments[k], self._moved[k] = segment, moved
        heappush(self._queue, (segment.length, k))

    def contour(self) -> Contour:
        """Return what is left as a contour."""
        return Contour(tuple(s for s in self._segments if s is not None))


def _departure(old: Contour, new: Contour) -> float:
    """Largest distance between two contours, either way, by sampling what differs [mm]."""
    worst = 0.0
    for a, b in ((old, new), (new, old)):
        same = set(b.segments)
        places = [s.point_at(t / 4.0) for s in a.segments if s not in same for t in range(5)]
        if places:
            worst = max(worst, float(Clearance(b.segments).of_points(np.array(places), 0.05).max()))
    return worst


_Parts = tuple[Segment, Segment | None, Segment]


def _offers(before: Segment, short: Segment, after: Segment, limit_mm: float) -> Iterator[_Offer]:
    """Ways to do without the short segment, preferred first."""
    old = (before, short, after)
    for parts in _ways(before, short, after, limit_mm):
        if all(s is None or _sound(s) for s in parts):
            yield _rated(parts, old)


def _ways(before: Segment, short: Segment, after: Segment, limit_mm: float) -> Iterator[_Parts]:
    crossing = _common_point(before, short, after, limit_mm)
    if crossing is not None:
        yield _prolonged(before, before.start, crossing), None, _prolonged(after, crossing, after.end)
    yield from _lengthened(before, short, after, limit_mm)
    for place in (middle(short.start, short.end), short.start, short.end):
        yield _bent(before, before.start, place), None, _bent(after, place, after.end)
        if isinstance(before, Arc) or isinstance(after, Arc):
            yield _through(before, before.start, place), None, _through(after, place, after.end)


def _sound(segment: Segment) -> bool:
    """Whether a segment has a length and an arc a bend."""
    if isinstance(segment, Arc):
        return abs(segment.sweep) > 1e-9 and segment.radius > 1e-9 and segment.start != segment.end
    return segment.start != segment.end


def _rated(parts: _Parts, old: tuple[Segment, ...]) -> _Offer:
    new = tuple(s for s in parts if s is not None)
    left = right = 0.0
    for s in new:
        for t in range(_SAMPLES):
            p = s.point_at(t / (_SAMPLES - 1.0))
            off, side = _beside(p, old)
            if side > 0.0:
                left = max(left, off)
            else:
                right = max(right, off)
    return _Offer(parts, max(left, right, _away(old[1], new)), left, right)


def _beside(p: Point, line: tuple[Segment, ...]) -> tuple[float, float]:
    """Distance of a place from a line [mm], and a number whose sign tells the side: left is positive."""
    best, side = float("inf"), 0.0
    for s in line:
        t, gap = s.nearest(p)
        if gap < best:
            best, side = gap, s.direction_at(t).cross(p.minus(s.point_at(t)))
    return best, side


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
    return max(min(s.nearest(segment.point_at(t / (_SAMPLES - 1.0)))[1] for s in line) for t in range(_SAMPLES))


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
