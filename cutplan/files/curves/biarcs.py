"""Free curves as tangent arcs: pairs of arcs that meet the curve's ends and directions, halved until close enough."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from cutplan.files.traces import Floats, Ints

#: Points and derivatives of curve pieces: (piece (n), parameter 0 to 1 (n)) -> (xy (n, 2), dxy (n, 2)).
Evaluator: TypeAlias = Callable[[Ints, Floats], tuple[Floats, Floats]]

_CHECKS = np.array([0.1, 0.25, 0.4, 0.5, 0.6, 0.75, 0.9])
_DEEPEST = 20
#: Most pieces that are looked at in one round; beyond, there are more arcs than a drawing may hold.
_WIDEST = 200_000


def biarcs(evaluate: Evaluator, tolerance: Floats) -> tuple[Ints, Floats, Floats]:
    """Return arcs of many curve pieces at once: the piece, three points (n, 3, 2) and two bulges (n, 2) a pair.

    Parameters
    ----------
    evaluate : callable
        Points and derivatives of a piece at a parameter from 0 to 1.
    tolerance : array (m)
        Largest distance between each piece and its arcs, in the curve's own units.

    Returns
    -------
    tuple of arrays
        Pairs of arcs in order of piece and parameter. Neighbouring arcs share their tangent wherever the curve does.

    Notes
    -----
    Of the family of arc pairs through two points with two tangents the one with equal tangent lengths is taken:
    (held by a test against one pair at a time): with chord v and unit
    tangents a, b the length d solves 2 d^2 (1 - a.b) + 2 d v.(a + b) - v.v = 0 [1]_.

    References
    ----------
    .. [1] K. M. Bolton, Biarc curves, Computer-Aided Design 7 (1975) 89-92 (formula from memory, checked by test).
    """
    piece = np.arange(len(tolerance), dtype=np.int64)
    a, b = np.zeros(len(piece)), np.ones(len(piece))
    done: list[tuple[Ints, Floats, Floats, Floats]] = []
    for depth in range(_DEEPEST):
        p0, t0 = evaluate(piece, a)
        p1, t1 = evaluate(piece, b)
        many = np.repeat(piece, len(_CHECKS))
        q, _ = evaluate(many, (a[:, None] + (b - a)[:, None] * _CHECKS).ravel())
        q = q.reshape(len(a), len(_CHECKS), 2)
        middle, bulges, sound = _pair(p0, _unit(t0), p1, _unit(t1))
        off = np.minimum(_distance(p0, middle, bulges[:, 0], q), _distance(middle, p1, bulges[:, 1], q)).max(axis=1)
        size = np.hypot(*(p1 - p0).T)
        good = (off <= tolerance[piece]) & sound & np.isfinite(middle).all(axis=1)
        if depth == _DEEPEST - 1 or len(a) > _WIDEST:
            good[:] = True
        else:
            good |= size <= 1e-9 * tolerance[piece]
        stuck = good & ~np.isfinite(middle).all(axis=1)
        middle[stuck], bulges[stuck] = 0.5 * (p0 + p1)[stuck], 0.0
        done.append((piece[good], a[good], np.stack([p0, middle, p1], axis=1)[good], bulges[good]))
        piece, a, b = piece[~good], a[~good], b[~good]
        if len(a) == 0:
            break
        half = 0.5 * (a + b)
        piece, a, b = np.concatenate([piece, piece]), np.concatenate([a, half]), np.concatenate([half, b])
    owner = np.concatenate([d[0] for d in done])
    order = np.lexsort((np.concatenate([d[1] for d in done]), owner))
    return owner[order], np.concatenate([d[2] for d in done])[order], np.concatenate([d[3] for d in done])[order]


def _unit(v: Floats) -> Floats:
    size = np.hypot(v[:, 0], v[:, 1])[:, None]
    return np.where(size > 0.0, v / np.where(size > 0.0, size, 1.0), 0.0)


def _pair(p0: Floats, t0: Floats, p1: Floats, t1: Floats) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Return joint, both bulges, and whether each arc turns by well less than half a turn."""
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
    bulges = np.tan(0.5 * np.column_stack([turn0, turn1]))
    return middle, np.where(np.abs(bulges) < 1e-10, 0.0, bulges), sound


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
