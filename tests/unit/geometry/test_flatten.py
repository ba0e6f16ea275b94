"""Chords for exact curves. Expected values are exact."""

from __future__ import annotations

from math import cos, pi

import numpy as np
import pytest

from cutplan.errors import GeometryError
from cutplan.geometry.contour import circle_contour, rectangle
from cutplan.geometry.flatten import FEWEST_CHORDS, chord_count, flatten, flatten_array, flatten_segment, to_shapely
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc, arc_from_centre
from cutplan.geometry.vector import Point


@pytest.mark.parametrize(
    ("radius", "chord", "count"),
    # exact: n = ceil(pi / acos(1 - e / r))
    [(10.0, 0.01, 71), (10.0, 0.05, 32), (50.0, 0.01, 158), (50.0, 0.05, 71), (100.0, 0.05, 100)],
)
def test_number_of_chords(radius: float, chord: float, count: int) -> None:
    assert chord_count(radius, 2.0 * pi, chord) == count


@pytest.mark.parametrize("radius", [0.1, 5.0, 1e4])
@pytest.mark.parametrize("sweep", [-6.0, 0.01, 3.0])
@pytest.mark.parametrize("chord", [1e-4, 0.01, 1.0])
def test_chords_stay_within_the_tolerance(radius: float, sweep: float, chord: float) -> None:
    arc = arc_from_centre(Point(3.0, -2.0), radius, 0.4, sweep)
    points = flatten_segment(arc, chord)
    assert points[0] == arc.start
    assert points[-1] == arc.end
    step = abs(sweep) / (len(points) - 1)
    assert radius * (1.0 - cos(0.5 * step)) <= chord * (1.0 + 1e-6)
    assert all(abs(arc.centre.distance(p) - radius) < 1e-9 * max(1.0, radius) for p in points)


def test_tolerance_must_be_above_zero() -> None:
    with pytest.raises(GeometryError, match="above zero"):
        flatten(circle_contour(Point(0, 0), 1.0), 0.0)


def test_array_holds_the_same_points() -> None:
    for shape in (rectangle(1, 2, 30, 20, 4), rectangle(1, 2, 30, 20), circle_contour(Point(5, 5), 3.0)):
        assert np.allclose(flatten_array(shape, 0.01), flatten(shape, 0.01), atol=1e-12)


def test_a_circle_coarser_than_its_radius_keeps_twelve_chords() -> None:
    assert len(flatten(circle_contour(Point(5, 5), 0.5), 1.0)) == FEWEST_CHORDS == 12  # exact: a chord each 30 degrees


def test_geos_polygon() -> None:
    plate = Region(rectangle(0, 0, 30, 20, 4), (circle_contour(Point(15, 10), 3.0),))
    chords = to_shapely(plate)
    assert chords.is_valid
    assert len(chords.interiors) == 1
    assert chords.area == pytest.approx(plate.area, abs=0.001 * plate.perimeter)
    assert to_shapely(plate.outer).area == pytest.approx(plate.outer.area, abs=0.001 * plate.outer.length)
    assert any(isinstance(s, Arc) for s in plate.outer.segments)
