"""Drawings in space: which things lean, the plane they all lie in, and how that plane is laid flat."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import TypeAlias

import numpy as np

from cutplan.files.traces import Affine, Floats

#: Rise by length above which a thing leans [-]: its shadow is then short by 5 millionths.
LEANS = 0.0032
#: Rise that is only rounding [file units].
_LEAST_RISE = 1e-4
#: Largest distance of a point from the common plane, as a share of the size of all [-].
_FLAT_SHARE = 2e-5

Vector: TypeAlias = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class View:
    """The two directions of the paper in space: rows of ``axes`` (2, 3). From above they are x and y."""

    axes: Floats

    @property
    def from_above(self) -> bool:
        """Whether the drawing is seen along z, as drawings are."""
        return self is ABOVE

    def seen(self, points: Floats) -> Floats:
        """Return points in space (n, 3) as seen on the paper (n, 2)."""
        if self.from_above:
            return points[:, :2]
        flat: Floats = points @ self.axes.T
        return flat

    def move_of(self, normal: Vector, height: float) -> Affine:
        """Return how an entity's own plane, with its normal and height over the origin, is seen."""
        own = own_axes(normal)
        m = self.axes @ own.T
        shift = m[:, 2] * height
        return Affine(float(m[0, 0]), float(m[1, 0]), float(m[0, 1]), float(m[1, 1]), float(shift[0]), float(shift[1]))


ABOVE = View(np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]))


def own_axes(normal: Vector) -> Floats:
    """Return the axes x, y, z of an entity's own plane as rows (3, 3).

    The rule by which a normal alone fixes them is that of the DXF reference (arbitrary axis), from memory: x is square
    to the world's y axis where the normal is near the world's z axis, else to the world's z axis.
    """
    n = np.array(normal, dtype=np.float64)
    n /= np.linalg.norm(n)
    near_z = abs(n[0]) < 1.0 / 64.0 and abs(n[1]) < 1.0 / 64.0
    x = np.cross(np.array([0.0, 1.0, 0.0]) if near_z else np.array([0.0, 0.0, 1.0]), n)
    x /= np.linalg.norm(x)
    return np.vstack([x, np.cross(n, x), n])


def leans(points: Floats) -> bool:
    """Return whether a thing through points (n, 3) rises or falls, and is no upright line of a body seen from above."""
    rise = float(np.ptp(points[:, 2])) if len(points) else 0.0
    if rise <= _LEAST_RISE:
        return False
    reach = hypot(*np.ptp(points[:, :2], axis=0).tolist())
    return rise > LEANS * reach and reach > 1e-6 * rise


def common_plane(points: Floats) -> View | None:
    """Return the view square onto the plane that all points (n, 3) lie in; None where there is none, or many."""
    middle = points.mean(axis=0)
    off = points - middle
    size = float(np.abs(off).max(initial=0.0))
    if len(points) < 3 or size == 0.0:
        return None
    _, spread, rows = np.linalg.svd(off, full_matrices=False)
    if spread[1] <= 1e-6 * spread[0]:
        return None
    normal = rows[2]
    if float(np.abs(off @ normal).max()) > _FLAT_SHARE * size:
        return None
    if normal[2] < 0.0 or (normal[2] == 0.0 and normal.sum() < 0.0):
        normal = -normal
    along = np.array([1.0, 0.0, 0.0]) - normal * normal[0]
    if float(np.linalg.norm(along)) < 1e-6:
        along = np.array([0.0, 1.0, 0.0]) - normal * normal[1]
    x = along / np.linalg.norm(along)
    return View(np.vstack([x, np.cross(normal, x)]))
