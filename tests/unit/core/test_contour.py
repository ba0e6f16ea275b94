"""Exact contours. Expected values are exact formulas of circle, cap and rectangle."""

from __future__ import annotations

from math import cos, pi, sin, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutplan.errors import GeometryError
from cutplan.geometry.contour import Contour, circle_contour, polygon, polyline, rectangle
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc, Line, arc_from_bulge, arc_through
from cutplan.geometry.vector import Point

FAR = 1e6


def test_rounded_rectangle() -> None:
    c = rectangle(10, 20, 100, 50, 10)
    assert c.area == pytest.approx(100 * 50 - (4 - pi) * 10**2, rel=1e-12)
    assert c.length == pytest.approx(2 * 80 + 2 * 30 + 2 * pi * 10, rel=1e-12)
    assert c.centroid.x == pytest.approx(60.0) and c.centroid.y == pytest.approx(45.0)
    assert (c.box.width, c.box.height) == (pytest.approx(100.0), pytest.approx(50.0))


@pytest.mark.parametrize("bulge", [0.1, 0.41421356237309503, 1.0, 2.414213562373095, -0.3, -1.0])
def test_cap_area_and_centroid(bulge: float) -> None:
    """Area r2 (a - sin a) / 2 and centroid distance 4 r sin3(a/2) / (3 (a - sin a)) of a circular segment."""
    c = polyline([(0, 0, bulge), (10, 0, 0)])
    arc = c.segments[0]
    assert isinstance(arc, Arc)
    a, r = abs(arc.sweep), arc.radius
    assert c.area == pytest.approx(r * r * (a - sin(a)) / 2, rel=1e-12)
    reach = 4 * r * sin(a / 2) ** 3 / (3 * (a - sin(a)))
    assert c.centroid.distance(arc.centre) == pytest.approx(reach, rel=1e-9)


def test_far_from_the_origin_nothing_is_lost() -> None:
    near = rectangle(0, 0, 123.4, 56.7, 8.9)
    far = near.moved(FAR, -FAR)
    assert far.area == pytest.approx(near.area, rel=1e-9)
    assert far.centroid.x - FAR == pytest.approx(near.centroid.x, abs=1e-8)


def test_circle_is_a_circle() -> None:
    c = circle_contour(Point(3, 4), 5)
    assert c.as_circle() == (Point(3, 4), 5)
    assert c.area == pytest.approx(25 * pi, rel=1e-14)
    halves = Contour(
        tuple(arc_from_bulge(p, q, 1.0) for p, q in ((Point(-2, 4), Point(8, 4)), (Point(8, 4), Point(-2, 4))))
    )
    found = halves.as_circle()
    assert found is not None and found[1] == pytest.approx(5.0)
    assert rectangle(0, 0, 10, 10).as_circle() is None


@given(
    st.floats(-3, 3).filter(lambda b: abs(b) > 0.01),
    st.floats(0, 2 * pi),
    st.floats(0.05, 0.95),
    st.booleans(),
)
@settings(max_examples=200, deadline=None)
def test_contains_agrees_with_offsets_along_the_normal(bulge: float, turn: float, t: float, reverse: bool) -> None:
    """A point a little to the left of a counter-clockwise contour is inside, to the right outside."""
    # the top side is far enough away that no arc of this chord (radius at most 34 mm below |b| = 3) can reach it
    c = polyline([(0, 0, bulge), (40, 0, 0), (40, 200, 0.3), (0, 200, 0)]).turned(turn)
    if bulge < -1.0:
        return  # an inward arc beyond a half circle leaves through the long sides: inside is not defined there
    c = c.reversed() if reverse else c
    ccw = c.oriented(True)
    s = ccw.segments[0]
    p, d = s.point_at(t), s.direction_at(t)
    inside, outside = p.plus(d.left().times(1e-3)), p.minus(d.left().times(1e-3))
    assert c.contains(inside) and not c.contains(outside)


def test_mirror_and_turn_keep_radii_and_area() -> None:
    c = polyline([(0, 0, 0.3), (50, 0, -0.2), (50, 30, 0), (0, 30, 0)])
    for other in (c.mirrored("y"), c.mirrored("x"), c.turned(0.7), c.reversed()):
        assert other.area == pytest.approx(c.area, rel=1e-12)
        assert sorted(s.radius for s in other.segments if isinstance(s, Arc)) == pytest.approx(
            sorted(s.radius for s in c.segments if isinstance(s, Arc))
        )
    assert c.mirrored("y").ccw == c.ccw  # mirrored() keeps the turning sense by running backwards


def test_region_orients_its_contours() -> None:
    r = Region(rectangle(0, 0, 100, 50).reversed(), (circle_contour(Point(20, 20), 5),))
    assert r.outer.ccw and not r.holes[0].ccw
    assert r.area == pytest.approx(5000 - 25 * pi)
    assert r.contains(Point(50, 25)) and not r.contains(Point(20, 20)) and not r.contains(Point(-1, 0))
    mx = (5000 * 50 - 25 * pi * 20) / (5000 - 25 * pi)
    assert r.centroid.x == pytest.approx(mx)


def test_points_along_and_nearest() -> None:
    c = rectangle(0, 0, 100, 50)
    p, d = c.point_at_length(125.0)
    assert p == pytest.approx((100, 25)) and d == pytest.approx((0, 1))
    assert c.nearest(Point(110, 25)) == pytest.approx((125.0, 10.0))


def test_arc_through_three_points() -> None:
    r = sqrt(2) * 5
    arc = arc_through(Point(0, 0), Point(5 + r * cos(-pi / 2), 5 + r * sin(-pi / 2)), Point(10, 0))
    assert isinstance(arc, Arc)
    assert arc.radius == pytest.approx(r) and arc.centre == pytest.approx((5, 5)) and arc.sweep == pytest.approx(pi / 2)
    assert isinstance(arc_through(Point(0, 0), Point(1, 1), Point(2, 2)), Line)


def test_impossible_rectangle_is_refused() -> None:
    with pytest.raises(GeometryError):
        rectangle(0, 0, 10, 10, 6)
    with pytest.raises(GeometryError):
        polygon([(0, 0)])
