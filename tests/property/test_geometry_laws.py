"""Laws of exact geometry: motions, reversal, splitting and containment. Every expected value is exact."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from oracles.edge_distance import edge_distance, edge_distances
from property.strategies import carried, circles, motions, plates, points

from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import to_shapely
from cutplan.geometry.locate import inside
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point

few = settings(max_examples=60, deadline=None)


@few
@given(plates(), motions())
def test_motions_keep_area_and_perimeter(plate: Region, motion: tuple[float, float, float, bool]) -> None:
    moved = carried(plate, motion)
    # exact: a rigid motion keeps both; a millionth of a millimetre in 1e6 mm is the last digit of a float
    assert moved.area == pytest.approx(plate.area, rel=1e-9)
    assert moved.perimeter == pytest.approx(plate.perimeter, rel=1e-9)


@few
@given(plates(), motions())
def test_motions_carry_the_centroid(plate: Region, motion: tuple[float, float, float, bool]) -> None:
    angle, dx, dy, flip = motion
    c, corner = plate.centroid, plate.outer.segments[0].start
    moved = carried(plate, motion)
    if flip:
        c = Point(-c.x, c.y)
        corner = plate.mirrored("y").outer.segments[0].start
    expected = c.minus(corner).turned(angle).plus(corner).plus(Point(dx, dy))
    assert moved.centroid.distance(expected) < 1e-7


@few
@given(plates())
def test_reversing_twice_changes_nothing(plate: Region) -> None:
    for contour in plate.contours:
        assert contour.reversed().reversed() == contour
        assert contour.reversed().signed_area == pytest.approx(-contour.signed_area, rel=1e-12)


@few
@given(plates(), st.integers(0, 50))
def test_start_of_a_contour_does_not_matter(plate: Region, start: int) -> None:
    segments = plate.outer.segments
    first = start % len(segments)
    contour = Contour((*segments[first:], *segments[:first]))
    assert contour.area == pytest.approx(plate.outer.area, rel=1e-12)
    assert contour.centroid.distance(plate.outer.centroid) < 1e-9


@few
@given(plates(), st.lists(st.floats(0.05, 0.95), min_size=1, max_size=5))
def test_splitting_segments_does_not_matter(plate: Region, places: list[float]) -> None:
    parts = []
    for k, s in enumerate(plate.outer.segments):
        t = places[k % len(places)]
        parts.extend((s.part(0.0, t), s.part(t, 1.0)))
    split = Contour(tuple(parts))
    assert split.area == pytest.approx(plate.outer.area, rel=1e-12)
    assert split.length == pytest.approx(plate.outer.length, rel=1e-12)
    assert split.box == pytest.approx(plate.outer.box, abs=1e-9)


@few
@given(plates())
def test_area_and_centroid_against_chords(plate: Region) -> None:
    chords = to_shapely(plate, 1e-5)
    # exact: chords miss each arc by at most 1e-5 mm
    assert plate.area == pytest.approx(chords.area, abs=1e-5 * plate.perimeter)
    assert plate.centroid.distance(Point(chords.centroid.x, chords.centroid.y)) < 1e-3
    assert plate.box == pytest.approx(chords.bounds, abs=2e-5)


@few
@given(plates(), st.integers(0, 10_000))
def test_containment_against_chords(plate: Region, seed: int) -> None:
    box = plate.box.grown(5.0)
    rng = np.random.default_rng(seed)
    p = np.column_stack((rng.uniform(box.xmin, box.xmax, 40), rng.uniform(box.ymin, box.ymax, 40)))
    clear = np.abs(edge_distances(plate, p)) > 2e-3
    chords = to_shapely(plate, 1e-3)
    expected = shapely.contains_xy(chords, p[:, 0], p[:, 1])
    assert (inside(plate, p) == expected)[clear].all()
    for row, want in zip(p[clear], expected[clear], strict=True):
        assert plate.contains(Point(*row.tolist())) == want
        assert (edge_distance(plate, Point(*row.tolist())) > 0.0) == want


@few
@given(circles(), points)
def test_a_circle_holds_what_is_nearer_than_its_radius(circle: Contour, p: Point) -> None:
    found = circle.as_circle()
    assert found is not None
    centre, radius = found
    gap = centre.distance(p) - radius
    if abs(gap) > 1e-9:
        assert circle.contains(p) == (gap < 0.0)
    assert circle.area == pytest.approx(pi * radius**2, rel=1e-12)
