"""A skin on its box against a box of another element, against a tube of beam theory, and against halved meshes."""

from __future__ import annotations

import numpy as np
import pytest
from mesh_shapes import rectangle
from oracles.box_grid import GridBox
from scipy import sparse

from cutplan.fem import along
from cutplan.fem.bending import bending_stiffness, dof_count
from cutplan.fem.box import BoxShape, box_stiffness
from cutplan.fem.box_edge import edge_rows
from cutplan.fem.generate import mesh_region
from cutplan.fem.membrane import membrane_stiffness
from cutplan.fem.mesh import Floats, Mesh
from cutplan.fem.solve import factored

E_MOD, NU, THICK = 206_000.0, 0.3, 2.5


class SkinOnBox:
    """A plain skin with its box, solved whole."""

    def __init__(self, length: float, width: float, depth: float, size: float, hold: float, places: Floats) -> None:
        self.mesh = mesh_region(rectangle(0, 0, length, width), size_mm=size, places=places)
        ring = self.mesh.chains[0]
        box = box_stiffness(self.mesh.points[ring.nodes], BoxShape(depth, THICK, E_MOD, NU, hold))
        flat = membrane_stiffness(self.mesh, THICK, E_MOD, NU)
        out = bending_stiffness(self.mesh, THICK, E_MOD, NU)
        rows = sparse.hstack(edge_rows(self.mesh, ring))
        whole = sparse.block_diag([flat, out]) + rows.T @ sparse.csc_matrix(box) @ rows
        self.flat = flat.shape[0]
        self.solve = factored(sparse.csc_matrix(whole))

    def load(self) -> np.ndarray:
        return np.zeros(self.flat + dof_count(self.mesh))

    def at(self, place: tuple[float, float]) -> int:
        """Freedom of the height at the vertex nearest to a place."""
        return self.flat + 3 * int(self.mesh.nearest(np.array([place]))[0])


def pulled(mesh: Mesh, length: float, width: float, pull: float) -> np.ndarray:
    """Loads of an even pull inward on the skin's two short edges, in the skin's plane."""
    load = np.zeros(2 * (len(mesh.points) + len(mesh.edges)))
    for start in (length, 2 * length + width):
        row = along.mean_in_plane(along.stretch_of(mesh, mesh.chains[0], start, start + width), across=True)
        np.add.at(load, row.dofs, -pull * row.weight)
    return load


def test_a_box_moves_freely_as_a_whole() -> None:
    """Exact: without a hold nothing resists the six movements of a rigid body."""
    mesh = mesh_region(rectangle(0, 0, 200, 80), size_mm=20)
    ring = mesh.chains[0]
    stiffness = box_stiffness(mesh.points[ring.nodes], BoxShape(70.0, THICK, E_MOD, NU, 0.0))
    nodes = np.vstack([mesh.points, mesh.points[mesh.edges].mean(axis=1)])
    x, y = nodes.T
    flat = [np.column_stack(p).ravel() for p in ((1 + 0 * x, 0 * y), (0 * x, 1 + 0 * y), (-y, x))]
    u, v = mesh.points.T
    out = [
        np.column_stack(p).ravel() for p in ((1 + 0 * u, 0 * u, 0 * u), (u, 1 + 0 * u, 0 * u), (v, 0 * v, 1 + 0 * v))
    ]
    rows = edge_rows(mesh, ring)
    for field, moves in zip(rows, (flat, out), strict=True):
        for move in moves:
            edge = field @ move
            assert np.abs(stiffness @ edge).max() < 1e-6 * np.abs(stiffness).max() * np.abs(edge).max() * 1e-3
    # tilting about the skin's plane also moves the walls sideways: the energy still vanishes
    values = np.linalg.eigvalsh(stiffness)
    assert np.sum(values < 1e-7 * values[-1]) >= 6 and values[0] > -1e-9 * values[-1]


def test_heights_under_a_load_equal_a_box_of_another_element() -> None:
    length, width, depth, hold = 300.0, 120.0, 90.0, 1e4
    spots = [(150.0, 60.0), (75.0, 30.0), (225.0, 60.0), (150.0, 0.0)]
    where = spots[0]
    mine = SkinOnBox(length, width, depth, 15.0, hold, np.array(spots[:3]))
    load = mine.load()
    load[mine.at(where)] = 100.0
    moved = mine.solve(load)
    grid = GridBox(length, width, depth, THICK, 15.0)
    nx, ny, nz = grid.counts

    def node(place: tuple[float, float]) -> int:
        return grid.node(round(place[0] / length * nx), round(place[1] / width * ny), nz)

    push = np.zeros(((nx + 1) * (ny + 1) * (nz + 1), 6))
    push[node(where), 2] = 100.0
    theirs = grid.solve(push, hold)
    largest = max(abs(theirs[node(s), 2]) for s in spots)
    for spot in spots:
        assert moved[mine.at(spot)] == pytest.approx(theirs[node(spot), 2], abs=0.01 * largest), spot


def bow(size: float, length: float = 900.0, width: float = 90.0, depth: float = 90.0) -> float:
    """Rise of the skin's middle over its ends under an even pull on the skin's short edges [mm]."""
    middle = [(length * share, width / 2) for share in (0.25, 0.5, 0.75)]
    box = SkinOnBox(length, width, depth, size, 1e-2, np.array(middle))
    load = box.load()
    load[: box.flat] = pulled(box.mesh, length, width, 20_000.0)
    moved = box.solve(load)
    left, mid, right = (moved[box.at(p)] for p in middle)
    return float(mid - 0.5 * (left + right))


def test_a_pull_on_the_skin_bows_the_box_as_a_tube() -> None:
    """Exact beam: F e L^2 / (8 E I) between the quarter points, away from the ends, of a thin square tube."""
    length, side, pull = 900.0, 90.0, 20_000.0
    second = THICK * (2 * side**3 / 12 + 2 * side * (side / 2) ** 2)
    beam = pull * (side / 2) * (length / 2) ** 2 / (8 * E_MOD * second)
    # a pull inward on the skin shortens it, so the skin's side is hollow: its middle goes down
    assert bow(30.0) == pytest.approx(-beam, rel=0.003)


@pytest.mark.slow
def test_halving_the_mesh_changes_the_bow_by_less_each_time() -> None:
    rough, middle, fine = bow(48.0), bow(24.0), bow(12.0)
    assert abs(fine - middle) < 0.5 * abs(middle - rough)
    assert middle == pytest.approx(fine, rel=0.001)
