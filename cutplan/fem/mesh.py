"""A triangle mesh with the chains of nodes along its boundaries and lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """Nodes along a boundary or an inner line, in order; a closed chain does not repeat its first node."""

    nodes: Ints
    closed: bool

    @property
    def pairs(self) -> Ints:
        """Start and end node of each edge, (k, 2)."""
        following = np.roll(self.nodes, -1)
        pairs = np.column_stack([self.nodes, following])
        return pairs if self.closed else pairs[:-1]


@dataclass(frozen=True, slots=True, eq=False)
class Mesh:
    """Triangles, counter-clockwise, with edges numbered once.

    Parameters
    ----------
    points : ndarray (n, 2)
        Vertices [mm].
    triangles : ndarray (m, 3)
        Vertex numbers.
    edges : ndarray (k, 2)
        Vertex numbers of each edge, the smaller first, sorted.
    triangle_edges : ndarray (m, 3)
        Edge numbers; edge i of a triangle joins its vertices i and i + 1.
    chains : tuple of Chain
        Outer boundary, holes, lines, in the order they were given to the generator.
    """

    points: Floats
    triangles: Ints
    edges: Ints
    triangle_edges: Ints
    chains: tuple[Chain, ...]

    @property
    def areas(self) -> Floats:
        """Area of each triangle [mm2]."""
        a, b, c = (self.points[self.triangles[:, i]] for i in range(3))
        return np.asarray(0.5 * ((b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])))

    @property
    def vertex_areas(self) -> Floats:
        """A third of the area around each vertex [mm2]."""
        share = np.repeat(self.areas / 3.0, 3)
        return np.asarray(np.bincount(self.triangles.ravel(), share, len(self.points)), dtype=float)

    def edge_numbers(self, pairs: Ints) -> Ints:
        """Return the edge number of each pair of vertices."""
        low, high = pairs.min(axis=1), pairs.max(axis=1)
        count = len(self.points)
        keys = self.edges[:, 0] * count + self.edges[:, 1]
        return np.asarray(np.searchsorted(keys, low * count + high), dtype=np.int64)

    def nearest(self, places: Floats) -> Ints:
        """Return the vertex nearest to each place [mm]."""
        gap = self.points[None, :, :] - np.atleast_2d(places)[:, None, :]
        return np.asarray(np.argmin((gap**2).sum(axis=2), axis=1))


def make_mesh(points: Floats, triangles: Ints, chains: tuple[Chain, ...] = ()) -> Mesh:
    """Return a mesh from vertices [mm] and triangles in either turning direction.

    Parameters
    ----------
    points : ndarray (n, 2)
        Vertices [mm].
    triangles : ndarray (m, 3)
        Vertex numbers.
    chains : tuple of Chain
        Node chains to carry along.
    """
    a, b, c = (points[triangles[:, i]] for i in range(3))
    turn = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    triangles = np.where((turn < 0.0)[:, None], triangles[:, ::-1], triangles).astype(np.int64)
    pairs = np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2).reshape(-1, 2)
    edges, numbers = np.unique(np.sort(pairs, axis=1), axis=0, return_inverse=True)
    return Mesh(points, triangles, edges, numbers.reshape(-1, 3), chains)
