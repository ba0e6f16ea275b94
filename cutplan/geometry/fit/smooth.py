"""Tangent lines and arcs for a dense polyline that stands for a smooth curve with a few real corners."""

from __future__ import annotations

from itertools import pairwise
from math import pi

import numpy as np

from cutplan.geometry.fit.curve import fit_samples
from cutplan.geometry.segment import Segment

#: Turn at a vertex from which it is a corner whatever its neighbours do [rad].
CORNER_RAD = 0.35
#: Turn at a vertex, as a multiple of that at both neighbours, from which it is a corner if above 0.05 rad.
CORNER_RATIO = 4.0


def fit_smooth(points: np.ndarray, closed: bool, tol_mm: float) -> list[Segment]:
    """Return a chain that is tangent everywhere but at the corners of the polyline.

    Parameters
    ----------
    points : (n, 2) array
        Distinct vertices [mm]; for a closed polyline the first is not repeated.
    closed : bool
        Whether the last vertex joins the first.
    tol_mm : float
        Largest distance of the vertices from the chain [mm].
    """
    p = points
    corner = corners(p, closed)
    if closed:
        first = int(np.argmax(corner)) if corner.any() else 0
        p = np.vstack((p[first:], p[: first + 1]))
        corner = np.concatenate((corner[first:], corner[: first + 1]))
        wrapped = not corner[0]
    else:
        wrapped = False
    breaks = [0, *(int(k) for k in np.flatnonzero(corner[1:-1]) + 1), len(p) - 1]
    segments: list[Segment] = []
    for i, j in pairwise(breaks):
        part = p[i : j + 1]
        segments.extend(fit_samples(part, tangents(part, wrapped), tol_mm))
    return segments


def corners(points: np.ndarray, closed: bool) -> np.ndarray:
    """Return for each of (n, 2) vertices whether the polyline has a real corner there; ends of an open one have none."""
    n = len(points)
    if n < 3:
        return np.zeros(n, dtype=bool)
    step = np.roll(points, -1, axis=0) - points
    heading = np.arctan2(step[:, 1], step[:, 0])
    turn = np.abs((heading - np.roll(heading, 1) + pi) % (2.0 * pi) - pi)
    if not closed:
        turn[0] = turn[-1] = 0.0
    neighbour = np.maximum(np.roll(turn, 1), np.roll(turn, -1))
    return np.asarray((turn > CORNER_RAD) | ((turn > 0.05) & (turn > CORNER_RATIO * neighbour)))


def tangents(points: np.ndarray, wrapped: bool) -> np.ndarray:
    """Return directions at the vertices from the circle through each three in a row.

    Parameters
    ----------
    points : (n, 2) array
        Vertices of a smooth stretch [mm], at least two.
    wrapped : bool
        Whether the last vertex is the first one again, and the curve is smooth there.
    """
    if len(points) == 2:
        step = points[1] - points[0]
        return np.vstack((step, step))
    step = np.diff(points, axis=0)
    size = np.hypot(step[:, 0], step[:, 1])[:, None]
    # parabola through three points: the chord slopes weighted with the other chord's length
    a, b = step[:-1] / size[:-1], step[1:] / size[1:]
    inner = a * size[1:] + b * size[:-1]
    if wrapped:
        ends = step[-1] / size[-1] * size[0] + step[0] / size[0] * size[-1]
        return np.vstack((ends, inner, ends))
    # at the ends the first chord mirrored about the neighbour's tangent
    return np.vstack((_mirrored(a[0], inner[0]), inner, _mirrored(b[-1], inner[-1])))


def _mirrored(chord: np.ndarray, tangent: np.ndarray) -> np.ndarray:
    unit = chord / np.hypot(*chord)
    return np.asarray(2.0 * (tangent @ unit) * unit - tangent)
