"""Loops of offset pieces made into contours: same-source neighbours joined, tiny segments merged away."""

from __future__ import annotations

from math import atan2

from cutplan.geometry.contour import Contour
from cutplan.geometry.intersect import prolonged_meet
from cutplan.geometry.offset_raw import Piece, Source
from cutplan.geometry.segment import TAU, Arc, Line, Segment, arc_through
from cutplan.geometry.vector import Point, middle

#: Segments shorter than this are merged into their neighbours [mm].
SHORT_MM = 1e-3
#: A place this near to a circle lies on it [mm].
ON_CIRCLE_MM = 1e-9


def tidy_loop(loop: list[Piece]) -> tuple[Contour, tuple[Source, ...]] | None:
    """Return the contour of a loop and the source of each of its segments, None when nothing is left."""
    loop = _joined(loop)
    while len(loop) > 1:
        lengths = [p.segment.length for p in loop]
        k = min(range(len(loop)), key=lengths.__getitem__)
        if lengths[k] >= SHORT_MM:
            break
        loop = _without(loop, k)
    if len(loop) == 1:
        only = _whole(loop[0].segment)
        if only is None or only.length < SHORT_MM:
            return None
        loop = [Piece(only, loop[0].source)]
    contour = Contour(tuple(p.segment for p in _closed(loop)))
    if contour.area < 0.25 * SHORT_MM * contour.length:
        return None
    return contour, tuple(p.source for p in loop)


def _joined(loop: list[Piece]) -> list[Piece]:
    """Join neighbours that were one piece before it was cut, and sharp tips with the lines they prolong."""
    if len(loop) > 1:
        # start the loop where the segment that holds its first piece starts
        k = next((i for i in range(0, -len(loop), -1) if not _one(loop[i - 1], loop[i])), 0)
        loop = loop[k:] + loop[:k]
    result: list[Piece] = []
    for piece in loop:
        if result and _one(result[-1], piece):
            last = result[-1]
            source = piece.source if last.source.corner else last.source
            result[-1] = Piece(_sum(last.segment, piece.segment), source)
        else:
            result.append(piece)
    return result


def _one(a: Piece, b: Piece) -> bool:
    s, t = a.segment, b.segment
    if isinstance(s, Arc) or isinstance(t, Arc):
        return a.source == b.source and isinstance(s, Arc) and isinstance(t, Arc)
    if a.source != b.source and not a.source.corner and not b.source.corner:
        return False
    return abs(s.end_direction.cross(t.start_direction)) < 1e-7


def _whole(s: Segment) -> Arc | None:
    """Return the full circle that a single arc is whose ends are one point; None for anything else."""
    if not isinstance(s, Arc):
        return None
    if s.is_circle:
        return s
    if abs(s.sweep) < 0.75 * TAU or s.start.distance(s.end) > SHORT_MM:
        return None
    return Arc(s.start, s.start, s.centre, s.radius, TAU if s.sweep > 0.0 else -TAU)


def _sum(a: Segment, b: Segment) -> Segment:
    if isinstance(a, Arc) and isinstance(b, Arc):
        sweep = a.sweep + b.sweep
        return Arc(a.start, b.end, a.centre, a.radius, sweep)
    return Line(a.start, b.end)


def _without(loop: list[Piece], k: int) -> list[Piece]:
    """Drop a tiny segment: its neighbours are prolonged until they meet, else moved to its middle."""
    n = len(loop)
    place = middle(loop[k].segment.start, loop[k].segment.end)
    before, after = loop[k - 1], loop[(k + 1) % n]
    if n == 2:
        other = loop[1 - k]
        return [Piece(_reach(_reach(other.segment, place, at_end=True), place, at_end=False), other.source)]
    near = [p for p in prolonged_meet(before.segment, after.segment) if p.distance(place) < SHORT_MM]
    if near:
        place = min(near, key=place.distance)
    a = Piece(_reach(before.segment, place, at_end=True), before.source)
    b = Piece(_reach(after.segment, place, at_end=False), after.source)
    rest = list(loop)
    rest[k - 1], rest[(k + 1) % n] = a, b
    del rest[k]
    return rest


def _closed(loop: list[Piece]) -> list[Piece]:
    """Let each segment start exactly where the one before it ends."""
    if len(loop) == 1:
        return loop
    result = []
    for k, piece in enumerate(loop):
        end = loop[k - 1].segment.end
        segment = piece.segment
        if segment.start != end:
            if isinstance(segment, Arc):
                segment = Arc(end, segment.end, segment.centre, segment.radius, segment.sweep)
            else:
                segment = Line(end, segment.end)
        result.append(Piece(segment, piece.source))
    return result


def _reach(segment: Segment, place: Point, *, at_end: bool) -> Segment:
    """Move one end of a segment by a hair; an arc whose circle misses the place is laid anew."""
    if isinstance(segment, Line):
        return Line(segment.start, place) if at_end else Line(place, segment.end)
    if segment.is_circle:
        return segment
    start, end = (segment.start, place) if at_end else (place, segment.end)
    if start == end:
        return Arc(start, start, segment.centre, segment.radius, TAU if segment.sweep > 0.0 else -TAU)
    if abs(segment.centre.distance(place) - segment.radius) < ON_CIRCLE_MM:
        old = (segment.end if at_end else segment.start).minus(segment.centre)
        new = place.minus(segment.centre)
        turn = atan2(old.cross(new), old.dot(new))
        return Arc(start, end, segment.centre, segment.radius, segment.sweep + (turn if at_end else -turn))
    return arc_through(start, segment.point_at(0.5), end)
