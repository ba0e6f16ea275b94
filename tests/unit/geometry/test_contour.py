"""Contours and regions: area, centroid, containment, the shapes with a formula. Expected values are exact."""

from __future__ import annotations

from math import pi, sqrt

import pytest

from cutplan.errors import GeometryError
from cutplan.geometry.contour import Contour, circle_contour, polygon, polyline, rectangle
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point

FAR = [(0.0, 0.0), (1e6, 1e6), (-1e6, 3e5)]


@pytest.mark.parametrize(("x", "y"), FAR)
def test_rounded_rectangle(x: float, y: float) -> None:
    shape = rectangle(x, y, 80.0, 50.0, 6.0)
    # exact: w h - (4 - pi) r^2 and 2 (w + h) - (8 - 2 pi) r
    assert shape.area == pytest.approx(80.0 * 50.0 - (4.0 - pi) * 36.0, rel=1e-12)
    assert shape.length == pytest.approx(260.0 - (8.0 - 2.0 * pi) * 6.0, rel=1e-12)
    assert shape.centroid.distance(Point(x + 40.0, y + 25.0)) < 1e-9
    assert shape.box == pytest.approx((x, y, x + 80.0, y + 50.0), abs=1e-9)


@pytest.mark.parametrize(("x", "y"), FAR)
@pytest.mark.parametrize("ccw", [True, False])
def test_half_disc(x: float, y: float, ccw: bool) -> None:
    shape = polyline([(x + 3.0, y, 1.0), (x - 3.0, y, 0.0)]).oriented(ccw)
    assert shape.ccw is ccw
    # exact: pi r^2 / 2, centroid 4 r / (3 pi) over the flat
    assert shape.signed_area == pytest.approx(4.5 * pi * (1.0 if ccw else -1.0), rel=1e-9)
    assert shape.centroid.distance(Point(x, y + 4.0 / pi)) < 1e-9
    # the flat's middle is on the arc's chord: just inside it counts as in
    assert shape.contains(Point(x, y + 1e-6))
    assert not shape.contains(Point(x, y - 1e-6))


@pytest.mark.parametrize("ccw", [True, False])
def test_a_point_on_the_chord_of_an_arc_is_inside(ccw: bool) -> None:
    # an arc over a square: the chord runs through the middle of the shape
    shape = polyline([(1.0, 0.0, 1.0), (-1.0, 0.0, 0.0), (-1.0, -1.0, 0.0), (1.0, -1.0, 0.0)]).oriented(ccw)
    for x in (-0.9, -0.5, 0.0, 0.25, 0.9):
        assert shape.contains(Point(x, 0.0))
    assert shape.contains(Point(0.0, 0.999))
    assert not shape.contains(Point(0.0, 1.001))
    assert not shape.contains(Point(0.9, 0.9))


def test_a_bite_is_outside() -> None:
    # a half disc of radius 1 bitten out of the upper side
    shape = polyline([(-2, 0, 0), (2, 0, 0), (2, 2, 0), (1, 2, -1), (-1, 2, 0), (-2, 2, 0)])
    assert shape.area == pytest.approx(8.0 - 0.5 * pi, rel=1e-12)
    assert not shape.contains(Point(0.0, 1.5))
    assert not shape.contains(Point(0.0, 1.001))
    assert shape.contains(Point(0.0, 0.999))
    assert shape.contains(Point(1.5, 1.999))


@pytest.mark.parametrize("y", [0.0, 1.0, 2.0])
def test_rays_through_vertices(y: float) -> None:
    shape = polygon([(0, 0), (2, 1), (4, 0), (4, 2), (2, 3), (0, 2)])
    inside = {0.0: False, 1.0: True, 2.0: True}[y]
    assert shape.contains(Point(1.0, y)) is (inside or y == 0.5)
    assert not shape.contains(Point(-1.0, y))
    assert not shape.contains(Point(5.0, y))


def test_more_than_half_a_circle() -> None:
    # three quarters of a disc without the square corner: chord from (r, 0) to (0, -r)
    shape = polyline([(1.0, 0.0, 1.0 + sqrt(2.0)), (0.0, -1.0, 0.0)])
    # exact: three quarter disc plus the triangle under the chord
    assert shape.area == pytest.approx(0.75 * pi + 0.5, rel=1e-12)
    assert shape.contains(Point(0.0, 0.0))
    assert shape.contains(Point(0.4, -0.4))
    assert not shape.contains(Point(0.6, -0.6))
    assert shape.contains(Point(-0.9, 0.0))


def test_full_circle_and_circle_of_arcs() -> None:
    whole = circle_contour(Point(5.0, 5.0), 2.0)
    halves = polyline([(7.0, 5.0, 1.0), (3.0, 5.0, 1.0)])
    for c in (whole, halves, whole.reversed(), halves.reversed(), halves.turned(0.3, Point(1.0, 2.0))):
        found = c.as_circle()
        assert found is not None
        assert found[1] == pytest.approx(2.0, rel=1e-12)
        assert c.area == pytest.approx(4.0 * pi, rel=1e-12)
        assert c.centroid.distance(found[0]) < 1e-9
        assert c.contains(found[0])
    assert rectangle(0, 0, 10, 4, 2).as_circle() is None
    assert polyline([(7.0, 5.0, 1.0), (3.0, 5.0, 0.5)]).as_circle() is None


def test_slot_has_no_sides_of_no_length() -> None:
    slot = rectangle(0.0, 0.0, 30.0, 8.0, 4.0)
    assert len(slot.segments) == 6
    assert slot.area == pytest.approx(22.0 * 8.0 + pi * 16.0, rel=1e-12)


def test_wrong_shapes_are_refused() -> None:
    with pytest.raises(GeometryError, match="radius"):
        rectangle(0, 0, 10, 10, 6)
    with pytest.raises(GeometryError, match="segment"):
        Contour(())
    with pytest.raises(GeometryError, match="two points"):
        polyline([(0.0, 0.0, 1.0)])


def test_moves_keep_arcs_exact() -> None:
    shape = rectangle(10.0, 20.0, 80.0, 50.0, 6.0)
    assert shape.mirrored("y").box == pytest.approx((-90.0, 20.0, -10.0, 70.0))
    assert shape.mirrored("x").box == pytest.approx((10.0, -70.0, 90.0, -20.0))
    assert shape.mirrored("y").ccw
    assert shape.scaled(2.0).area == pytest.approx(4.0 * shape.area, rel=1e-12)
    assert shape.turned(0.5 * pi).box == pytest.approx((-70.0, 10.0, -20.0, 90.0))
    bulges = [getattr(s, "sweep", 0.0) for s in shape.segments]
    assert [getattr(s, "sweep", 0.0) for s in shape.turned(1.0).segments] == bulges


def test_places_along_a_contour() -> None:
    shape = rectangle(0.0, 0.0, 10.0, 10.0)
    assert shape.point_at_length(15.0) == (Point(10.0, 5.0), Point(0.0, 1.0))
    assert shape.point_at_length(55.0)[0] == Point(10.0, 5.0)
    along, gap = shape.nearest(Point(12.0, 4.0))
    assert (along, gap) == (14.0, 2.0)


def test_region_with_holes() -> None:
    plate = Region(rectangle(0, 0, 100, 60).reversed(), (circle_contour(Point(30, 30), 10), rectangle(60, 20, 20, 20)))
    assert plate.outer.ccw
    assert not any(h.ccw for h in plate.holes)
    assert plate.area == pytest.approx(6000.0 - 100.0 * pi - 400.0, rel=1e-12)
    # exact: first moments subtract
    expected = (6000.0 * 50.0 - 100.0 * pi * 30.0 - 400.0 * 70.0) / plate.area
    assert plate.centroid.x == pytest.approx(expected, rel=1e-12)
    assert plate.centroid.y == pytest.approx(30.0, rel=1e-12)
    assert plate.contains(Point(5.0, 5.0))
    assert not plate.contains(Point(30.0, 30.0))
    assert not plate.contains(Point(101.0, 30.0))


def test_the_centroid_of_a_contour_without_area_is_that_of_its_box() -> None:
    assert polygon([(0, 0), (10, 4)]).centroid == Point(5.0, 2.0)
