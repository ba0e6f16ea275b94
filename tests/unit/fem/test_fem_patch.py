"""Patch tests: a field that the element must hold exactly gives exact energy and no force inside."""

from __future__ import annotations

import numpy as np
import pytest
from mesh_shapes import Floats, rectangle

from cutplan.fem.bending import bending_stiffness
from cutplan.fem.generate import mesh_region
from cutplan.fem.membrane import membrane_stiffness
from cutplan.fem.mesh import Mesh, make_mesh
from cutplan.fem.ribs import rib_axial, rib_bending

E_MOD, NU, THICK = 206_000.0, 0.3, 3.0


@pytest.fixture(scope="module")
def rough() -> Mesh:
    """An irregular mesh: inner vertices moved at random."""
    mesh = mesh_region(rectangle(0, 0, 120, 80), size_mm=17)
    rim = np.unique(mesh.chains[0].nodes)
    random = np.random.default_rng(5)
    points = mesh.points + random.uniform(-3.5, 3.5, mesh.points.shape)
    points[rim] = mesh.points[rim]
    return make_mesh(points, mesh.triangles, mesh.chains)


def nodes(mesh: Mesh) -> Floats:
    return np.vstack([mesh.points, mesh.points[mesh.edges].mean(axis=1)])


def rim_dofs(mesh: Mesh) -> set[int]:
    chain = mesh.chains[0]
    sides = len(mesh.points) + mesh.edge_numbers(chain.pairs)
    return {int(2 * n + a) for n in (*chain.nodes, *sides) for a in (0, 1)}


def test_even_strain_gives_exact_energy_and_no_inner_force(rough: Mesh) -> None:
    exx, eyy, gxy = 1e-3, -4e-4, 7e-4
    x, y = nodes(rough).T
    field = np.column_stack([exx * x + 0.3 * gxy * y, eyy * y + 0.7 * gxy * x]).ravel()
    stiffness = membrane_stiffness(rough, THICK, E_MOD, NU)
    force = stiffness @ field
    law = E_MOD / (1 - NU**2)
    density = law * (exx**2 + eyy**2 + 2 * NU * exx * eyy) + E_MOD / (2 * (1 + NU)) * gxy**2
    assert field @ force == pytest.approx(density * 120 * 80 * THICK, rel=1e-11)  # exact
    inner = np.setdiff1d(np.arange(len(force)), sorted(rim_dofs(rough)))
    assert np.abs(force[inner]).max() < 1e-9 * np.abs(force).max()


def test_linear_strain_of_pure_bending_in_the_plane_is_exact(rough: Mesh) -> None:
    # exact: u = k x y, v = -k x^2/2 - nu k y^2/2 is stress xx = E k y alone, in balance
    k = 1e-5
    x, y = nodes(rough).T
    field = np.column_stack([k * x * y, -0.5 * k * x**2 - 0.5 * NU * k * y**2]).ravel()
    force = membrane_stiffness(rough, THICK, E_MOD, NU) @ field
    inner = np.setdiff1d(np.arange(len(force)), sorted(rim_dofs(rough)))
    assert np.abs(force[inner]).max() < 1e-9 * np.abs(force).max()
    assert field @ force == pytest.approx(E_MOD * k**2 * THICK * 120 * 80**3 / 3, rel=1e-11)  # exact


@pytest.mark.parametrize("curvature", [(1e-4, 0.0, 0.0), (0.0, 1e-4, 0.0), (0.0, 0.0, 1e-4), (2e-4, -1e-4, 5e-5)])
def test_even_curvature_gives_exact_energy_and_no_inner_force(rough: Mesh, curvature: tuple[float, ...]) -> None:
    kx, ky, kxy = curvature
    x, y = rough.points.T
    height = 0.5 * kx * x**2 + 0.5 * ky * y**2 + kxy * x * y
    field = np.column_stack([height, kx * x + kxy * y, ky * y + kxy * x]).ravel()
    force = bending_stiffness(rough, THICK, E_MOD, NU) @ field
    rigidity = E_MOD * THICK**3 / 12 / (1 - NU**2)
    density = rigidity * (kx**2 + ky**2 + 2 * NU * kx * ky + 2 * (1 - NU) * kxy**2)
    assert field @ force == pytest.approx(density * 120 * 80, rel=1e-11)  # exact
    rim = set(rough.chains[0].nodes.tolist())
    inner = [3 * v + i for v in range(len(rough.points)) if v not in rim for i in range(3)]
    assert np.abs(force[inner]).max() < 1e-9 * np.abs(force).max()


def test_rigid_movements_cost_nothing(rough: Mesh) -> None:
    x, y = nodes(rough).T
    turn = np.column_stack([-y, x]).ravel() * 1e-3
    membrane = membrane_stiffness(rough, THICK, E_MOD, NU)
    assert np.abs(membrane @ turn).max() < 1e-9 * abs(membrane).max()
    px, py = rough.points.T
    tilt = np.column_stack([2 + 0.01 * px - 0.02 * py, 0.01 + 0 * px, -0.02 + 0 * px]).ravel()
    bending = bending_stiffness(rough, THICK, E_MOD, NU)
    assert np.abs(bending @ tilt).max() < 1e-9 * abs(bending).max()


def test_rib_bends_and_stretches_like_a_beam() -> None:
    line = np.array([[10.0, 20.0], [110.0, 60.0]])
    mesh = mesh_region(rectangle(0, 0, 120, 80), lines=[line], size_mm=14)
    rib = mesh.chains[1]
    run = (line[1] - line[0]) / np.hypot(*(line[1] - line[0]))
    length = float(np.hypot(*(line[1] - line[0])))
    s = (mesh.points - line[0]) @ run
    # exact: w = c s^3 bends by 6 c s
    c, stiff, twist = 1e-6, 4e8, 1e7
    field = np.column_stack([c * s**3, 3 * c * s**2 * run[0], 3 * c * s**2 * run[1]]).ravel()
    energy = field @ (rib_bending(mesh, rib, stiff, twist) @ field)
    assert energy == pytest.approx(stiff * 36 * c**2 * length**3 / 3, rel=1e-10)
    # exact: slope across growing as t s twists by t
    t = 1e-4
    across = np.array([run[1], -run[0]])
    field = np.column_stack([0 * s, t * s * across[0], t * s * across[1]]).ravel()
    assert field @ (rib_bending(mesh, rib, stiff, twist) @ field) == pytest.approx(twist * t**2 * length, rel=1e-10)
    # exact: u = c s^2 along the rib strains by 2 c s
    sn = (nodes(mesh) - line[0]) @ run
    field = (c * sn**2)[:, None] * run[None, :]
    energy = field.ravel() @ (rib_axial(mesh, rib, 5e5) @ field.ravel())
    assert energy == pytest.approx(5e5 * 4 * c**2 * length**3 / 3, rel=1e-10)
