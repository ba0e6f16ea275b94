"""Two tangent arcs between two points with given directions, and their distance from samples."""

from __future__ import annotations

from math import atan2, sqrt, tan

import numpy as np

from cutplan.geometry.segment import Arc, Line, Segment, arc_from_bulge
from cutplan.geometry.vector import Point

#: Rise of an arc over its chord below which it is a line [mm].
_FLAT_MM = 1e-7


def biarc(start: Point, start_direction: Point, end: Point, end_direction: Point) -> tuple[Segment, ...] | None:
    """Return one or two tangent segments from a point and direction to another [1]_.

    Of the one-parameter family the member with equal tangent lengths d is taken:

    .. math:: v \\cdot v - 2 d\\, v \\cdot (t_1 + t_2) - 2 d^2 (1 - t_1 \\cdot t_2) = 0

    with v from start to end and the unit directions t1, t2; the arcs meet at the middle of the points
    start + d t1 and end - d t2.

    Parameters
    ----------
    start, end : Point
        End points [mm].
    start_direction, end_direction : Point
        Unit vectors of travel.

    Returns
    -------
    tuple of segments, or None
        None where the points are one or the directions allow no such pair.

    References
    ----------
    .. [1] Bolton, K.M. (1975). Biarc curves. Computer-Aided Design 7(2), 89-92. Equation from the
       condition that the two tangent lengths are equal.
    """
    t1, t2 = start_direction, end_direction
    v = end.minus(start)
    vv = v.dot(v)
    if vv == 0.0:
        return None
    sum_ = t1.plus(t2)
    a, b = 2.0 * (1.0 - t1.dot(t2)), v.dot(sum_)
    if a > 1e-12:
        # the positive root, in the form that loses no digits when a is small
        root = sqrt(b * b + a * vv)
        d = vv / (b + root) if b > 0.0 else (root - b) / a
    elif b > 0.0:
        d = 0.5 * vv / b
    else:
        return None
    joint = Point(
        0.5 * (start.x + end.x + d * (t1.x - t2.x)),
        0.5 * (start.y + end.y + d * (t1.y - t2.y)),
    )
    first, second = joint.minus(start), end.minus(joint)
    if first.length() == 0.0 or second.length() == 0.0:
        return None
    one = _bent(start, joint, atan2(t1.cross(first), t1.dot(first)))
    two = _bent(joint, end, atan2(second.cross(t2), second.dot(t2)))
    return _as_one(one, two)


def biarc_error(parts: tuple[Segment, ...], samples: np.ndarray) -> float:
    """Return the largest distance of (n, 2) samples [mm] from one or two segments, each sample to the nearer one."""
    best: np.ndarray | None = None
    for s in parts:
        away = _distance(s, samples)
        best = away if best is None else np.minimum(best, away)
    return float(best.max()) if best is not None and len(best) else 0.0


def _distance(s: Segment, q: np.ndarray) -> np.ndarray:
    """Distance of samples from a segment, its ends included."""
    x, y = q[:, 0], q[:, 1]
    ends = np.minimum(np.hypot(x - s.start.x, y - s.start.y), np.hypot(x - s.end.x, y - s.end.y))
    if isinstance(s, Line):
        dx, dy = s.end.x - s.start.x, s.end.y - s.start.y
        size = s.length
        wx, wy = x - s.start.x, y - s.start.y
        along = (wx * dx + wy * dy) / size
        beside = (along >= 0.0) & (along <= size)
        return np.where(beside, np.abs(wx * dy - wy * dx) / size, ends)
    wx, wy = x - s.centre.x, y - s.centre.y
    turn = np.arctan2(wy, wx) - s.start_angle
    along = (turn if s.sweep > 0.0 else -turn) % (2.0 * np.pi)
    return np.where(along <= abs(s.sweep), np.abs(np.hypot(wx, wy) - s.radius), ends)


def _bent(start: Point, end: Point, half_sweep: float) -> Segment:
    bulge = tan(0.5 * half_sweep)
    if abs(bulge) * start.distance(end) < 2.0 * _FLAT_MM:
        return Line(start, end)
    return arc_from_bulge(start, end, bulge)


def _as_one(one: Segment, two: Segment) -> tuple[Segment, ...]:
    """Join the two parts where they are one line or one arc."""
    merged = joined(one, two)
    return (one, two) if merged is None else (merged,)


def joined(one: Segment, two: Segment) -> Segment | None:
    """Return the single segment that two in a row make up, None when they are two."""
    if isinstance(one, Line) and isinstance(two, Line):
        if abs(one.end_direction.cross(two.start_direction)) * min(one.length, two.length) < _FLAT_MM:
            return Line(one.start, two.end)
        return None
    if isinstance(one, Arc) and isinstance(two, Arc) and one.sweep * two.sweep > 0.0:
        whole = one.sweep + two.sweep
        if abs(whole) < 6.0 and abs(one.radius - two.radius) < 1e-7 + 1e-9 * one.radius:
            apart = one.centre.distance(two.centre)
            if apart < 1e-7 + 1e-9 * one.radius:
                return arc_from_bulge(one.start, two.end, tan(0.25 * whole))
    return None
