"""Sheets against theory: plates under pressure, a hole in tension, an eccentric pull along a strip.

Timoshenko, S. P., Woinowsky-Krieger, S.: Theory of Plates and Shells, 2nd ed., 1959 (plates; coefficients from memory,
the clamped circle also exact). Kirsch, 1898, as in any text on elasticity: exact for an infinite sheet.
"""

from __future__ import annotations

import numpy as np
import pytest
from mesh_shapes import circle, rectangle
from scipy import sparse

from cutplan.fem import along
from cutplan.fem.bending import bending_stiffness, dof_count
from cutplan.fem.generate import mesh_region
from cutplan.fem.membrane import membrane_stiffness
from cutplan.fem.mesh import Floats, Mesh
from cutplan.fem.solve import factored, solved

E_MOD, NU, THICK = 206_000.0, 0.3, 3.0
RIGIDITY = E_MOD * THICK**3 / 12 / (1 - NU**2)


def pressure_load(mesh: Mesh, pressure_N_per_mm2: float) -> np.ndarray:
    """Nodal forces of an even pressure, a third of each triangle to each corner's height [N]."""
    load = np.zeros(dof_count(mesh))
    load[0::3] = pressure_N_per_mm2 * mesh.vertex_areas
    return load


def clamped_circle(size: float) -> float:
    """Middle height over the exact p a^4 / (64 D)."""
    radius, pressure = 100.0, 0.01
    mesh = mesh_region(circle(radius), size_mm=size, places=np.zeros((1, 2)))
    rim = mesh.chains[0].nodes
    moved = solved(
        bending_stiffness(mesh, THICK, E_MOD, NU),
        pressure_load(mesh, pressure),
        np.concatenate([3 * rim, 3 * rim + 1, 3 * rim + 2]),
    )
    return float(moved[3 * mesh.nearest(np.zeros((1, 2)))[0]] / (pressure * radius**4 / 64 / RIGIDITY))


def supported_square(size: float) -> float:
    """Middle height over 0.0040624 p a^4 / D (series solution; four figures agree with 0.00406 of the book)."""
    side, pressure = 200.0, 0.01
    mesh = mesh_region(rectangle(0, 0, side, side), size_mm=size, places=np.full((1, 2), side / 2))
    moved = solved(bending_stiffness(mesh, THICK, E_MOD, NU), pressure_load(mesh, pressure), 3 * mesh.chains[0].nodes)
    series = sum(  # exact: double sine series of Navier
        16 / np.pi**6 * np.sin(m * np.pi / 2) * np.sin(n * np.pi / 2) / (m * n * (m**2 + n**2) ** 2)
        for m in range(1, 60, 2)
        for n in range(1, 60, 2)
    )
    assert series == pytest.approx(0.00406, abs=5e-6)  # published, from memory: Timoshenko table 8
    middle = mesh.nearest(np.full((1, 2), side / 2))[0]
    return float(moved[3 * middle] / (series * pressure * side**4 / RIGIDITY))


@pytest.mark.parametrize("plate", [clamped_circle, supported_square])
def test_plate_under_pressure_converges_with_the_square_of_the_size(plate) -> None:  # type: ignore[no-untyped-def]
    sizes = np.array([20.0, 10.0, 5.0])
    missed = np.array([abs(plate(s) - 1.0) for s in sizes])
    assert missed[1] < 0.01  # within 1 % at the default fineness, twenty edges across
    rate = np.polyfit(np.log(sizes), np.log(missed), 1)[0]
    assert rate > 1.6


def kirsch(places: Floats, radius: float, stress: float) -> Floats:
    """Exact displacement round a hole in a sheet pulled along x."""
    shear, kappa = E_MOD / (2 * (1 + NU)), (3 - NU) / (1 + NU)
    r, turn = np.hypot(*places.T), np.arctan2(*places.T[::-1])
    scale, part = stress * radius / (8 * shear), r / radius
    out = scale * (
        part * (kappa - 1 + 2 * np.cos(2 * turn))
        + 2 / part * (1 + (1 + kappa) * np.cos(2 * turn))
        - 2 / part**3 * np.cos(2 * turn)
    )
    around = -scale * (2 * part + 2 / part * (kappa - 1) + 2 / part**3) * np.sin(2 * turn)
    return np.column_stack([out * np.cos(turn) - around * np.sin(turn), out * np.sin(turn) + around * np.cos(turn)])


def hole_in_tension(size: float) -> tuple[float, float]:
    """Stress at the top of the hole over the exact mean there, and largest error of displacement on the hole."""
    radius, stress = 20.0, 100.0
    mesh = mesh_region(rectangle(-100, -100, 100, 100), [circle(radius)], size_mm=size, line_size_mm=0.25 * size)
    stiffness = membrane_stiffness(mesh, THICK, E_MOD, NU)
    rim = mesh.chains[0]
    nodes = np.concatenate([rim.nodes, len(mesh.points) + mesh.edge_numbers(rim.pairs)])
    every = np.vstack([mesh.points, mesh.points[mesh.edges].mean(axis=1)])
    dofs = (2 * nodes[:, None] + np.arange(2)).ravel()
    given = np.zeros(stiffness.shape[0])
    given[dofs] = kirsch(every[nodes], radius, stress).ravel()
    moved = given + solved(stiffness, -stiffness @ given, dofs)
    hole = mesh.chains[1]
    length = float(sum(np.hypot(*(mesh.points[b] - mesh.points[a])) for a, b in hole.pairs))
    half = np.radians(10)
    piece = along.stretch_of(mesh, hole, length * (0.25 - half / (2 * np.pi)), length * (0.25 + half / (2 * np.pi)))
    row = along.elongation(piece)
    found = E_MOD * float(row.weight @ moved[row.dofs]) / piece.total_mm
    exact = stress * (1 + np.sin(2 * half) / half)  # exact mean of 1 - 2 cos 2 theta about the top
    there = kirsch(mesh.points[hole.nodes], radius, stress)
    miss = np.abs(np.column_stack([moved[2 * hole.nodes], moved[2 * hole.nodes + 1]]) - there).max()
    return found / exact, float(miss / np.abs(there).max())


def test_hole_in_tension_has_three_times_the_stress() -> None:
    coarse, fine = hole_in_tension(24.0), hole_in_tension(12.0)
    assert fine[0] == pytest.approx(1.0, abs=0.01)
    assert fine[1] < 0.01
    assert fine[1] < 0.45 * coarse[1]  # about the square of the size: chords of the hole


def strip(size: float) -> tuple[Mesh, float, float]:
    length, width = 600.0, 40.0
    return mesh_region(rectangle(0, 0, length, width), size_mm=size), length, width


def test_eccentric_pull_bows_a_strip_in_its_plane() -> None:
    """L3 of the reference: bow F e L^2 / (8 E I), shortening F L / (E A); the pull runs along one edge."""
    mesh, length, width = strip(10.0)
    pull = 20_000.0
    piece = along.stretch_of(mesh, mesh.chains[0], 0.0, length)
    row = along.elongation(piece)
    load = np.zeros(2 * (len(mesh.points) + len(mesh.edges)))
    np.add.at(load, row.dofs, -pull * row.weight)
    stiffness = membrane_stiffness(mesh, THICK, E_MOD, NU)
    places = [(0.0, width / 2), (length, width / 2), (length / 2, width / 2)]
    left, right, middle = (int(mesh.nearest(np.array([p]))[0]) for p in places)
    moved = solved(stiffness, load, np.array([2 * left, 2 * left + 1, 2 * right + 1]))
    bow = moved[2 * middle + 1] - 0.5 * (moved[2 * left + 1] + moved[2 * right + 1])
    second, area = THICK * width**3 / 12, THICK * width
    # middle height is not on a vertex row for every mesh: the bow of a strip is the same at any height
    assert abs(bow) == pytest.approx(pull * width / 2 * length**2 / (8 * E_MOD * second), rel=0.01)  # exact beam
    # mean over the end faces: exact by reciprocity with even tension, wherever in the section the pull runs
    shorter = 0.0
    for start in (length, 2 * length + width):
        end = along.mean_in_plane(along.stretch_of(mesh, mesh.chains[0], start, start + width), across=True)
        shorter -= float(end.weight @ moved[end.dofs])
    assert shorter == pytest.approx(pull * length / (E_MOD * area), rel=1e-9)  # exact bar


def test_pull_above_the_middle_bows_a_strip_out_of_its_plane() -> None:
    """The same bow about the weak axis; the moment F e sits at both ends of the bead's line."""
    mesh, length, width = strip(10.0)
    pull, reach = 20_000.0, 1.2
    piece = along.stretch_of(mesh, mesh.chains[0], 0.0, length)
    row = along.slope_change(piece)
    load = np.zeros(3 * len(mesh.points))
    np.add.at(load, row.dofs, pull * reach * row.weight)
    stiffness = bending_stiffness(mesh, THICK, E_MOD, NU)
    corner = [int(mesh.nearest(np.array([p]))[0]) for p in ((0.0, 0.0), (length, 0.0), (0.0, width), (length, width))]
    moved = solved(stiffness, load, 3 * np.array(corner[:3]))
    middle = [int(mesh.nearest(np.array([p]))[0]) for p in ((length / 2, 0.0), (length / 2, width))]
    bow = np.mean([moved[3 * v] for v in middle]) - np.mean([moved[3 * v] for v in corner])
    second = width * THICK**3 / 12
    assert abs(bow) == pytest.approx(pull * reach * length**2 / (8 * E_MOD * second), rel=0.005)  # exact beam


def test_solution_answers_its_load() -> None:
    mesh, _, _ = strip(12.0)
    stiffness = membrane_stiffness(mesh, THICK, E_MOD, NU)
    soft = stiffness + sparse.diags(np.full(stiffness.shape[0], 1e3))
    load = np.random.default_rng(2).standard_normal(stiffness.shape[0])
    assert np.abs(soft @ factored(soft)(load) - load).max() < 1e-9
