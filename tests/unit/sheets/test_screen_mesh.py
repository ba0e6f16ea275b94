"""The mesh for the screen: few points, every one of them computed, plate and skin never joined."""

from __future__ import annotations

import numpy as np
import pytest

from cutplan.report.welding.mesh import MOST_LIFTS, MOST_POINTS, screen_mesh
from cutplan.welding.result import ShapeAfter


def plate_and_skin(side: int, steps: int = 3) -> ShapeAfter:
    """Two square grids beside each other, the plate first; the lift of a point is its x and y times the step."""
    x, y = np.meshgrid(np.arange(side, dtype=float), np.arange(side, dtype=float), indexing="ij")
    one = np.column_stack([x.ravel(), y.ravel()])
    a = (np.arange(side - 1)[:, None] * side + np.arange(side - 1)).ravel()
    faces = np.vstack([np.column_stack([a, a + side, a + 1]), np.column_stack([a + side, a + side + 1, a + 1])])
    points = np.vstack([one, one + np.array([side - 1.0, 0.0])])
    return ShapeAfter(
        points=points,
        triangles=np.vstack([faces, faces + side * side]),
        is_plate=np.arange(2 * side * side) < side * side,
        lift_mm=np.outer(np.arange(float(steps)), points[:, 0] + 1000.0 * points[:, 1]),
        labels=tuple(str(k) for k in range(steps)),
    )


def test_a_small_mesh_stays_as_it_is() -> None:
    shape = plate_and_skin(12)
    kept, triangles = screen_mesh(shape)
    assert (kept == np.arange(288)).all()
    assert (triangles == shape.triangles).all()


@pytest.mark.parametrize("most", [200, 700, None])
def test_a_large_mesh_keeps_few_of_its_own_points(most: int | None) -> None:
    shape = plate_and_skin(60)
    kept, triangles = screen_mesh(shape, most)
    allowed = most or MOST_POINTS
    assert 0.5 * allowed < len(kept) <= allowed
    assert len(np.unique(kept)) == len(kept)
    plate = shape.is_plate[kept]
    assert plate[: plate.sum()].all()  # the plate's points stay first
    sides = plate[triangles]
    assert (sides.all(axis=1) | ~sides.any(axis=1)).all()
    assert triangles.max() < len(kept)


def test_the_face_stays_whole() -> None:
    shape = plate_and_skin(60)
    kept, triangles = screen_mesh(shape, 700)
    a, b, c = (shape.points[kept][triangles[:, k]] for k in range(3))
    area = 0.5 * np.abs((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]).sum()
    # exact area of both squares, 2 * 59 * 59; a coarser rim lies inside the true one, and few triangles overlap
    assert area == pytest.approx(2 * 59 * 59, rel=0.08)


def test_many_steps_leave_fewer_points() -> None:
    shape = plate_and_skin(40, steps=400)
    kept, _ = screen_mesh(shape)
    assert 400 * len(kept) <= MOST_LIFTS
