"""Walls and far face of a box behind a skin as flat plates in space, with the vertices of the skin's edge in common."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.spatial import Delaunay

from cutplan.fem.mesh import Floats, Ints, Mesh, make_mesh
from cutplan.fem.outline import inside, turning

#: Rings of vertices down a wall, fewest and most.
LEAST_RINGS, MOST_RINGS = 2, 6
#: Turning below which two edges belong to one flat wall [rad].
_FLAT_RAD = 1e-9
#: Spacing of the far face's vertices over that of the skin's edge [1].
_FAR_SIZE = 1.5


@dataclass(frozen=True, slots=True, eq=False)
class FlatPlate:
    """A flat plate in space.

    Parameters
    ----------
    mesh : Mesh
        Mesh in the plate's own axes [mm].
    vertex : ndarray of int
        Number of each of its vertices among all.
    axes : ndarray (3, 3)
        Rows: the two axes in its plane and its normal.
    """

    mesh: Mesh
    vertex: Ints
    axes: Floats


def box_plates(ring: Floats, depth_mm: float) -> tuple[list[FlatPlate], Floats, Ints]:
    """Return walls and far face, the place of every vertex, the skin's edge first, and the vertices of the far edge.

    Parameters
    ----------
    ring : ndarray (n, 2)
        Vertices of the skin's outer edge, counter-clockwise, corners among them; convex [mm].
    depth_mm : float
        Depth of the walls [mm].
    """
    count = len(ring)
    edge = np.hypot(*(np.roll(ring, -1, axis=0) - ring).T)
    rings = int(np.clip(round(depth_mm / float(edge.mean())), LEAST_RINGS, MOST_RINGS))
    levels = np.linspace(0.0, -depth_mm, rings + 1)
    place = np.vstack([np.column_stack([ring, np.full(count, z)]) for z in levels])
    bends = np.flatnonzero(np.abs(turning(ring, True)) > _FLAT_RAD)
    plates = []
    for first, last in pairwise([*bends, bends[0] + count]):
        along = np.arange(first, last + 1) % count
        plates.append(_wall(ring[along], along, levels, count))
    inner = _inside_points(ring, _FAR_SIZE * float(edge.mean()))
    far = count * rings + np.arange(count)
    numbers = np.concatenate([far, len(place) + np.arange(len(inner))])
    place = np.vstack([place, np.column_stack([inner, np.full(len(inner), -depth_mm)])])
    plates.append(FlatPlate(_far_mesh(np.vstack([ring, inner]), ring), numbers, np.eye(3)))
    return plates, place, far


def _wall(line: Floats, numbers: Ints, levels: Floats, count: int) -> FlatPlate:
    """One flat wall: a grid of triangles from the skin's edge down."""
    run = (line[-1] - line[0]) / np.hypot(*(line[-1] - line[0]))
    first, second = np.array([*run, 0.0]), np.array([0.0, 0.0, 1.0])
    axes = np.vstack([first, second, np.cross(first, second)])
    s = (line - line[0]) @ run
    width, height = len(s), len(levels)
    points = np.column_stack([np.tile(s, height), np.repeat(levels, width)])
    vertex = (count * np.arange(height)[:, None] + numbers[None, :]).ravel()
    triangles: list[tuple[int, int, int]] = []
    for row in range(height - 1):
        for column in range(width - 1):
            a = width * row + column
            b, c, d = a + 1, a + width, a + width + 1
            triangles += [(a, c, b), (b, c, d)] if (row + column) % 2 else [(a, c, d), (a, d, b)]
    return FlatPlate(make_mesh(points, np.array(triangles)), vertex, axes)


def _inside_points(ring: Floats, size_mm: float) -> Floats:
    """A grid of points inside a ring, clear of it."""
    low, high = ring.min(axis=0), ring.max(axis=0)
    x, y = (
        a + (b - a) * (np.arange(n) + 0.5) / n
        for a, b in zip(low, high, strict=True)
        for n in [max(2, round(float(b - a) / size_mm))]
    )
    grid = np.column_stack([np.repeat(x, len(y)), np.tile(y, len(x))])
    away = np.hypot(*(ring[None, :, :] - grid[:, None, :]).transpose(2, 0, 1)).min(axis=1)
    return np.asarray(grid[inside(grid, [ring]) & (away > 0.4 * size_mm)])


def _far_mesh(points: Floats, ring: Floats) -> Mesh:
    found = Delaunay(points).simplices
    a, b, c = (points[found[:, i]] for i in range(3))
    area = 0.5 * ((b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0]))
    scale = float(np.ptp(ring, axis=0).max()) ** 2
    return make_mesh(points, found[np.abs(area) > 1e-9 * scale].astype(np.int64))
