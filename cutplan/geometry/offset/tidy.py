"""Loops of offset pieces made into contours: same-source neighbours joined, tiny segments merged away."""

from __future__ import annotations

from math import atan2

from cutplan.geometry.contour import Contour
from cutplan.geometry.intersect import prolonged_meet
from cutplan.geometry.offset.raw import Piece, Source
from cutplan.geometry.segment import TAU, Arc, Line, Segment, arc_through
from cutplan.geometry.vector import Point, middle

#: Segments shorter than this are merged into their neighbours [mm].
SHORT_MM = 1e-3
#: A place this near to a circle lies on it [mm].
ON_CIRCLE_MM = 1e-9


def tidy_loop(loop: list[Piece]) -> tuple[Contour, tuple[Source, ...]] | None:
    """Return the contour of a loop and the source of each of its segments, None when nothing is left."""
    loop = _joined(loop)
    while len(loop) > 1 and any(p.segment.length < SHORT_MM for p in loop):
        loop = _without_short(loop)
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


def _without_short(loop: list[Piece]) -> list[Piece]:
    """Drop tiny segments: their neighbours are prolonged until they meet, else moved to the middle of the gap."""
    first = max(range(len(loop)), key=lambda k: loop[k].segment.length)
    done = [loop[first]]
    todo = [*reversed(loop[:first]), *reversed(loop[first + 1 :])]
    while todo:
        piece = todo.pop()
        if piece.segment.length >= SHORT_MM:
            done.append(piece)
            continue
        place = middle(piece.segment.start, piece.segment.end)
        if not todo and len(done) == 1:
            only = _reach(_reach(done[0].segment, place, at_end=True), place, at_end=False)
            return [Piece(only, done[0].source)]
        before, after = done[-1], todo[-1] if todo else done[0]
        near = [p for p in prolonged_meet(before.segment, after.segment) if p.distance(place) < SHORT_MM]
        if near:
            place = min(near, key=place.distance)
        done[-1] = Piece(_reach(before.segment, place, at_end=True), before.source)
        reached = Piece(_reach(after.segment, place, at_end=False), after.source)
        if todo:
            todo[-1] = reached
        else:
            done[0] = reached
    # start where the loop started
    k = min(range(len(done)), key=lambda k: (done[k].source.contour, done[k].source.segment, done[k].source.corner))
    return done[k:] + done[:k]


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
    if start == end and abs(segment.sweep) < 0.75 * TAU:
        return Line(start, end)  # nothing is left of it: the next round takes it out
    if start == end:
        return Arc(start, start, segment.centre, segment.radius, TAU if segment.sweep > 0.0 else -TAU)
    if abs(segment.centre.distance(place) - segment.radius) < ON_CIRCLE_MM:
        old = (segment.end if at_end else segment.start).minus(segment.centre)
        new = place.minus(segment.centre)
        turn = atan2(old.cross(new), old.dot(new))
        return Arc(start, end, segment.centre, segment.radius, segment.sweep + (turn if at_end else -turn))
    laid = arc_through(start, segment.point_at(0.5), end)
    # a hair more or less never makes another bend of it
    if isinstance(laid, Arc) and abs(laid.sweep - segment.sweep) > 1.0:
        return Line(start, end)
    return laid
