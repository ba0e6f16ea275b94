"""The mesh generator: areas, edges along outlines, shape of triangles, refusal of crossing outlines."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from mesh_shapes import Floats, circle, rectangle

from cutplan.errors import GeometryError
from cutplan.fem.generate import mesh_region
from cutplan.fem.mesh import Mesh
from cutplan.fem.outline import clipped, inside, length_at, lengths_along, place_at, resample


def quality(mesh: Mesh) -> Floats:
    """4 sqrt(3) area over the sum of squared sides: 1 for an equilateral triangle, 0 for a flat one."""
    corner = mesh.points[mesh.triangles]
    sides = sum(((corner[:, i] - corner[:, i - 1]) ** 2).sum(axis=1) for i in range(3))
    return np.asarray(4.0 * np.sqrt(3.0) * mesh.areas / sides)


def shoelace(loop: Floats) -> float:
    x, y = loop.T
    return 0.5 * float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum())


def test_areas_add_up_to_the_outlines_of_the_mesh_and_near_the_true_area() -> None:
    mesh = mesh_region(rectangle(0, 0, 400, 250, 30), [circle(40, (200, 125)), circle(6, (60, 60))], size_mm=11)
    loops = [mesh.points[c.nodes] for c in mesh.chains]
    # exact: outline of the mesh less its holes
    assert mesh.areas.sum() == pytest.approx(shoelace(loops[0]) - shoelace(loops[1]) - shoelace(loops[2]), rel=1e-12)
    true = 400 * 250 - (4 - np.pi) * 900 - np.pi * (1600 + 36)  # exact
    assert mesh.areas.sum() == pytest.approx(true, rel=1e-3)
    assert (mesh.areas > 0.0).all()


def test_triangles_are_well_shaped_and_of_the_wanted_size() -> None:
    mesh = mesh_region(rectangle(0, 0, 400, 250, 30), [circle(6, (60, 60))], size_mm=10)
    assert quality(mesh).min() > 0.35
    assert np.median(quality(mesh)) > 0.95
    edge = mesh.points[mesh.edges[:, 1]] - mesh.points[mesh.edges[:, 0]]
    assert np.median(np.hypot(*edge.T)) == pytest.approx(10.0, rel=0.15)


def test_every_outline_edge_is_an_edge_of_the_mesh() -> None:
    line = np.array([[20.0, 40.0], [120.0, 60.0], [180.0, 40.0]])
    mesh = mesh_region(rectangle(0, 0, 200, 100), [circle(8, (60, 75))], [line], size_mm=9)
    edges = {tuple(e) for e in mesh.edges.tolist()}
    for chain in mesh.chains:
        assert {tuple(sorted(p)) for p in chain.pairs.tolist()} <= edges
    assert len(mesh.chains) == 3
    ends = mesh.points[mesh.chains[2].nodes[[0, -1]]]
    assert np.allclose(ends, line[[0, -1]])


def test_wanted_places_become_vertices() -> None:
    mesh = mesh_region(rectangle(0, 0, 100, 100), size_mm=9, places=np.array([[33.3, 41.7]]))
    assert np.abs(mesh.points - [33.3, 41.7]).sum(axis=1).min() < 1e-12


def test_hole_close_to_the_edge_is_meshed() -> None:
    mesh = mesh_region(rectangle(0, 0, 100, 60), [circle(8, (50, 9))], size_mm=8)
    assert mesh.areas.sum() == pytest.approx(6000 - np.pi * 64, rel=2e-3)  # exact, less chords


def test_same_input_gives_the_same_mesh() -> None:
    one, two = (mesh_region(rectangle(0, 0, 90, 70, 9), [circle(9, (40, 30))], size_mm=7) for _ in range(2))
    assert np.array_equal(one.points, two.points)
    assert np.array_equal(one.triangles, two.triangles)


def test_crossing_outlines_are_refused() -> None:
    with pytest.raises(GeometryError, match="mesh"):
        mesh_region(rectangle(0, 0, 100, 60), [circle(20, (95, 30))], size_mm=8)


def test_corners_survive_resampling_and_spacing_follows_curvature() -> None:
    nodes = resample(rectangle(0, 0, 100, 50), True, 12.0)
    for corner in ((0, 0), (100, 0), (100, 50), (0, 50)):
        assert np.abs(nodes - corner).sum(axis=1).min() < 1e-12
    small = resample(circle(10.0), True, 12.0)
    assert len(small) >= 18  # one edge may turn by 20 degrees at most


def test_clipped_line_keeps_clear_of_hole_and_outside() -> None:
    loops = [rectangle(0, 0, 100, 50), circle(10, (50, 25))]
    pieces = clipped(np.array([[-20.0, 25.0], [120.0, 25.0]]), loops, 4.0)
    assert len(pieces) == 2
    for piece in pieces:
        assert inside(piece, loops).all()
        assert np.abs(np.hypot(piece[:, 0] - 50, piece[:, 1] - 25)).min() >= 14.0 - 1e-9
    assert pieces[0][0, 0] == pytest.approx(4.0, abs=1.0)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0, 1.0), st.floats(5.0, 80.0))
def test_length_and_place_are_inverse(part: float, radius: float) -> None:
    line = circle(radius, count=90)
    whole = lengths_along(line, True)[-1]
    place = place_at(line, True, np.array([part * whole]))
    assert float(length_at(line, True, place)[0]) % whole == pytest.approx(part * whole % whole, abs=1e-6 * whole)
