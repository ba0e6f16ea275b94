"""Pieces of an offset before trimming: each line and arc moved sideways, and the joins at its corners."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, copysign, cos, hypot, pi
from typing import Literal

from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Arc, Line, Segment
from cutplan.geometry.vector import Point, middle

Join = Literal["round", "sharp"]

#: Radius at or below which a moved arc has vanished [mm].
VANISHED_MM = 1e-9
#: Gap at a corner that is closed by moving both ends to the middle [mm]: a corner arc this short is dropped.
CLOSED_GAP_MM = 5e-4
#: Turns this close to half a circle need a look at which way they go [rad].
CUSP_RAD = 1e-3
#: Distance by which closing a gap so may miss the true corner [mm].
CLOSED_ERROR_MM = 1e-8


@dataclass(frozen=True, slots=True)
class Source:
    """What an offset segment came from: a segment of the input, or the corner at the end of that segment."""

    contour: int
    segment: int
    corner: bool = False


@dataclass(frozen=True, slots=True)
class Piece:
    """One untrimmed offset segment [mm] with its source."""

    segment: Segment
    source: Source


@dataclass(frozen=True, slots=True)
class RawContour:
    """The untrimmed offset of one contour.

    ``moved[i]`` is the moved segment i, None where an arc vanished; ``joins[i]`` are the pieces that fill
    the open corner between segments i and i + 1; ``concave[i]`` tells that the moved segments overlap there.
    """

    moved: tuple[Segment | None, ...]
    joins: tuple[tuple[Segment, ...], ...]
    concave: tuple[bool, ...]

    def pieces(self, contour: int) -> list[Piece]:
        """Return all pieces in order, with their sources."""
        result = []
        for i, (segment, join) in enumerate(zip(self.moved, self.joins, strict=True)):
            if segment is not None:
                result.append(Piece(segment, Source(contour, i)))
            result.extend(Piece(j, Source(contour, i, corner=True)) for j in join)
        return result


def moved_segment(segment: Segment, right_mm: float) -> Segment | None:
    """Return a segment moved to the right of its travel (left if negative) [mm], None where an arc vanishes."""
    if isinstance(segment, Line):
        dx, dy = segment.end.x - segment.start.x, segment.end.y - segment.start.y
        size = hypot(dx, dy)
        nx, ny = dy / size * right_mm, -dx / size * right_mm
        return Line(Point(segment.start.x + nx, segment.start.y + ny), Point(segment.end.x + nx, segment.end.y + ny))
    radius = segment.radius + (right_mm if segment.sweep > 0.0 else -right_mm)
    if radius <= VANISHED_MM:
        return None
    c = segment.centre
    start = _at_radius(c, segment.start, radius)
    end = start if segment.is_circle else _at_radius(c, segment.end, radius)
    return Arc(start, end, c, radius, segment.sweep)


def raw_offset(contour: Contour, right_mm: float, join: Join, sharp_limit: float) -> RawContour:
    """Return the untrimmed offset of a contour to the right of its travel [mm] (left if negative).

    Parameters
    ----------
    contour : Contour
        Closed contour without segments of zero length.
    right_mm : float
        Distance to the right [mm].
    join : {"round", "sharp"}
        How open corners are filled.
    sharp_limit : float
        Longest sharp tip as a multiple of the distance [-]; longer ones become round.
    """
    segments = contour.segments
    n = len(segments)
    moved: list[Segment | None] = [moved_segment(s, right_mm) for s in segments]
    if n == 1 and isinstance(segments[0], Arc) and segments[0].is_circle:
        return RawContour(tuple(moved), ((),), (False,))
    joins: list[tuple[Segment, ...]] = []
    concave: list[bool] = []
    size = abs(right_mm)
    for i in range(n):
        j = (i + 1) % n
        u, v = segments[i].end_direction, segments[j].start_direction
        turn = atan2(u.cross(v), u.dot(v))
        a, b = moved[i], moved[j]
        if size * abs(turn) < CLOSED_GAP_MM and size * turn * turn < 8.0 * CLOSED_ERROR_MM:
            corner = segments[j].start
            point = Point(corner.x + 0.5 * right_mm * (u.y + v.y), corner.y - 0.5 * right_mm * (u.x + v.x))
            if a is not None:
                moved[i] = _with_end(a, point)
            b = moved[j]
            if b is not None:
                moved[j] = _with_start(b, point)
            joins.append(())
            concave.append(False)
            continue
        if abs(turn) > pi - CUSP_RAD:
            turn = _cusp_turn(segments[i], segments[j], turn)
        opens = turn * right_mm > 0.0
        concave.append(not opens)
        if not opens:
            joins.append(())
            continue
        corner = segments[j].start
        start = a.end if a is not None else Point(corner.x + u.y * right_mm, corner.y - u.x * right_mm)
        end = b.start if b is not None else Point(corner.x + v.y * right_mm, corner.y - v.x * right_mm)
        joins.append(_join(corner, start, end, turn, right_mm, join, sharp_limit))
    return RawContour(tuple(moved), tuple(joins), tuple(concave))


def _join(
    corner: Point, start: Point, end: Point, turn: float, right_mm: float, join: Join, sharp_limit: float
) -> tuple[Segment, ...]:
    """Fill an open corner from the end of one moved segment to the start of the next."""
    if join == "sharp" and abs(turn) < pi - 1e-6:
        reach = 1.0 / cos(0.5 * turn)
        if reach <= sharp_limit:
            m = middle(start, end).minus(corner)
            tip = corner.plus(m.times(reach * abs(right_mm) / m.length()))
            return Line(start, tip), Line(tip, end)
    return (Arc(start, end, corner, abs(right_mm), turn),)


def _cusp_turn(before: Segment, after: Segment, turn: float) -> float:
    """Sign of a turn by almost half a circle: on which side of the way in the way out lies a little further on."""
    step = 0.05 * min(before.length, after.length)
    a = before.point_at(1.0 - step / before.length)
    b = after.point_at(step / after.length)
    side = after.start.minus(a).cross(b.minus(a))
    return turn if side == 0.0 else copysign(turn, side)


def _at_radius(centre: Point, point: Point, radius: float) -> Point:
    dx, dy = point.x - centre.x, point.y - centre.y
    size = hypot(dx, dy)
    return Point(centre.x + dx / size * radius, centre.y + dy / size * radius)


def _with_end(segment: Segment, end: Point) -> Segment:
    """Move the end by a hair along the segment."""
    if isinstance(segment, Arc):
        sweep = segment.sweep + _turn(segment, segment.end, end)
        return Arc(segment.start, end, segment.centre, segment.radius, sweep)
    return Line(segment.start, end)


def _with_start(segment: Segment, start: Point) -> Segment:
    if isinstance(segment, Arc):
        sweep = segment.sweep - _turn(segment, segment.start, start)
        return Arc(start, segment.end, segment.centre, segment.radius, sweep)
    return Line(start, segment.end)


def _turn(arc: Arc, old: Point, new: Point) -> float:
    """Angle between two places of an arc; zero where they are one, so that tangent arcs keep their bulge."""
    a, b = old.minus(arc.centre), new.minus(arc.centre)
    angle = atan2(a.cross(b), a.dot(b))
    return angle if abs(angle) * arc.radius > 1e-9 else 0.0
