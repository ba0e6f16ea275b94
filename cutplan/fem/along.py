"""Means and stretches along a stretch of mesh edges, as rows on the freedoms of a sheet.

A row pairs a load with what it moves: the mean displacement of a stretch with a force spread evenly along it, the
elongation of a stretch with a tension along it. Spread loads keep answers independent of the mesh, point loads do not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.fem.mesh import Chain, Floats, Ints, Mesh
from cutplan.fem.outline import lengths_along


@dataclass(frozen=True, slots=True, eq=False)
class Row:
    """Coefficients on freedoms: value = sum of `weight` times displacement of `dofs`."""

    dofs: Ints
    weight: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """Edges, or parts of edges, of a chain between two lengths along it.

    Parameters
    ----------
    start, end : ndarray of int
        Vertices of each edge.
    middle : ndarray of int
        In-plane node at the middle of each edge.
    first, last : ndarray
        Part of each edge that belongs to the stretch, 0 to 1 from `start`.
    length_mm : ndarray
        Full length of each edge [mm].
    along, across : ndarray (k, 2)
        Unit vectors along each edge, and to its right.
    """

    start: Ints
    end: Ints
    middle: Ints
    first: Floats
    last: Floats
    length_mm: Floats
    along: Floats
    across: Floats

    @property
    def total_mm(self) -> float:
        """Length of the stretch [mm]."""
        return float(((self.last - self.first) * self.length_mm).sum())


def stretch_of(mesh: Mesh, chain: Chain, start_mm: float, end_mm: float) -> Stretch:
    """Return the part of a chain between two lengths along it; on a closed chain it goes on past the end.

    Parameters
    ----------
    mesh : Mesh
        Triangles.
    chain : Chain
        Nodes.
    start_mm, end_mm : float
        Lengths along the chain, end > start [mm].
    """
    along = lengths_along(mesh.points[chain.nodes], chain.closed)
    pairs = chain.pairs
    turns = [0.0] if not chain.closed else [-along[-1], 0.0, along[-1]]
    picked, first, last = [], [], []
    size = np.diff(along)
    for turn in turns:
        low = np.clip((start_mm - turn - along[:-1]) / size, 0.0, 1.0)
        high = np.clip((end_mm - turn - along[:-1]) / size, 0.0, 1.0)
        hit = np.flatnonzero(high - low > 1e-12)
        picked.append(hit)
        first.append(low[hit])
        last.append(high[hit])
    index = np.concatenate(picked)
    pair = pairs[index]
    run = mesh.points[pair[:, 1]] - mesh.points[pair[:, 0]]
    length = np.hypot(run[:, 0], run[:, 1])
    direction = run / length[:, None]
    middle = len(mesh.points) + mesh.edge_numbers(pair)
    right = np.column_stack([direction[:, 1], -direction[:, 0]])
    return Stretch(
        pair[:, 0], pair[:, 1], middle, np.concatenate(first), np.concatenate(last), length, direction, right
    )


def _integrals(first: Floats, last: Floats, coefficients: Floats) -> Floats:
    """Integrals over [first, last] of polynomials given by rows of coefficients (lowest power first), (k, rows)."""
    power = np.arange(coefficients.shape[1]) + 1.0
    rise = (last[:, None] ** power - first[:, None] ** power) / power
    return np.asarray(rise @ coefficients.T)


#: Quadratic shape functions of an edge at start, end, middle.
_QUADRATIC = np.array([[1.0, -3.0, 2.0], [0.0, -1.0, 2.0], [0.0, 4.0, -4.0]])
#: Linear shape functions at start, end.
_LINEAR = np.array([[1.0, -1.0], [0.0, 1.0]])
#: Cubic shape functions: height start, slope start, height end, slope end (slopes times edge length).
_CUBIC = np.array([[1.0, 0.0, -3.0, 2.0], [0.0, 1.0, -2.0, 1.0], [0.0, 0.0, 3.0, -2.0], [0.0, 0.0, -1.0, 1.0]])


def mean_in_plane(stretch: Stretch, across: bool) -> Row:
    """Return the mean in-plane displacement across (to the right of) or along a stretch."""
    direction = stretch.across if across else stretch.along
    part = _integrals(stretch.first, stretch.last, _QUADRATIC) * (stretch.length_mm / stretch.total_mm)[:, None]
    nodes = np.column_stack([stretch.start, stretch.end, stretch.middle])
    weight = part[:, :, None] * direction[:, None, :]
    dofs = np.stack([2 * nodes, 2 * nodes + 1], axis=2)
    return Row(dofs.ravel(), weight.ravel())


def mean_height(stretch: Stretch) -> Row:
    """Return the mean out-of-plane displacement of a stretch."""
    part = _integrals(stretch.first, stretch.last, _CUBIC) * (stretch.length_mm / stretch.total_mm)[:, None]
    dofs, weight = [], []
    for end, vertex in enumerate((stretch.start, stretch.end)):
        slope = part[:, 2 * end + 1] * stretch.length_mm
        dofs += [3 * vertex, 3 * vertex + 1, 3 * vertex + 2]
        weight += [part[:, 2 * end], slope * stretch.along[:, 0], slope * stretch.along[:, 1]]
    return Row(np.concatenate(dofs), np.concatenate(weight))


def mean_slope_across(stretch: Stretch) -> Row:
    """Return the mean slope of the height to the right of a stretch [mm/mm]."""
    part = _integrals(stretch.first, stretch.last, _LINEAR) * (stretch.length_mm / stretch.total_mm)[:, None]
    dofs, weight = [], []
    for end, vertex in enumerate((stretch.start, stretch.end)):
        for axis in range(2):
            dofs.append(3 * vertex + 1 + axis)
            weight.append(part[:, end] * stretch.across[:, axis])
    return Row(np.concatenate(dofs), np.concatenate(weight))


def elongation(stretch: Stretch) -> Row:
    """Return the elongation of a stretch [mm]: what a tension of 1 N along it works on."""
    at = np.stack([stretch.first, stretch.last])
    value = np.stack([np.ones_like(at), at, at**2]).transpose(1, 2, 0) @ _QUADRATIC.T
    part = value[1] - value[0]
    nodes = np.column_stack([stretch.start, stretch.end, stretch.middle])
    weight = part[:, :, None] * stretch.along[:, None, :]
    dofs = np.stack([2 * nodes, 2 * nodes + 1], axis=2)
    return Row(dofs.ravel(), weight.ravel())


def slope_change(stretch: Stretch) -> Row:
    """Return the change of slope along a stretch, edge by edge [mm/mm]: what a moment of 1 N mm works on."""
    at = np.stack([stretch.first, stretch.last])
    value = np.stack([np.zeros_like(at), np.ones_like(at), 2.0 * at, 3.0 * at**2]).transpose(1, 2, 0)[..., 1:]
    part = value @ _CUBIC[:, 1:].T
    change = part[1] - part[0]
    dofs, weight = [], []
    for end, vertex in enumerate((stretch.start, stretch.end)):
        height = change[:, 2 * end] / stretch.length_mm
        slope = change[:, 2 * end + 1]
        dofs += [3 * vertex, 3 * vertex + 1, 3 * vertex + 2]
        weight += [height, slope * stretch.along[:, 0], slope * stretch.along[:, 1]]
    return Row(np.concatenate(dofs), np.concatenate(weight))


def mean_slope_along(stretch: Stretch) -> Row:
    """Return the mean slope of the height along a stretch [mm/mm]: rise of each edge's part over the total length."""
    at = np.stack([stretch.first, stretch.last])
    value = np.stack([np.ones_like(at), at, at**2, at**3]).transpose(1, 2, 0) @ _CUBIC.T
    rise = (value[1] - value[0]) / stretch.total_mm
    dofs, weight = [], []
    for end, vertex in enumerate((stretch.start, stretch.end)):
        slope = rise[:, 2 * end + 1] * stretch.length_mm
        dofs += [3 * vertex, 3 * vertex + 1, 3 * vertex + 2]
        weight += [rise[:, 2 * end], slope * stretch.along[:, 0], slope * stretch.along[:, 1]]
    return Row(np.concatenate(dofs), np.concatenate(weight))
