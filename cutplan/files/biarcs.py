"""Free curves as tangent arcs: pairs of arcs that meet the curve's ends and directions, halved until close enough."""

from __future__ import annotations

import numpy as np

from cutplan.files.curves import Evaluator
from cutplan.files.traces import Floats

_CHECKS = np.array([0.1, 0.25, 0.4, 0.5, 0.6, 0.75, 0.9])
_DEEPEST = 24


def biarcs(evaluate: Evaluator, breaks: Floats, tolerance: float) -> tuple[Floats, Floats]:
    """Return points (n, 2) and bulges (n - 1) of arcs that stay within a tolerance of a curve.

    Parameters
    ----------
    evaluate : callable
        Points and derivatives at parameters.
    breaks : array (m)
        Parameters at which a new pair of arcs must start, in order of travel.
    tolerance : float
        Largest distance between curve and arcs, in the curve's own units.

    Returns
    -------
    tuple of arrays
        Points and the bulge from each to the next. Neighbouring arcs share their tangent wherever the curve does.

    Notes
    -----
    Of the family of arc pairs through two points with two tangents the one with equal tangent lengths is taken:
    with chord v and unit tangents a, b the length d solves 2 d^2 (1 - a.b) + 2 d v.(a + b) - v.v = 0 [1]_.

    References
    ----------
    .. [1] K. M. Bolton, Biarc curves, Computer-Aided Design 7 (1975) 89-92 (formula from memory, checked by test).
    """
    a, b = breaks[:-1], breaks[1:]
    backwards = bool(breaks[-1] < breaks[0])
    done: list[tuple[Floats, Floats, Floats, Floats]] = []
    for depth in range(_DEEPEST):
        nudge = 1e-9 * (b - a)
        p0, t0 = evaluate(a + nudge)
        p1, t1 = evaluate(b - nudge)
        if backwards:
            t0, t1 = -t0, -t1
        p0, p1 = _exact_ends(evaluate, a, b, p0, p1)
        q, _ = evaluate((a[:, None] + (b - a)[:, None] * _CHECKS).ravel())
        q = q.reshape(len(a), len(_CHECKS), 2)
        middle, bulge0, bulge1, sound = _pair(p0, _unit(t0), p1, _unit(t1))
        off = np.minimum(_distance(p0, middle, bulge0, q), _distance(middle, p1, bulge1, q)).max(axis=1)
        good = (off <= tolerance) & sound
        good |= np.hypot(*(p1 - p0).T) <= 1e-9 * tolerance
        if depth == _DEEPEST - 1 or len(a) > 400_000:
            good[:] = True
        points = np.stack([p0, middle, p1], axis=1)[good]
        done.append((a[good], points, bulge0[good], bulge1[good]))
        a, b = a[~good], b[~good]
        if len(a) == 0:
            break
        half = 0.5 * (a + b)
        a, b = np.concatenate([a, half]), np.concatenate([half, b])
    start = np.concatenate([d[0] for d in done])
    order = np.argsort(-start if backwards else start, kind="stable")
    pts = np.concatenate([d[1] for d in done])[order]
    b0 = np.concatenate([d[2] for d in done])[order]
    b1 = np.concatenate([d[3] for d in done])[order]
    xy = np.vstack([pts[:, :2].reshape(-1, 2), pts[-1:, 2]])
    bulge = np.column_stack([b0, b1]).ravel()
    return xy, bulge


def _exact_ends(evaluate: Evaluator, a: Floats, b: Floats, p0: Floats, p1: Floats) -> tuple[Floats, Floats]:
    """Return the end points at the exact parameters: the nudged ones only serve the directions at breaks."""
    q0, q1 = evaluate(a)[0], evaluate(b)[0]
    return np.where(np.isfinite(q0), q0, p0), np.where(np.isfinite(q1), q1, p1)


def _unit(v: Floats) -> Floats:
    size = np.hypot(v[:, 0], v[:, 1])[:, None]
    return np.where(size > 0.0, v / np.where(size > 0.0, size, 1.0), 0.0)


def _pair(
    p0: Floats, t0: Floats, p1: Floats, t1: Floats
) -> tuple[Floats, Floats, Floats, np.ndarray[tuple[int], np.dtype[np.bool_]]]:
    """Return joint, both bulges, and whether the pair turns less than half a turn in each arc."""
    v = p1 - p0
    vv = (v * v).sum(axis=1)
    across = (v * (t0 + t1)).sum(axis=1)
    blunt = 1.0 - (t0 * t1).sum(axis=1)
    root = np.sqrt(np.maximum(across**2 + 2.0 * blunt * vv, 0.0))
    # stable form of the positive root, good also for parallel tangents
    below = across + root
    d = np.where(below > 1e-12 * np.sqrt(vv), vv / np.where(below == 0.0, 1.0, below), np.sqrt(vv))
    middle = 0.5 * (p0 + d[:, None] * t0 + p1 - d[:, None] * t1)
    c0, c1 = middle - p0, p1 - middle
    turn0 = np.arctan2(t0[:, 0] * c0[:, 1] - t0[:, 1] * c0[:, 0], (t0 * c0).sum(axis=1))
    turn1 = np.arctan2(c1[:, 0] * t1[:, 1] - c1[:, 1] * t1[:, 0], (t1 * c1).sum(axis=1))
    sound = (np.abs(turn0) < 1.2) & (np.abs(turn1) < 1.2)
    bulge0, bulge1 = np.tan(0.5 * turn0), np.tan(0.5 * turn1)
    bulge0 = np.where(np.abs(bulge0) < 1e-10, 0.0, bulge0)
    bulge1 = np.where(np.abs(bulge1) < 1e-10, 0.0, bulge1)
    return middle, bulge0, bulge1, sound


def _distance(p: Floats, q: Floats, bulge: Floats, points: Floats) -> Floats:
    """Return distances of points (n, m, 2) from the circles (or lines) that carry n arcs."""
    v = q - p
    chord = np.hypot(v[:, 0], v[:, 1])
    safe = np.where(chord > 0.0, chord, 1.0)
    half = 2.0 * np.arctan(bulge)
    c, s = np.cos(-half), np.sin(-half)
    tx, ty = (c * v[:, 0] - s * v[:, 1]) / safe, (s * v[:, 0] + c * v[:, 1]) / safe
    curvature = (2.0 * np.sin(half) / safe)[:, None]
    r = points - p[:, None, :]
    rr = (r * r).sum(axis=2)
    f = curvature * rr - 2.0 * (r[:, :, 1] * tx[:, None] - r[:, :, 0] * ty[:, None])
    off: Floats = np.abs(f) / (1.0 + np.sqrt(np.maximum(1.0 + curvature * f, 0.0)))
    return off
