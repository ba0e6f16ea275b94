"""How far a run of a drawing really reaches: arcs and curves at their bulge, not only at their points."""

from __future__ import annotations

import numpy as np

from cutplan.files.traces import Bulged, Cubics, Ellipse, Floats, Run

#: Points looked at on each piece of a free curve.
_SAMPLES = 33


def true_extent(run: Run) -> Floats:
    """Return points (n, 2) whose box is the box of the run: exact for lines, arcs and ellipses, close for free curves."""
    if isinstance(run, Bulged):
        return _of_arcs(run)
    if isinstance(run, Ellipse):
        return _of_ellipse(run)
    if isinstance(run, Cubics):
        t = np.linspace(0.0, 1.0, _SAMPLES)[None, :, None]
        p = run.ctrl[:, :, None, :]
        r = 1.0 - t
        curve = r**3 * p[:, 0] + 3 * r**2 * t * p[:, 1] + 3 * r * t**2 * p[:, 2] + t**3 * p[:, 3]
        low_high: Floats = np.vstack([curve.min(axis=(0, 1)), curve.max(axis=(0, 1))])
        return low_high
    from cutplan.files.curves.pieces import spline_evaluator

    evaluate, (count,) = spline_evaluator([run])
    share = np.tile(np.linspace(0.0, 1.0, _SAMPLES), count)
    points, _ = evaluate(np.repeat(np.arange(count), _SAMPLES), share)
    return points


def _of_arcs(run: Bulged) -> Floats:
    if not run.bulge.any():
        return run.xy
    bent = np.abs(run.bulge) > 1e-9
    a, b, bulge = run.xy[:-1][bent], run.xy[1:][bent], run.bulge[bent]
    v = b - a
    rise = ((1.0 - bulge * bulge) / (4.0 * bulge))[:, None]
    centre = a + 0.5 * v + rise * np.column_stack([-v[:, 1], v[:, 0]])
    radius = np.hypot(*(a - centre).T)
    start = np.arctan2(*(a - centre).T[::-1])
    sweep = 4.0 * np.arctan(bulge)
    out = [run.xy]
    for quarter in range(4):
        angle = 0.5 * np.pi * quarter
        ahead = np.where(sweep > 0.0, angle - start, start - angle) % (2.0 * np.pi)
        hit = ahead < np.abs(sweep)
        way = np.array([np.cos(angle), np.sin(angle)])
        out.append(centre[hit] + radius[hit, None] * way)
    return np.vstack(out)


def _of_ellipse(run: Ellipse) -> Floats:
    if run.is_full:
        return run.extent()
    low, high = min(run.t0, run.t1), max(run.t0, run.t1)
    at = [run.t0, run.t1]
    for axis in (0, 1):
        first = np.arctan2(run.v[axis], run.u[axis])
        turns = np.arange(np.ceil((low - first) / np.pi), np.floor((high - first) / np.pi) + 1.0)
        at += (first + np.pi * turns).tolist()
    return np.array([run.at(float(t)) for t in at])
