"""Whether a polygon stands for a circle: the rule, and the doubt where the rule says no."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi

import numpy as np

from cutplan.geometry.vector import Point
from cutplan.tolerance import FIT_MM

#: Fewest chords of a circle. Six, eight and ten sides are drawn on purpose (nuts, tubes, knobs).
FEWEST_CHORDS = 12
#: Longest chord as a multiple of the mean chord: a flat on a shaft is not a chord.
UNEVEN = 2.0


def recognise_circle(points: Sequence[Point] | np.ndarray, tol_mm: float = FIT_MM) -> tuple[Point, float] | None:
    """Return the circle that a closed polygon is, within a tolerance, or None.

    The rule: at least 12 chords, none longer than twice the mean; every vertex lies within the tolerance of
    the circle that fits the vertices best, and so does the middle of every chord. So the polygon and the
    circle are nowhere further apart than the tolerance, and the answer changes no size that a shop could
    measure. A hexagon or an octagon is never a circle; sixteen chords are one only up to a diameter of
    about 1 mm, since at 20 mm their flats lie 0.19 mm inside; 360 chords are one up to about 525 mm.

    Parameters
    ----------
    points : sequence of Point or (n, 2) array
        Vertices of a closed polygon, first not repeated [mm].
    tol_mm : float
        Largest distance between polygon and circle [mm].

    Returns
    -------
    tuple[Point, float] or None
        Centre [mm] and radius [mm] of the circle through the vertices.
    """
    found = _fitted(points, tol_mm)
    if found is None:
        return None
    centre, radius, sagitta = found
    return (centre, radius) if sagitta <= tol_mm else None


def looks_round(points: Sequence[Point] | np.ndarray, tol_mm: float = FIT_MM) -> tuple[Point, float, float] | None:
    """Return (centre [mm], radius [mm], depth of the flats [mm]) of a polygon, (n, 2) [mm], that may stand for a circle.

    As :func:`recognise_circle`, but with the flats of any depth: for a finding, not for a silent change.
    """
    return _fitted(points, tol_mm)


def fitted_circle(points: np.ndarray) -> tuple[float, float, float] | None:
    """Return (x, y, radius) [mm] of the circle that fits points best, None where they lie on a line.

    Algebraic least squares about the mean of the points, then two Gauss-Newton steps on true distances.
    """
    mean = points.mean(axis=0)
    q = points - mean
    square = (q**2).sum(axis=1)
    normal = q.T @ q
    if np.linalg.det(normal) <= 1e-12 * max(float(np.trace(normal)), 1e-300) ** 2:
        return None
    # |q|^2 = 2 q.c + (r^2 - |c|^2); the mean of q is zero, so the two unknowns part
    cx, cy = np.linalg.solve(2.0 * normal, q.T @ square)
    radius = float(np.sqrt(square.mean() + cx * cx + cy * cy))
    for _ in range(2):
        dx, dy = q[:, 0] - cx, q[:, 1] - cy
        size = np.hypot(dx, dy)
        if size.min() <= 0.0:
            return None
        rows = np.column_stack((dx / size, dy / size, np.ones(len(q))))
        step, *_ = np.linalg.lstsq(rows, size - radius, rcond=None)
        cx, cy, radius = cx + step[0], cy + step[1], radius + float(step[2])
    return float(mean[0] + cx), float(mean[1] + cy), radius


def _fitted(points: Sequence[Point] | np.ndarray, tol_mm: float) -> tuple[Point, float, float] | None:
    p = np.asarray(points, dtype=float)
    if len(p) < FEWEST_CHORDS:
        return None
    step = np.roll(p, -1, axis=0) - p
    chord = np.hypot(step[:, 0], step[:, 1])
    if chord.max() > UNEVEN * chord.mean():
        return None
    found = fitted_circle(p)
    if found is None:
        return None
    x, y, radius = found
    q = p - (x, y)
    if np.abs(np.hypot(q[:, 0], q[:, 1]) - radius).max() > tol_mm or radius <= tol_mm:
        return None
    angle = np.arctan2(q[:, 1], q[:, 0])
    turn = (np.roll(angle, -1) - angle + pi) % (2.0 * pi) - pi
    # once around, without turning back by more than the noise of the vertices
    if abs(abs(float(turn.sum())) - 2.0 * pi) > 1e-6 or float(np.abs(turn).sum()) > 2.0 * pi * 1.05:
        return None
    middle = q + 0.5 * step
    sagitta = float((radius - np.hypot(middle[:, 0], middle[:, 1])).max())
    return Point(x, y), radius, max(sagitta, 0.0)
