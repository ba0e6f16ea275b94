"""Where a point lies: inside or outside, and how far from the edge."""

from __future__ import annotations

from math import pi

import numpy as np

from cutplan.geometry.contour import Contour
from cutplan.geometry.distance import contour_distance, segment_distance
from cutplan.geometry.region import Region
from cutplan.geometry.segment import TAU, Arc

__all__ = [
    "contour_distance",
    "inside",
    "segment_distance",
]


def inside(shape: Region | Contour, points: np.ndarray) -> np.ndarray:
    """Return for each of (n, 2) points [mm] whether it lies in a region's material, or within a contour.

    By winding over exact arcs; points on the edge count either way.
    """
    p = np.asarray(points, dtype=float).reshape(-1, 2)
    contours = shape.contours if isinstance(shape, Region) else (shape,)
    within: np.ndarray = _wound(contours[0], p)
    for hole in contours[1:]:
        within &= np.logical_not(_wound(hole, p))
    return np.asarray(within)


def _wound(contour: Contour, p: np.ndarray) -> np.ndarray:
    turning = np.zeros(len(p))
    for s in contour.segments:
        ax, ay = s.start.x - p[:, 0], s.start.y - p[:, 1]
        bx, by = s.end.x - p[:, 0], s.end.y - p[:, 1]
        step = np.arctan2(ax * by - ay * bx, ax * bx + ay * by)
        if isinstance(s, Arc):
            near = np.hypot(p[:, 0] - s.centre.x, p[:, 1] - s.centre.y) < s.radius
            if s.is_circle:
                step = np.where(near, s.sweep, 0.0)
            else:
                near &= (abs(s.sweep) > pi) | (np.abs(step) > 1.0)
                step = np.where(near, step % TAU if s.sweep > 0.0 else -(-step % TAU), step)
        turning += step
    return np.asarray(np.abs(turning) > 0.5 * TAU)
