"""Rows along edges: means and stretches of polynomial fields, over parts of edges and past the start of a loop."""

from __future__ import annotations

import numpy as np
import pytest
from mesh_shapes import rectangle

from cutplan.fem import along
from cutplan.fem.generate import mesh_region
from cutplan.fem.mesh import Mesh


@pytest.fixture(scope="module")
def mesh() -> Mesh:
    return mesh_region(rectangle(0, 0, 100, 60), size_mm=11)


def value(row: along.Row, field: np.ndarray) -> float:
    return float(row.weight @ field[row.dofs])


def side(mesh: Mesh, start: float, end: float) -> along.Stretch:
    chain = mesh.chains[0]
    assert np.allclose(mesh.points[chain.nodes[0]], (0, 0))
    return along.stretch_of(mesh, chain, start, end)


def in_plane(mesh: Mesh, u, v) -> np.ndarray:  # type: ignore[no-untyped-def]
    x, y = np.vstack([mesh.points, mesh.points[mesh.edges].mean(axis=1)]).T
    return np.column_stack([u(x, y), v(x, y)]).ravel()


def test_means_of_a_quadratic_over_part_of_the_lower_side(mesh: Mesh) -> None:
    piece = side(mesh, 13.0, 47.0)
    field = in_plane(mesh, lambda x, y: 1e-3 * x**2, lambda x, y: 2e-3 * x + 5e-3)
    mean = 1e-3 * (47**3 - 13**3) / 3 / 34  # exact
    assert piece.total_mm == pytest.approx(34.0, rel=1e-12)
    assert value(along.mean_in_plane(piece, across=False), field) == pytest.approx(mean, rel=1e-12)
    # outward of the lower side is -y
    assert value(along.mean_in_plane(piece, across=True), field) == pytest.approx(-(2e-3 * 30 + 5e-3), rel=1e-12)
    assert value(along.elongation(piece), field) == pytest.approx(1e-3 * (47**2 - 13**2), rel=1e-12)


def test_heights_and_slopes_of_a_cubic_over_part_of_the_right_side(mesh: Mesh) -> None:
    piece = side(mesh, 108.0, 151.0)  # y from 8 to 51 at x = 100
    x, y = mesh.points.T
    a, b = 1e-5, 3e-4
    field = np.column_stack([a * y**3 + b * (x - 100) * y, b * y, 3 * a * y**2 + b * (x - 100)]).ravel()
    assert value(along.mean_height(piece), field) == pytest.approx(a * (51**4 - 8**4) / 4 / 43, rel=1e-12)  # exact
    assert value(along.mean_slope_across(piece), field) == pytest.approx(b * 29.5, rel=1e-12)
    assert value(along.mean_slope_along(piece), field) == pytest.approx(a * (51**3 - 8**3) / 43, rel=1e-12)
    assert value(along.slope_change(piece), field) == pytest.approx(3 * a * (51**2 - 8**2), rel=1e-11)


def test_a_stretch_may_run_past_the_start_of_the_loop(mesh: Mesh) -> None:
    piece = side(mesh, 310.0, 330.0)  # 10 mm down the left side, 10 mm along the lower side
    assert piece.total_mm == pytest.approx(20.0, rel=1e-12)
    field = in_plane(mesh, lambda x, y: 0 * x + 1.0, lambda x, y: 0 * x)
    # outward is -x on the left side and -y below: mean of (-1, 0)
    assert value(along.mean_in_plane(piece, across=True), field) == pytest.approx(-0.5, rel=1e-12)
    rigid = in_plane(mesh, lambda x, y: 3 - 1e-3 * y, lambda x, y: 1e-3 * x - 2)
    assert value(along.elongation(piece), rigid) == pytest.approx(0.0, abs=1e-12)
