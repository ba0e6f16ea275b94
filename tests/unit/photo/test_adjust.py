"""The adjustment against pictures made by formula."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from rig.by_formula import observed_by_pinhole
from rig.cases import known
from rig.scene import Scene, main_scene

from cutplan.photo.adjustment.adjust import Scale, adjust
from cutplan.photo.adjustment.observed import Distance, circle_shift
from cutplan.photo.adjustment.start import mapped, plane_map


def few() -> Scene:
    """The scene of the figures with fewer strips and pictures: enough for the formulas."""
    scene = main_scene()
    return replace(scene, strips=scene.strips[:5], views=scene.views[:3])


def test_lens_poses_and_strips_come_back_exactly() -> None:
    scene = few()
    found = adjust(observed_by_pinhole(scene), [], Scale(), None)
    assert found.rms_px < 1e-3  # exact: the formula is the model
    assert found.views.lens[0] == pytest.approx(scene.lens.f, abs=0.5)
    assert found.views.lens[3] == pytest.approx(0.05, abs=1e-3)
    # distances between strips do not depend on where the first one lies; exact
    for j in range(1, len(scene.strips)):
        true = np.hypot(scene.strips[j].x - scene.strips[0].x, scene.strips[j].y - scene.strips[0].y)
        assert np.hypot(*found.strips[j, :2]) == pytest.approx(true, abs=5e-3)


def test_a_measured_length_sets_the_scale_and_its_error() -> None:
    scene = replace(few(), print_scale=(1.004, 1.004))
    k = known(scene)
    length = Distance((0, 0), (3, 1), k.length_mm, 0.05)
    found = adjust(observed_by_pinhole(scene, 0.02), [length], Scale(common=0.02, apart=0.01), None)
    assert found.scale == pytest.approx([1.004, 1.004], abs=2e-4)
    # the scale is as sure as the reading is: 0.05 mm in the length (exact formula)
    assert found.scale_error == pytest.approx(0.05 / k.length_mm, rel=0.1)


def test_axes_printed_apart_are_told_from_the_pictures_alone() -> None:
    scene = replace(few(), print_scale=(1.003, 1.0))
    found = adjust(observed_by_pinhole(scene, 0.02), [], Scale(common=0.02, apart=0.01), None)
    assert found.scale[0] / found.scale[1] == pytest.approx(1.003, abs=1e-4)


def test_a_centre_moved_from_picture_to_picture_is_solved() -> None:
    scene = few()
    moved = tuple(replace(v, shift_px=(7.0 * (-1) ** i, 4.0 - 3.0 * i)) for i, v in enumerate(scene.views))
    obs = observed_by_pinhole(scene)
    shift = np.array([v.shift_px for v in moved])
    found = adjust(replace(obs, px=obs.px + shift[obs.picture]), [], Scale(), 3000.0)
    assert found.rms_px < 0.02


def test_the_image_of_a_circle_is_corrected() -> None:
    """A plane map sends a circle to an ellipse whose centre is known exactly: the pole of the vanishing line."""
    h = np.array([[900.0, 40.0, 500.0], [-30.0, 870.0, 400.0], [2e-4, -1.5e-3, 1.0]])
    angle = np.linspace(0.0, 2.0 * np.pi, 240, endpoint=False)
    circle = 0.4 * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    conic = np.linalg.inv(h).T @ np.diag([1.0, 1.0, -(0.4**2)]) @ np.linalg.inv(h)
    centre = np.linalg.solve(conic[:2, :2], -conic[:2, 2])  # exact
    image = mapped(h, np.zeros((1, 2)))
    shift = circle_shift(mapped(h, circle)[None], image, mapped(h, 0.4 * circle)[None], np.array([True]))
    assert shift[0] == pytest.approx(centre - image[0], rel=1e-3)
    assert np.hypot(*shift[0]) > 0.05  # it matters


def test_a_plane_map_is_found_from_four_places() -> None:
    h = np.array([[1.1, 0.2, 30.0], [-0.1, 0.9, 5.0], [1e-3, -2e-3, 1.0]])
    p = np.array([[0.0, 0.0], [50.0, 3.0], [44.0, 60.0], [-5.0, 41.0]])
    assert plane_map(p, mapped(h, p)) == pytest.approx(h, rel=1e-9, abs=1e-9)  # exact
