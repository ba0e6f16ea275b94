"""Arcs that almost run into the lines beside them made to do so exactly: what rounding of vertices undid."""

from __future__ import annotations

from math import atan2, pi, tan

from cutplan.geometry.intersect import prolonged_meet
from cutplan.geometry.segment import TAU, Arc, Line, Segment
from cutplan.geometry.vector import Point

#: Kink between a line and an arc above which it is meant [rad].
MEANT_RAD = 0.03
#: Kink below which there is nothing to mend [rad].
TANGENT_ALREADY_RAD = 1e-9
#: Turn this close to half a circle counts as two parallel lines, as at the end of a slot [rad].
_PARALLEL_RAD = 1e-7


def made_tangent(segments: list[Segment], closed: bool, within_mm: float) -> list[Segment]:
    """Return a chain in which every arc between two lines that it almost touches tangentially does so.

    The ends of the arc move along the lines, whose directions stay; the arc gets the radius of the true
    fillet. Nothing is changed where a kink is meant, or where ends or middle would move too far.

    Parameters
    ----------
    segments : list[Segment]
        Chain of lines and arcs.
    closed : bool
        Whether the last segment joins the first.
    within_mm : float
        Furthest that the ends and the middle of an arc may move [mm].
    """
    result = list(segments)
    n = len(result)
    for k in range(n) if closed else range(1, n - 1):
        before, arc, after = result[k - 1], result[k], result[(k + 1) % n]
        if n < 3 or not (isinstance(before, Line) and isinstance(arc, Arc) and isinstance(after, Line)):
            continue
        kinks = (
            abs(before.end_direction.cross(arc.start_direction)),
            abs(arc.end_direction.cross(after.start_direction)),
        )
        if max(kinks) > MEANT_RAD or max(kinks) < TANGENT_ALREADY_RAD:
            continue
        mended = _fillet(before, arc, after)
        if (
            mended is None
            or max(
                mended.start.distance(arc.start),
                mended.end.distance(arc.end),
                mended.point_at(0.5).distance(arc.point_at(0.5)),
            )
            > within_mm
        ):
            continue
        result[k] = mended
        result[k - 1] = Line(before.start, mended.start)
        result[(k + 1) % n] = Line(mended.end, after.end)
    return result


def _fillet(before: Line, arc: Arc, after: Line) -> Arc | None:
    """The arc tangent to both lines that lies nearest to a given one."""
    u, v = before.end_direction, after.start_direction
    turn = atan2(u.cross(v), u.dot(v))
    if turn * arc.sweep < 0.0:  # a hair more than half a circle
        turn += TAU if arc.sweep > 0.0 else -TAU
    if abs(turn - arc.sweep) > 2.0 * MEANT_RAD:
        return None
    if abs(pi - abs(turn)) < _PARALLEL_RAD:
        across = after.start.minus(before.end).cross(u)
        radius = 0.5 * abs(across)
        back = 0.5 * after.start.minus(before.end).dot(u)
        start = before.end.plus(u.times(back))
        end = start.plus(u.left().times(2.0 * radius if turn > 0.0 else -2.0 * radius))
    else:
        corners = prolonged_meet(before, after)
        if not corners:
            return None
        corner = corners[0]
        reach = 0.5 * (corner.minus(arc.start).dot(u) + arc.end.minus(corner).dot(v))
        radius = reach / tan(0.5 * abs(turn))  # both negative beyond half a circle
        start, end = corner.minus(u.times(reach)), corner.plus(v.times(reach))
    if radius <= 0.0:
        return None
    side = radius if turn > 0.0 else -radius
    centre = Point(start.x - side * u.y, start.y + side * u.x)
    return Arc(start, end, centre, radius, turn)
