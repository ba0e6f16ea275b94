"""Evaluation of the free curves that drawings hold: ellipses, cubic Bezier pieces, rational B-splines."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias

import numpy as np

from cutplan.files.traces import Cubics, Ellipse, Floats, Run, Spline, straight

#: Points and derivatives of a curve at parameters: t (n) -> (xy (n, 2), dxy (n, 2)).
Evaluator: TypeAlias = Callable[[Floats], tuple[Floats, Floats]]


def ellipse_curve(e: Ellipse) -> tuple[Evaluator, Floats]:
    """Return the evaluator of a piece of an ellipse and its break parameters (at most quarter turns)."""
    c, u, v = np.array(e.c), np.array(e.u), np.array(e.v)

    def at(t: Floats) -> tuple[Floats, Floats]:
        k, s = np.cos(t)[:, None], np.sin(t)[:, None]
        return c + u * k + v * s, v * k - u * s

    # breaks at the ends of the axes keep the arcs symmetric
    m = 0.5 * np.arctan2(2.0 * float(u @ v), float(u @ u - v @ v))
    quarters = m + 0.5 * np.pi * np.arange(-40, 41)
    low, high = min(e.t0, e.t1), max(e.t0, e.t1)
    inner = quarters[(quarters > low + 1e-6) & (quarters < high - 1e-6)]
    breaks = np.concatenate([[low], inner, [high]])
    return at, breaks if e.t0 <= e.t1 else breaks[::-1]


def cubics_curve(run: Cubics) -> tuple[Evaluator, Floats]:
    """Return the evaluator of joined Bezier pieces, piece i over parameters i to i + 1."""
    ctrl = run.ctrl
    n = len(ctrl)

    def at(t: Floats) -> tuple[Floats, Floats]:
        i = np.clip(np.floor(t).astype(np.int64), 0, n - 1)
        return _bezier(ctrl[i], t - i)

    return at, np.arange(n + 1, dtype=np.float64)


def _bezier(p: Floats, s: Floats) -> tuple[Floats, Floats]:
    s = s[:, None]
    r = 1.0 - s
    p0, p1, p2, p3 = p[:, 0], p[:, 1], p[:, 2], p[:, 3]
    xy = r**3 * p0 + 3.0 * r**2 * s * p1 + 3.0 * r * s**2 * p2 + s**3 * p3
    d = 3.0 * (r**2 * (p1 - p0) + 2.0 * r * s * (p2 - p1) + s**2 * (p3 - p2))
    # where a control point sits on an end the direction comes from the next one
    flat = np.hypot(d[:, 0], d[:, 1]) <= 1e-9 * np.abs(p3 - p0).max(initial=0.0)
    if flat.any():
        early = (s[:, 0] < 0.5) & flat
        late = flat & ~early
        d[early] = np.where(_tiny(p2 - p0)[early, None], (p3 - p0)[early], (p2 - p0)[early])
        d[late] = np.where(_tiny(p3 - p1)[late, None], (p3 - p0)[late], (p3 - p1)[late])
    return xy, d


def _tiny(v: Floats) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    return np.hypot(v[:, 0], v[:, 1]) <= 1e-12


def spline_curve(s: Spline) -> tuple[Evaluator, Floats]:
    """Return the evaluator of a rational B-spline (de Boor in homogeneous coordinates) and its knots as breaks."""
    p, knots = s.degree, s.knots
    n = len(s.ctrl)
    origin = s.ctrl[0]
    home = np.column_stack([(s.ctrl - origin) * s.weights[:, None], s.weights])

    def at(t: Floats) -> tuple[Floats, Floats]:
        span = np.clip(np.searchsorted(knots, t, side="right") - 1, p, n - 1)
        # a parameter at the far end belongs to the last span that is not empty
        empty = knots[span + 1] <= knots[span]
        while empty.any():
            span = np.where(empty & (span > p), span - 1, span)
            new = (knots[span + 1] <= knots[span]) & (span > p)
            if (new == empty).all():
                break
            empty = new
        d = home[span[:, None] - p + np.arange(p + 1)[None, :]]
        slope = np.zeros((len(t), 3))
        for r in range(1, p + 1):
            if r == p:
                width = knots[span + 1] - knots[span]
                width = np.where(width > 0.0, width, 1.0)
                slope = p * (d[:, p] - d[:, p - 1]) / width[:, None]
            for j in range(p, r - 1, -1):
                left = knots[span - p + j]
                right = knots[span + 1 + j - r]
                gap = right - left
                alpha = np.where(gap > 0.0, (t - left) / np.where(gap > 0.0, gap, 1.0), 0.0)[:, None]
                d[:, j] = (1.0 - alpha) * d[:, j - 1] + alpha * d[:, j]
        h = d[:, p]
        w = h[:, 2:3]
        xy = h[:, :2] / w
        dxy = (slope[:, :2] - slope[:, 2:3] * xy) / w
        return xy + origin, dxy

    breaks = np.unique(knots[p : n + 1])
    return at, breaks


def evaluator(run: Run) -> tuple[Evaluator, Floats]:
    """Return evaluator and break parameters of a free curve."""
    if isinstance(run, Ellipse):
        return ellipse_curve(run)
    if isinstance(run, Cubics):
        return cubics_curve(run)
    if isinstance(run, Spline):
        return spline_curve(run)
    raise TypeError("a bulged run is exact already")


def through_points(points: Floats, closed: bool, first: Floats | None, last: Floats | None) -> Run:
    """Return the cubic spline through points with chord-length parameters.

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
