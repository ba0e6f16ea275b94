"""Free curves of drawings as pieces that can be evaluated many at a time: cubics, ellipse pieces, B-splines."""

from __future__ import annotations

from typing import Any

import numpy as np

from cutplan.files.curves.biarcs import Evaluator
from cutplan.files.traces import Cubics, Ellipse, Floats, Ints, Run, Spline, straight


def cubic_evaluator(ctrl: Floats) -> Evaluator:
    """Return the evaluator of cubic Bezier pieces with control points (n, 4, 2)."""

    def at(piece: Ints, s: Floats) -> tuple[Floats, Floats]:
        p = ctrl[piece]
        s = s[:, None]
        r = 1.0 - s
        p0, p1, p2, p3 = p[:, 0], p[:, 1], p[:, 2], p[:, 3]
        xy = r**3 * p0 + 3.0 * r**2 * s * p1 + 3.0 * r * s**2 * p2 + s**3 * p3
        d = 3.0 * (r**2 * (p1 - p0) + 2.0 * r * s * (p2 - p1) + s**2 * (p3 - p2))
        # where a control point sits on an end the direction comes from the next one
        size = np.abs(p - p0[:, None]).max(axis=(1, 2))
        flat = np.hypot(d[:, 0], d[:, 1]) <= 1e-9 * size
        if flat.any():
            early = (s[:, 0] < 0.5) & flat
            late = flat & ~early
            d[early] = np.where(_tiny(p2 - p0, size)[early, None], (p3 - p0)[early], (p2 - p0)[early])
            d[late] = np.where(_tiny(p3 - p1, size)[late, None], (p3 - p0)[late], (p3 - p1)[late])
        return xy, d

    return at


def _tiny(v: Floats, size: Floats) -> np.ndarray[Any, np.dtype[np.bool_]]:
    tiny: np.ndarray[Any, np.dtype[np.bool_]] = np.hypot(v[:, 0], v[:, 1]) <= 1e-9 * size
    return tiny


def ellipse_pieces(e: Ellipse) -> Floats:
    """Return rows (cx, cy, ux, uy, vx, vy, from, to) of at most quarter turns, split at the ends of the axes."""
    u, v = np.array(e.u), np.array(e.v)
    # breaks at the ends of the axes keep the arcs symmetric
    m = 0.5 * np.arctan2(2.0 * float(u @ v), float(u @ u - v @ v))
    quarters = m + 0.5 * np.pi * np.arange(-40, 41)
    low, high = min(e.t0, e.t1), max(e.t0, e.t1)
    inner = quarters[(quarters > low + 1e-6) & (quarters < high - 1e-6)]
    breaks = np.concatenate([[low], inner, [high]])
    if e.t0 > e.t1:
        breaks = breaks[::-1]
    n = len(breaks) - 1
    shape = np.tile(np.array([*e.c, *e.u, *e.v]), (n, 1))
    return np.column_stack([shape, breaks[:-1], breaks[1:]])


def ellipse_evaluator(rows: Floats) -> Evaluator:
    """Return the evaluator of ellipse pieces, (pieces, ...), as given by :func:`ellipse_pieces`."""

    def at(piece: Ints, s: Floats) -> tuple[Floats, Floats]:
        row = rows[piece]
        span = row[:, 7] - row[:, 6]
        t = row[:, 6] + s * span
        k, w = np.cos(t)[:, None], np.sin(t)[:, None]
        c, u, v = row[:, 0:2], row[:, 2:4], row[:, 4:6]
        return c + u * k + v * w, (v * k - u * w) * span[:, None]

    return at


#: Points of splines that are computed at a time, which bounds the memory.
_AT_ONCE = 50_000


def spline_evaluator(splines: list[Spline]) -> tuple[Evaluator, list[int]]:
    """Return the evaluator of rational B-splines of one degree (de Boor in homogeneous coordinates).

    The second value is the number of pieces of each spline; pieces are numbered through all of them.
    """
    p = splines[0].degree
    homes, spans, shifts, counts, origins = [], [], [], [], []
    knots_before = points_before = 0
    for s in splines:
        n = len(s.ctrl)
        local = np.flatnonzero(np.diff(s.knots[p : n + 1]) > 0.0) + p
        homes.append(np.column_stack([(s.ctrl - s.ctrl[0]) * s.weights[:, None], s.weights]))
        spans.append(local + knots_before)
        shifts.append(np.full(len(local), points_before - knots_before))
        origins.append(np.repeat(s.ctrl[:1], len(local), axis=0))
        counts.append(len(local))
        knots_before += len(s.knots)
        points_before += n
    knots = np.concatenate([s.knots for s in splines])
    home, span_of, shift_of = np.concatenate(homes), np.concatenate(spans), np.concatenate(shifts)
    origin_of = np.concatenate(origins)

    def some(piece: Ints, share: Floats) -> tuple[Floats, Floats]:
        span = span_of[piece]
        first = span + shift_of[piece] - p
        width = knots[span + 1] - knots[span]
        t = knots[span] + share * width
        d = home[first[:, None] + np.arange(p + 1)[None, :]]
        slope = np.zeros((len(t), 3))
        for r in range(1, p + 1):
            if r == p:
                slope = p * (d[:, p] - d[:, p - 1])
            for j in range(p, r - 1, -1):
                left = knots[span - p + j]
                gap = knots[span + 1 + j - r] - left
                alpha = np.where(gap > 0.0, (t - left) / np.where(gap > 0.0, gap, 1.0), 0.0)[:, None]
                d[:, j] = (1.0 - alpha) * d[:, j - 1] + alpha * d[:, j]
        h = d[:, p]
        w = h[:, 2:3]
        xy = h[:, :2] / w
        return xy + origin_of[piece], (slope[:, :2] - slope[:, 2:3] * xy) / w

    def at(piece: Ints, share: Floats) -> tuple[Floats, Floats]:
        if len(piece) <= _AT_ONCE:
            return some(piece, share)
        parts = [some(piece[i : i + _AT_ONCE], share[i : i + _AT_ONCE]) for i in range(0, len(piece), _AT_ONCE)]
        return np.concatenate([q for q, _ in parts]), np.concatenate([d for _, d in parts])

    return at, counts


def as_cubics(s: Spline) -> Run:
    """Return a spline of degree 1 to 3 without weights as lines or Bezier pieces, exactly; any other as it is."""
    if s.degree > 3 or (s.weights != s.weights[0]).any():
        return s
    if s.degree == 1:
        return straight(s.ctrl)
    evaluate, (n,) = spline_evaluator([s])
    pieces = np.arange(n, dtype=np.int64)
    p0, d0 = evaluate(pieces, np.zeros(n))
    p3, d3 = evaluate(pieces, np.ones(n))
    # the derivative is by the share of the span: a third of it leads to the inner control points of a cubic
    return Cubics(np.stack([p0, p0 + d0 / 3.0, p3 - d3 / 3.0, p3], axis=1))


def through_points(points: Floats, closed: bool, first: Floats | None, last: Floats | None) -> Run:
    """Return the cubic spline through (n, 2) points with chord-length parameters.

    End tangents are directions; without them the ends are natural (no curvature). Closed ones are periodic.
    """
    keep = np.concatenate([[True], np.hypot(*np.diff(points, axis=0).T) > 1e-12])
    points = points[keep]
    if len(points) < 2:
        return straight(np.vstack([points, points])[:2])
    if closed and np.hypot(*(points[0] - points[-1])) > 1e-9:
        points = np.vstack([points, points[:1]])
    if len(points) == 2:
        return straight(points)
    from scipy.interpolate import CubicSpline

    t = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    ends: Any = ((2, np.zeros(2)), (2, np.zeros(2)))
    if closed:
        points = points.copy()
        points[-1] = points[0]
        ends = "periodic"
    elif first is not None or last is not None:
        unit = [v / np.hypot(*v) if v is not None else None for v in (first, last)]
        ends = tuple((1, v) if v is not None else (2, np.zeros(2)) for v in unit)
    cubic = CubicSpline(t, points, bc_type=ends)
    slopes = cubic(t, 1)
    h = np.diff(t)[:, None]
    ctrl = np.stack(
        [points[:-1], points[:-1] + slopes[:-1] * h / 3.0, points[1:] - slopes[1:] * h / 3.0, points[1:]], axis=1
    )
    return Cubics(ctrl)
