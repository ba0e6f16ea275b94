"""The skin between its walls as a meshed plate: what moves how far where, with any of its triangles taken out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components

from cutplan.fem import bending, membrane
from cutplan.fem.generate import mesh_region
from cutplan.fem.mesh import Floats, Ints, Mesh
from cutplan.fem.outline import inside
from cutplan.fem.solve import factored
from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_array
from cutplan.geometry.vector import Box, Point
from cutplan.tables.steel import CARBON_STEEL

Mask = NDArray[np.bool_]
#: About how many vertices the mesh has.
VERTICES = 200
#: Spacing along the opening's line [mm], where the mesh allows it.
FINE_MM = 8.0
#: Radius over which a load or a movement at a place is spread [mm]: about the size of a tack and what it grips.
SPREAD_MM = 15.0


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """What is loaded and read: columns of weights on in-plane and on out-of-plane freedoms."""

    flat: Floats
    bent: Floats


@dataclass(frozen=True, eq=False)
class SkinModel:
    """The meshed skin.

    Parameters
    ----------
    mesh : Mesh
        Triangles; edges run along the opening's line.
    flat, bent : ndarray (m, 12, 12), (m, 9, 9)
        Stiffness of each triangle in its plane and out of it, for a thickness of 1 mm.
    in_line : ndarray of bool
        Triangles inside the opening's line.
    solvers : dict
        What was factored before, by the triangles there, their thicknesses and the walls: the same skin is asked for with
        and without a brace.
    """

    mesh: Mesh
    flat: Floats
    bent: Floats
    in_line: Mask
    solvers: dict[bytes, tuple[_Solver, _Solver]] = field(default_factory=dict)

    @cached_property
    def border(self) -> Ints:
        """Vertices on the walls."""
        return self.mesh.chains[0].nodes

    @cached_property
    def border_flat(self) -> Ints:
        """In-plane freedoms on the walls, side middles included."""
        edges = len(self.mesh.points) + self.mesh.edge_numbers(self.mesh.chains[0].pairs)
        nodes = np.concatenate([self.border, edges])
        return np.concatenate([2 * nodes, 2 * nodes + 1])

    @cached_property
    def centres(self) -> Floats:
        """Middle of each triangle [mm]."""
        return np.asarray(self.mesh.points[self.mesh.triangles].mean(axis=1))

    def held_on(self, keep: Mask) -> Mask:
        """Return the kept triangles that still hang together with the walls."""
        kept = np.flatnonzero(keep)
        edges, owners = self.mesh.triangle_edges[kept].ravel(), np.repeat(kept, 3)
        order = np.argsort(edges, kind="stable")
        edges, owners = edges[order], owners[order]
        both = np.flatnonzero(edges[1:] == edges[:-1])
        joined = np.column_stack([owners[both], owners[both + 1]])
        count = len(keep)
        graph = sparse.coo_matrix((np.ones(len(joined)), (joined[:, 0], joined[:, 1])), shape=(count, count))
        label = connected_components(graph, directed=False)[1]
        at_wall = np.isin(self.mesh.triangles, self.border).any(axis=1) & keep
        result: Mask = keep & np.isin(label, label[at_wall])
        return result

    def near(self, at: Point, keep: Mask) -> tuple[Ints, Floats]:
        """Return the vertices of kept triangles round a place and their weights, 1 in sum."""
        used = np.unique(self.mesh.triangles[keep])
        free = np.setdiff1d(used, self.border)
        used = free if len(free) else used
        far = np.hypot(*(self.mesh.points[used] - np.array([at.x, at.y])).T)
        weight = np.maximum(0.0, 1.0 - far / SPREAD_MM)
        if weight.sum() < 0.2:
            weight = (far == far.min()).astype(float)
        hit = weight > 0.0
        return used[hit], weight[hit] / weight[hit].sum()

    def rim(self, u: Point, share: float) -> tuple[tuple[Ints, Floats], tuple[Ints, Floats]]:
        """Return the vertices along the line's two ends in a direction and their weights by length, 1 in sum each.

        Parameters
        ----------
        u : Point
            Direction.
        share : float
            Share of the line's extent that counts as an end [1].
        """
        nodes = self.mesh.chains[1].nodes
        p = self.mesh.points[nodes]
        step = np.hypot(*(np.roll(p, -1, axis=0) - p).T)
        own = 0.5 * (step + np.roll(step, 1))
        along = p @ np.array([u.x, u.y])
        low, high = float(along.min()), float(along.max())
        ends = []
        for hit in (along <= low + share * (high - low), along >= high - share * (high - low)):
            ends.append((nodes[hit], own[hit] / own[hit].sum()))
        return ends[0], ends[1]

    def rows(self, spots: Sequence[tuple[Ints, Floats]]) -> Rows:
        """Return for each group of vertices x, y (in the plane) and height, slope x, slope y (out of it), in a row."""
        flat = np.zeros((membrane.dof_count(self.mesh), 2 * len(spots)))
        bent = np.zeros((bending.dof_count(self.mesh), 3 * len(spots)))
        for k, (vertex, weight) in enumerate(spots):
            for axis in range(2):
                flat[2 * vertex + axis, 2 * k + axis] = weight
            for axis in range(3):
                bent[3 * vertex + axis, 3 * k + axis] = weight
        return Rows(flat, bent)

    def give(
        self, rows: Rows, keep: Mask, thickness_mm: float | Floats, *, held: bool, bent_mm: float | Floats | None = None
    ) -> tuple[Floats, Floats]:
        """Return the compliance between rows, in the plane and out of it [mm/N and so on].

        Parameters
        ----------
        rows : Rows
            What is loaded and read.
        keep : ndarray of bool
            Triangles that are there and hang together with the walls.
        thickness_mm : float or ndarray
            Thickness, of all or of each triangle [mm].
        held : bool
            Walls that hold the skin fast; False: walls that only carry it, free to turn and to move in the plane.
        bent_mm : float, ndarray or None
            Thickness for bending where it differs [mm].
        """
        t = np.broadcast_to(np.asarray(thickness_mm, dtype=float), keep.shape)
        b = t if bent_mm is None else np.broadcast_to(np.asarray(bent_mm, dtype=float), keep.shape)
        flat, bent = self._solvers(keep, t, b, held)
        return flat.compliance(rows.flat), bent.compliance(rows.bent)

    def _solvers(self, keep: Mask, flat_mm: Floats, bent_mm: Floats, held: bool) -> tuple[_Solver, _Solver]:
        """Solvers in the plane and out of it."""
        key = keep.tobytes() + flat_mm.tobytes() + bent_mm.tobytes() + bytes([held])
        if key not in self.solvers:
            walls, mesh, there = self.border, self.mesh, np.flatnonzero(keep)
            loose = np.array([2 * walls[0], 2 * walls[0] + 1, self._third()])
            fixed = self.border_flat if held else loose
            turn = np.concatenate([3 * walls, 3 * walls + 1, 3 * walls + 2]) if held else 3 * walls
            in_plane = self.flat[there] * flat_mm[there, None, None]
            out = self.bent[there] * bent_mm[there, None, None] ** 3
            self.solvers[key] = (
                _solver(in_plane, membrane.element_dofs(mesh)[there], fixed, membrane.dof_count(mesh)),
                _solver(out, bending.element_dofs(mesh)[there], turn, bending.dof_count(mesh)),
            )
        return self.solvers[key]

    def _third(self) -> int:
        """The freedom that keeps a loose skin from turning: across, at the border vertex farthest from the first."""
        p = self.mesh.points[self.border]
        off = p - p[0]
        k = int(np.argmax(np.hypot(off[:, 0], off[:, 1])))
        axis = 1 if abs(off[k, 0]) >= abs(off[k, 1]) else 0
        return int(2 * self.border[k] + axis)


def skin_model(skin: Box, line: Contour, more: Sequence[Contour] = (), vertices: int = VERTICES) -> SkinModel:
    """Return the mesh of the skin.

    Parameters
    ----------
    skin : Box
        Skin between its walls [mm].
    line : Contour
        Net line of the opening [mm].
    more : sequence of Contour
        Further closed lines along which edges run, such as a lapped plate's outline.
    vertices : int
        About how many vertices an even mesh would have [1]; it is twice as fine along the line.
    """
    s = Box(
        min(skin.xmin, line.box.xmin - 5.0),
        min(skin.ymin, line.box.ymin - 5.0),
        max(skin.xmax, line.box.xmax + 5.0),
        max(skin.ymax, line.box.ymax + 5.0),
    )
    outer = np.array([(s.xmin, s.ymin), (s.xmax, s.ymin), (s.xmax, s.ymax), (s.xmin, s.ymax)])
    loops = [flatten_array(c, 0.5) for c in (line, *more)]
    rim = min(line.box.xmin - s.xmin, s.xmax - line.box.xmax, line.box.ymin - s.ymin, s.ymax - line.box.ymax)
    even = sqrt(s.width * s.height / (0.866 * vertices))
    size = max(min(even, 0.7 * max(rim, 5.0)), 0.75 * even)
    fine = min(size, max(0.5 * size, FINE_MM))
    mesh = mesh_region(outer, lines=loops, size_mm=size, closed_lines=[True] * len(loops), line_size_mm=fine)
    steel = CARBON_STEEL
    law = membrane.plane_stress(steel.modulus_N_per_mm2, steel.poisson)
    bring = bending.slope_map(mesh)
    bent = np.matmul(bring.transpose(0, 2, 1), np.matmul(membrane.element_stiffness(mesh, law / 12.0), bring))
    middles = mesh.points[mesh.triangles].mean(axis=1)
    return SkinModel(mesh, membrane.element_stiffness(mesh, law), bent, inside(middles, [loops[0]]))


@dataclass(frozen=True, slots=True, eq=False)
class _Solver:
    """A factored stiffness and the freedoms it is for."""

    free: Ints
    solve: Callable[[Floats], Floats]

    def compliance(self, rows: Floats) -> Floats:
        """Compliance between columns of weights on all freedoms."""
        load = rows[self.free]
        return np.asarray(load.T @ self.solve(load))


def _solver(element: Floats, dofs: Ints, fixed: Ints, count: int) -> _Solver:
    used = np.zeros(count, dtype=bool)
    used[dofs.ravel()] = True
    used[fixed] = False
    free = np.flatnonzero(used)
    place = np.full(count, -1)
    place[free] = np.arange(len(free))
    width = dofs.shape[1]
    own = place[dofs]
    rows, columns = np.repeat(own, width, axis=1).ravel(), np.tile(own, (1, width)).ravel()
    inside = (rows >= 0) & (columns >= 0)
    entries = (element.ravel()[inside], (rows[inside], columns[inside]))
    return _Solver(free, factored(sparse.csc_matrix(entries, shape=(len(free), len(free)))))
