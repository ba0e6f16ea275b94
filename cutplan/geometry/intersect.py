"""Where lines and arcs meet, by formula, with lengths taken about a local origin."""

from __future__ import annotations

from math import atan2, hypot, sqrt
from typing import NamedTuple

from cutplan.geometry.contour import Contour
from cutplan.geometry.pairs import near_pairs
from cutplan.geometry.segment import TAU, Arc, Line, Segment
from cutplan.geometry.vector import Point
from cutplan.tolerance import JOIN_MM

#: Sine of the angle below which the ends of two lines are tried as common points too.
_ALMOST_PARALLEL = 1e-5
#: Sine of the angle below which two lines have no crossing of their own.
_PARALLEL = 1e-9


class Meeting(NamedTuple):
    """A common point of two segments [mm] and its fraction of the length of each."""

    point: Point
    ta: float
    tb: float


def meet(a: Segment, b: Segment, slack_mm: float = JOIN_MM) -> list[Meeting]:
    """Return the common points of two segments.

    Parameters
    ----------
    a, b : Segment
        Lines or arcs.
    slack_mm : float
        Ends that miss the other segment by less than this touch it [mm].

    Returns
    -------
    list[Meeting]
        Crossings, touches and, where the two run along each other, the ends of the common stretch,
        ordered along ``a``. A fraction within the slack of an end is exactly 0 or 1.
    """
    found, along = _candidates(a, b, slack_mm)
    if along:  # the two curves may run along each other: ends decide
        found = [a.start, a.end, b.start, b.end, *found]
    result: list[Meeting] = []
    for p in found:
        ta, tb = _fraction(a, p, slack_mm), _fraction(b, p, slack_mm)
        if ta is None or tb is None:
            continue
        if along and (a.nearest(p)[1] > slack_mm or b.nearest(p)[1] > slack_mm):
            continue
        if ta in (0.0, 1.0):
            p = a.start if ta == 0.0 else a.end
        elif tb in (0.0, 1.0):
            p = b.start if tb == 0.0 else b.end
        if any(abs(m.point.x - p.x) <= slack_mm and abs(m.point.y - p.y) <= slack_mm for m in result):
            continue
        result.append(Meeting(p, ta, tb))
    result.sort(key=lambda m: m.ta)
    return result


def prolonged_meet(a: Segment, b: Segment) -> list[Point]:
    """Return the common points [mm] of the two whole lines or circles that two segments are part of."""
    return _candidates(a, b, 0.0)[0]


def fraction_of(segment: Segment, point: Point) -> float:
    """Return the fraction [1] of the length at which a point on the (prolonged) segment lies.

    For an arc the fraction lies beyond 1 or below 0 by whichever is nearer.
    """
    if isinstance(segment, Line):
        dx, dy = segment.end.x - segment.start.x, segment.end.y - segment.start.y
        square = dx * dx + dy * dy
        if square == 0.0:
            return 0.0
        return ((point.x - segment.start.x) * dx + (point.y - segment.start.y) * dy) / square
    turn = atan2(point.y - segment.centre.y, point.x - segment.centre.x) - segment.start_angle
    size = abs(segment.sweep)
    along = (turn if segment.sweep > 0.0 else -turn) % TAU
    if along > size and TAU - along < along - size:
        along -= TAU
    return along / size


def _fraction(segment: Segment, point: Point, slack_mm: float) -> float | None:
    """Fraction of the length within [0, 1], None when the point lies beyond an end by more than the slack."""
    t = fraction_of(segment, point)
    length = segment.length
    if length == 0.0:
        return 0.0
    slack = slack_mm / length
    if t < -slack or t > 1.0 + slack:
        return None
    if abs(t) <= slack:
        return 0.0
    if abs(t - 1.0) <= slack:
        # a closed circle starts where it ends
        return 0.0 if isinstance(segment, Arc) and segment.is_circle else 1.0
    return t


def _candidates(a: Segment, b: Segment, slack_mm: float) -> tuple[list[Point], bool]:
    """Common points of the prolonged segments, and whether the two may run along each other."""
    if isinstance(a, Line):
        return _lines(a, b) if isinstance(b, Line) else (_line_circle(a, b, slack_mm), False)
    if isinstance(b, Line):
        return _line_circle(b, a, slack_mm), False
    return _circles(a, b, slack_mm)


def _lines(a: Line, b: Line) -> tuple[list[Point], bool]:
    """Crossing of the two prolonged lines, and whether they are almost parallel."""
    ux, uy = a.end.x - a.start.x, a.end.y - a.start.y
    vx, vy = b.end.x - b.start.x, b.end.y - b.start.y
    wx, wy = b.start.x - a.start.x, b.start.y - a.start.y
    den = ux * vy - uy * vx
    size = hypot(ux, uy) * hypot(vx, vy)
    if abs(den) <= _PARALLEL * size:
        return [], True
    t = (wx * vy - wy * vx) / den
    return [Point(a.start.x + t * ux, a.start.y + t * uy)], abs(den) <= _ALMOST_PARALLEL * size


def _line_circle(line: Line, arc: Arc, slack_mm: float) -> list[Point]:
    """Common points of a prolonged line and the full circle of an arc; one where they only touch."""
    dx, dy = line.end.x - line.start.x, line.end.y - line.start.y
    size = hypot(dx, dy)
    if size == 0.0:
        return []
    dx, dy = dx / size, dy / size
    wx, wy = arc.centre.x - line.start.x, arc.centre.y - line.start.y
    along = wx * dx + wy * dy
    away = dx * wy - dy * wx  # centre to the left of the line
    r = arc.radius
    foot = Point(line.start.x + along * dx, line.start.y + along * dy)
    if abs(away) > r + slack_mm:
        return []
    square = (r - away) * (r + away)
    if square <= 0.0:
        return [foot]
    half = sqrt(square)
    return [Point(foot.x - half * dx, foot.y - half * dy), Point(foot.x + half * dx, foot.y + half * dy)]


def _circles(a: Arc, b: Arc, slack_mm: float) -> tuple[list[Point], bool]:
    """Common points of the full circles of two arcs, and whether the circles are one."""
    dx, dy = b.centre.x - a.centre.x, b.centre.y - a.centre.y
    d = hypot(dx, dy)
    r, s = a.radius, b.radius
    if d <= slack_mm and abs(r - s) <= slack_mm:
        return [], True
    if d == 0.0 or d > r + s + slack_mm or d < abs(r - s) - slack_mm:
        return [], False
    dx, dy = dx / d, dy / d
    square = (d + r + s) * (r + s - d) * (d + r - s) * (d - r + s)
    along = 0.5 * (d + (r - s) * (r + s) / d)
    foot = Point(a.centre.x + along * dx, a.centre.y + along * dy)
    if square <= 0.0:
        # they only touch: on the line of centres, beyond the smaller circle where one lies in the other
        return [foot], False
    half = 0.5 * sqrt(square) / d
    points = [
        Point(foot.x - half * dy, foot.y + half * dx),
        Point(foot.x + half * dy, foot.y - half * dx),
    ]
    return points, False


class Crossing(NamedTuple):
    """A place [mm] where two segments of contours meet, and the numbers of the two segments."""

    point: Point
    first: int
    second: int


def contours_cross(a: Contour, b: Contour, slack_mm: float = JOIN_MM) -> list[Crossing]:
    """Return the places where two contours cross or touch, within a slack [mm]."""
    if not a.box.grown(slack_mm).meets(b.box):
        return []
    n = len(a.segments)
    boxes = [s.box for s in (*a.segments, *b.segments)]
    result: list[Crossing] = []
    for i, j in near_pairs(boxes, slack_mm):
        if i < n <= j:
            result.extend(Crossing(m.point, i, j - n) for m in meet(a.segments[i], b.segments[j - n], slack_mm))
    return result


def self_crossings(contour: Contour, slack_mm: float = JOIN_MM) -> list[Crossing]:
    """Return the places where a contour crosses, touches or runs back along itself, within a slack [mm].

    The corners that neighbours share do not count. Near such a corner a second common point counts only
    when it lies further away than two almost tangent curves with ends good to the slack may seem to meet.
    """
    segments = contour.segments
    n = len(segments)
    result: list[Crossing] = []
    for i, j in near_pairs([s.box for s in segments], slack_mm):
        a, b = segments[i], segments[j]
        shared = []
        if j == i + 1:
            shared.append(a.end)
        if i == 0 and j == n - 1:
            shared.append(a.start)
        # of two neighbouring lines only those that run back along each other share more than the corner
        if shared and isinstance(a, Line) and isinstance(b, Line) and not _runs_back(a, b, shared[0]):
            continue
        for m in meet(a, b, slack_mm):
            near = max((8.0 * s.radius * 2.0 * slack_mm) ** 0.5 if isinstance(s, Arc) else slack_mm for s in (a, b))
            if all(m.point.distance(p) > near for p in shared):
                result.append(Crossing(m.point, i, j))
    return result


def _runs_back(a: Line, b: Line, corner: Point) -> bool:
    """Whether two lines leave their common corner in the same direction."""
    u = (a.start if a.end == corner else a.end).minus(corner)
    v = (b.end if b.start == corner else b.start).minus(corner)
    return u.dot(v) > 0.0 and abs(u.cross(v)) <= 1e-6 * u.dot(v)
