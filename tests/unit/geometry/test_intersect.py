"""Crossings of lines and arcs. Expected values are exact."""

from __future__ import annotations

from math import asin, cos, pi, sin, sqrt
from random import Random

import pytest

from cutplan.geometry.contour import Contour, circle_contour, polygon, polyline, rectangle
from cutplan.geometry.intersect import contours_cross, fraction_of, meet, self_crossings
from cutplan.geometry.pairs import near_pairs
from cutplan.geometry.segment import Arc, Line, Segment, arc_from_centre, circle
from cutplan.geometry.vector import Box, Point


def line(x0: float, y0: float, x1: float, y1: float) -> Line:
    return Line(Point(x0, y0), Point(x1, y1))


@pytest.mark.parametrize("far", [0.0, 1e6])
def test_two_lines(far: float) -> None:
    a, b = line(far, far, far + 4, far + 4), line(far, far + 2, far + 2, far)
    (m,) = meet(a, b)
    assert m.point.distance(Point(far + 1.0, far + 1.0)) < 1e-9
    assert (m.ta, m.tb) == pytest.approx((0.25, 0.5))
    assert meet(a, line(far, far + 2, far + 0.9, far + 1.1)) == []


def test_touch_at_an_end_is_exactly_the_end() -> None:
    (m,) = meet(line(0, 0, 10, 0), line(5, 1e-8, 5, 3))
    assert m.tb == 0.0
    assert m.point == Point(5.0, 1e-8)
    assert meet(line(0, 0, 10, 0), line(5, 1e-5, 5, 3)) == []


def test_lines_in_line() -> None:
    assert [m.point.x for m in meet(line(0, 0, 10, 0), line(4, 0, 20, 0))] == [4.0, 10.0]
    assert [m.point.x for m in meet(line(0, 0, 10, 0), line(8, 0, 3, 0))] == [3.0, 8.0]
    assert [m.point.x for m in meet(line(0, 0, 10, 0), line(10, 0, 20, 0))] == [10.0]
    assert meet(line(0, 0, 10, 0), line(11, 0, 20, 0)) == []
    assert meet(line(0, 0, 10, 0), line(0, 0.1, 10, 0.1)) == []


def test_line_and_circle() -> None:
    ring = circle(Point(0, 0), 5.0)
    found = meet(line(-10, 3, 10, 3), ring)
    # exact: the 3-4-5 triangle
    assert [m.point.x for m in found] == pytest.approx([-4.0, 4.0])
    (touch,) = meet(line(-10, 5, 10, 5), ring)
    assert touch.point == Point(0.0, 5.0)
    assert meet(line(-10, 5.001, 10, 5.001), ring) == []
    assert len(meet(line(0, 0, 10, 0), ring)) == 1


def test_a_circle_is_met_at_its_start_only_once() -> None:
    ring = circle(Point(0, 0), 5.0)
    for hair in (0.0, 1e-9, -1e-9):
        (m,) = meet(line(3, hair, 9, hair), ring)
        assert m.tb == 0.0
        assert m.point == ring.start


def test_two_circles() -> None:
    a, b = circle(Point(0, 0), 5.0), circle(Point(6.0, 0), 5.0)
    assert sorted(m.point.y for m in meet(a, b)) == pytest.approx([-4.0, 4.0])
    (outer,) = meet(a, circle(Point(8.0, 0), 3.0))
    assert outer.point.distance(Point(5.0, 0.0)) < 1e-9
    (inner,) = meet(a, circle(Point(2.0, 0), 3.0))
    assert inner.point.distance(Point(5.0, 0.0)) < 1e-9
    assert meet(a, circle(Point(0, 0), 4.0)) == []
    assert meet(a, circle(Point(9.0, 0), 3.0)) == []


def test_arcs_of_one_circle() -> None:
    a = arc_from_centre(Point(0, 0), 2.0, 0.0, 2.0)
    b = arc_from_centre(Point(0, 0), 2.0, 3.0, -2.0)
    assert [m.ta for m in meet(a, b)] == pytest.approx([0.5, 1.0])
    assert meet(a, arc_from_centre(Point(0, 0), 2.0, 2.5, 1.0)) == []


def test_fraction_beyond_the_ends() -> None:
    arc = arc_from_centre(Point(0, 0), 1.0, 0.0, 1.0)
    assert fraction_of(arc, Point(cos(1.2), sin(1.2))) == pytest.approx(1.2)
    assert fraction_of(arc, Point(cos(-0.2), sin(-0.2))) == pytest.approx(-0.2)
    assert fraction_of(arc.reversed(), Point(cos(-0.2), sin(-0.2))) == pytest.approx(1.2)


def _random(rng: Random) -> Segment:
    p = Point(rng.uniform(-5, 5), rng.uniform(-5, 5))
    if rng.random() < 0.5:
        return Line(p, Point(rng.uniform(-5, 5), rng.uniform(-5, 5)))
    return arc_from_centre(p, rng.uniform(0.5, 6.0), rng.uniform(-pi, pi), rng.uniform(-6.0, 6.0))


def _sides(a: Segment, b: Segment) -> int:
    """Sign changes along b of the side on which it lies of the (prolonged) line or circle of a, within a."""
    changes, before = 0, 0.0
    for k in range(1501):
        p = b.point_at(k / 1500.0)
        if isinstance(a, Arc):
            side = a.centre.distance(p) - a.radius
        else:
            side = a.end.minus(a.start).cross(p.minus(a.start))
        if k and side * before < 0.0 and -1e-12 < fraction_of(a, p) < 1.0 + 1e-12:
            changes += 1
        before = side
    return changes


def test_number_of_crossings_against_sampling() -> None:
    rng = Random(5)
    total = 0
    for _ in range(150):
        a, b = _random(rng), _random(rng)
        found = meet(a, b)
        for m in found:
            assert a.nearest(m.point)[1] < 1e-9
            assert b.nearest(m.point)[1] < 1e-9
            assert a.point_at(m.ta).distance(m.point) < 1e-6
            assert b.point_at(m.tb).distance(m.point) < 1e-6
        assert len(found) == _sides(a, b)
        total += len(found)
    assert total > 25


def test_contours_that_cross_and_touch() -> None:
    square = rectangle(0, 0, 10, 10)
    found = contours_cross(square, circle_contour(Point(10, 5), 3.0))
    assert sorted(c.point.y for c in found) == pytest.approx([2.0, 8.0])
    assert len(contours_cross(square, circle_contour(Point(5, 5), 5.0))) == 4
    assert contours_cross(square, circle_contour(Point(5, 5), 4.999)) == []


def test_contours_that_cross_themselves() -> None:
    (crossing,) = self_crossings(polygon([(0, 0), (10, 10), (10, 0), (0, 10)]))
    assert crossing.point == Point(5.0, 5.0)
    assert self_crossings(rectangle(0, 0, 30, 10, 5)) == []
    assert self_crossings(polyline([(0, 0, 1.0), (10, 0, 1.0)])) == []
    assert self_crossings(circle_contour(Point(0, 0), 1.0)) == []
    # a spike: out and back along the same line
    assert self_crossings(polygon([(0, 0), (10, 0), (20, 0), (10, 0), (10, 10)])) != []
    # an arc that dips through the opposite side: half chord 5, dip 5 of 4
    assert len(self_crossings(polyline([(0, 0, 0), (10, 0, 0), (10, 4, -1.0), (0, 4, 0)]))) >= 1


def test_pairs_against_brute_force() -> None:
    rng = Random(3)
    for n in (50, 700):
        boxes = []
        for _ in range(n):
            x, y = rng.uniform(0, 100), rng.uniform(0, 100)
            boxes.append(Box(x, y, x + rng.uniform(0, 5), y + rng.uniform(0, 5)))
        brute = [(i, j) for i in range(n) for j in range(i + 1, n) if boxes[i].grown(0.5).meets(boxes[j])]
        assert near_pairs(boxes, 0.5) == brute


def test_a_contour_that_runs_back_along_its_first_side_crosses_itself() -> None:
    # the last side runs back over 4 mm of the first, at the corner where the contour starts
    spike = polygon([(0, 0), (10, 0), (10, 5), (4, 5), (4, 0)])
    assert any(c.point == Point(4.0, 0.0) and (c.first, c.second) == (0, 4) for c in self_crossings(spike))
    turned = Contour((*spike.segments[1:], spike.segments[0]))
    assert any(c.point == Point(4.0, 0.0) and (c.first, c.second) == (3, 4) for c in self_crossings(turned))
    sharp = polygon([(0, 0), (10, 0), (10, 5)])
    assert self_crossings(sharp) == []


@pytest.mark.parametrize(("chord_mm", "crosses"), [(0.005, False), (0.05, True)])
def test_an_arc_that_leaves_a_line_almost_along_it_must_cross_it_clearly(chord_mm: float, crosses: bool) -> None:
    # exact: the arc of radius 10 dips below the line by chord^2 / 80: 3e-7 mm is nothing, 3e-5 mm a crossing
    centre = Point(-0.5 * chord_mm, sqrt(100.0 - 0.25 * chord_mm**2))
    start, end = Point(0.0, 0.0), Point(centre.x - 10.0, centre.y)
    sweep = -(0.5 * pi + asin(0.05 * chord_mm))
    corner, far = Point(-20.0, 0.0), Point(-20.0, centre.y)
    cusp = Contour((Line(corner, start), Arc(start, end, centre, 10.0, sweep), Line(end, far), Line(far, corner)))
    found = self_crossings(cusp)
    assert [(c.first, c.second) for c in found] == ([(0, 1)] if crosses else [])
    for c in found:
        assert c.point.distance(Point(-chord_mm, 0.0)) < 1e-6


@pytest.mark.parametrize("half_mm", [0.01, 1.0, 1000.0])
def test_lines_that_cross_at_a_hair_cross_whatever_their_length(half_mm: float) -> None:
    # the sine of the angle is 1e-6, so the ends lie a millionth of the half length apart
    hair = 1e-6 * half_mm
    (m,) = meet(line(-half_mm, 0, half_mm, 0), line(-half_mm, -hair, half_mm, hair), 0.01 * hair)
    assert (m.ta, m.tb) == pytest.approx((0.5, 0.5)) and m.point.length() < 1e-6 * half_mm
