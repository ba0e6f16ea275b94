"""All free curves of a drawing turned into arcs in one go."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from cutplan.errors import LimitError
from cutplan.files.curves.biarcs import Evaluator, biarcs
from cutplan.files.curves.pieces import cubic_evaluator, ellipse_evaluator, ellipse_pieces, spline_evaluator
from cutplan.files.limits import MAX_CURVES
from cutplan.files.traces import Cubics, Ellipse, Floats, Run, Spline
from cutplan.texts import say

#: Largest distance between a free curve and the arcs that replace it [mm], and as a share of the curve's size;
#: the smaller one holds, which keeps areas right to a few millionths.
CURVE_MM, CURVE_SHARE, CURVE_LEAST_MM = 0.0005, 5e-6, 1e-4
#: Pieces beyond which all curves are held to the coarser of the two.
_MANY = 5000


class Fitted(NamedTuple):
    """A curve as arcs: points (n + 1, 2), bulges (n), and the joints of the curve itself."""

    xy: Floats
    bulge: Floats
    joints: Floats


def fit_curves(runs: list[Run]) -> list[Fitted]:
    """Return arcs for free curves in millimetres, in the same order.

    Raises
    ------
    LimitError
        If there are more curve pieces than can be fitted in seconds.
    """
    out: list[Fitted | None] = [None] * len(runs)
    cubic = [i for i, r in enumerate(runs) if isinstance(r, Cubics)]
    oval = [i for i, r in enumerate(runs) if isinstance(r, Ellipse)]
    if cubic:
        parts = [r.ctrl for r in runs if isinstance(r, Cubics)]
        _batch(cubic, [len(p) for p in parts], runs, cubic_evaluator(np.concatenate(parts)), out)
    if oval:
        rows = [ellipse_pieces(r) for r in runs if isinstance(r, Ellipse)]
        _batch(oval, [len(r) for r in rows], runs, ellipse_evaluator(np.concatenate(rows)), out)
    for degree in sorted({r.degree for r in runs if isinstance(r, Spline)}):
        same = [(i, r) for i, r in enumerate(runs) if isinstance(r, Spline) and r.degree == degree]
        evaluate, counts = spline_evaluator([r for _, r in same])
        if sum(counts) * max(1.0, (degree / 4.0) ** 2) > MAX_CURVES:
            raise LimitError(
                say("the drawing holds too many pieces of splines of degree {degree}", degree=degree),
                hint=say("export lines and arcs instead"),
            )
        _batch([i for i, _ in same], counts, runs, evaluate, out)
    return [f for f in out if f is not None]


def tolerance_of(run: Run) -> float:
    """Return how close arcs must stay to a curve [mm]."""
    size = float(np.ptp(run.extent(), axis=0).max())
    return max(CURVE_LEAST_MM, min(CURVE_MM, CURVE_SHARE * size))


def _batch(
    members: list[int], counts: list[int], runs: list[Run], evaluate: Evaluator, out: list[Fitted | None]
) -> None:
    """Fit the pieces of several runs at once and share the arcs out again."""
    total = sum(counts)
    if total > MAX_CURVES:
        raise LimitError(
            say("the drawing holds more than {max_curves} curve pieces", max_curves=MAX_CURVES),
            hint=say("keep only the layer of the plate"),
        )
    each = [tolerance_of(runs[i]) if total <= _MANY else CURVE_MM for i in members]
    tolerance = np.repeat(each, counts)
    owner, points, bulges = biarcs(evaluate, tolerance)
    edges = np.searchsorted(owner, np.concatenate([[0], np.cumsum(counts)]))
    for k, i in enumerate(members):
        a, b = edges[k], edges[k + 1]
        xy = np.vstack([points[a:b, :2].reshape(-1, 2), points[b - 1 : b, 2]])
        first = np.concatenate([[True], owner[a + 1 : b] != owner[a : b - 1]])
        joints = np.vstack([points[a:b][first, 0], points[b - 1 : b, 2]])
        out[i] = Fitted(xy, bulges[a:b].ravel(), joints)
