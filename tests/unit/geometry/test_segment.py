"""Lines and arcs. Expected values are exact unless a comment says otherwise."""

from __future__ import annotations

from math import cos, hypot, pi, sin, sqrt, tan

import pytest

from cutplan.geometry.segment import Arc, Line, arc_from_bulge, arc_from_centre, arc_through, circle
from cutplan.geometry.vector import Point

ARCS = [
    arc_from_centre(Point(x, y), r, start, sweep)
    for x, y in ((0.0, 0.0), (1e6, -1e6))
    for r in (0.3, 10.0, 2000.0)
    for start in (-3.0, -0.5 * pi, 0.0, 1.0, pi)
    for sweep in (-6.0, -pi, -0.4, 1e-3, 0.5 * pi, 3.5, 6.2)
]


@pytest.mark.parametrize(
    ("angle_deg", "bulge"),
    # published: bulge is the tangent of a quarter of the included angle (Autodesk DXF reference, LWPOLYLINE)
    [(60.0, 0.2679492), (90.0, 0.4142136), (180.0, 1.0), (270.0, 2.4142136), (-90.0, -0.4142136)],
)
def test_bulge_of_known_angles(angle_deg: float, bulge: float) -> None:
    arc = arc_from_centre(Point(5.0, 5.0), 3.0, 0.7, angle_deg * pi / 180.0)
    assert arc.bulge == pytest.approx(bulge, abs=5e-8)


def test_radius_from_bulge() -> None:
    # exact: R = c (1 + b^2) / (4 b) with chord c = 10 and b = tan(22.5 deg) gives 10 / sqrt(2)
    arc = arc_from_bulge(Point(0.0, 0.0), Point(10.0, 0.0), tan(pi / 8.0))
    assert isinstance(arc, Arc)
    assert arc.radius == pytest.approx(10.0 / sqrt(2.0), rel=1e-15)
    assert arc.sweep == pytest.approx(0.5 * pi, rel=1e-15)
    # counter-clockwise from left to right passes below the chord
    assert arc.point_at(0.5).y == pytest.approx(-(sqrt(50.0) - 5.0))


@pytest.mark.parametrize("arc", ARCS)
def test_bulge_round_trip(arc: Arc) -> None:
    again = arc_from_bulge(arc.start, arc.end, arc.bulge)
    assert isinstance(again, Arc)
    # at 1e6 mm the ends are good to 1e-10 mm, which a short chord magnifies
    slack = 1e-9 if abs(arc.centre.x) < 1.0 else 1e-9 * arc.radius / arc.start.distance(arc.end) + 1e-8
    assert again.sweep == pytest.approx(arc.sweep, rel=1e-12)
    assert again.radius == pytest.approx(arc.radius, rel=slack)
    assert again.centre.distance(arc.centre) < slack * arc.radius + 1e-9


@pytest.mark.parametrize("arc", ARCS)
def test_box_is_that_of_many_points(arc: Arc) -> None:
    points = [arc.point_at(k / 4000.0) for k in range(4001)]
    slack = arc.radius * (arc.sweep / 4000.0) ** 2 + 1e-9
    box = arc.box
    assert all(box.grown(1e-9).holds(p) for p in points)
    assert box.xmin == pytest.approx(min(p.x for p in points), abs=slack)
    assert box.ymax == pytest.approx(max(p.y for p in points), abs=slack)
    assert box.xmax == pytest.approx(max(p.x for p in points), abs=slack)
    assert box.ymin == pytest.approx(min(p.y for p in points), abs=slack)


@pytest.mark.parametrize("arc", ARCS[::3])
def test_nearest_place_on_an_arc(arc: Arc) -> None:
    for k in range(12):
        p = arc.centre.plus(Point(cos(k), sin(k)).times(arc.radius * (0.2 + 0.2 * k)))
        t, gap = arc.nearest(p)
        brute = min(arc.point_at(i / 3000.0).distance(p) for i in range(3001))
        assert gap <= brute + 1e-9
        assert gap == pytest.approx(brute, abs=arc.radius * abs(arc.sweep) / 3000.0)
        assert arc.point_at(t).distance(p) == pytest.approx(gap, abs=1e-8)


@pytest.mark.parametrize("arc", ARCS[::5])
def test_directions_are_tangent_and_reversal_turns_them(arc: Arc) -> None:
    for t in (0.0, 0.3, 1.0):
        radial = arc.point_at(t).minus(arc.centre)
        assert abs(arc.direction_at(t).dot(radial)) < 1e-8 * max(1.0, arc.radius)
        back = arc.reversed()
        assert back.direction_at(1.0 - t).plus(arc.direction_at(t)).length() < 1e-9 * max(1.0, abs(arc.centre.x))
    assert arc.reversed().reversed() == arc
    assert arc.reversed().bulge == -arc.bulge


@pytest.mark.parametrize("arc", ARCS[::4])
def test_parts_add_up(arc: Arc) -> None:
    one, two = arc.part(0.0, 0.3), arc.part(0.3, 1.0)
    assert one.end == two.start
    assert (one.start, two.end) == (arc.start, arc.end)
    assert one.length + two.length == pytest.approx(arc.length, rel=1e-14)


def test_arc_through_three_points() -> None:
    for sweep in (0.01, 2.0, -4.0, 6.0):
        arc = arc_from_centre(Point(100.0, 50.0), 25.0, 2.0, sweep)
        again = arc_through(arc.start, arc.point_at(0.4), arc.end)
        assert isinstance(again, Arc)
        assert again.sweep == pytest.approx(sweep, rel=1e-9)
        assert again.radius == pytest.approx(25.0, rel=1e-9)
    assert isinstance(arc_through(Point(0, 0), Point(1, 1), Point(3, 3)), Line)


def test_circle() -> None:
    ring = circle(Point(3.0, 4.0), 2.0, 1.0, ccw=False)
    assert ring.is_circle
    assert ring.length == pytest.approx(4.0 * pi)
    assert ring.box == pytest.approx((1.0, 2.0, 5.0, 6.0))
    assert arc_from_centre(Point(0, 0), 1.0, 0.0, 7.0).is_circle


def test_a_bulge_between_equal_points_is_no_arc() -> None:
    assert arc_from_bulge(Point(1.0, 2.0), Point(1.0, 2.0), 0.5) == Line(Point(1.0, 2.0), Point(1.0, 2.0))


def test_line() -> None:
    line = Line(Point(1.0, 1.0), Point(4.0, 5.0))
    assert line.length == 5.0
    assert line.nearest(Point(0.0, 0.0)) == (0.0, hypot(1.0, 1.0))
    assert line.nearest(Point(2.5 - 4.0, 3.0 + 3.0)) == pytest.approx((0.5, 5.0))
    assert line.part(0.0, 0.5).end == Point(2.5, 3.0)


def test_directions_that_an_arc_spans() -> None:
    quarter = arc_from_centre(Point(0, 0), 1.0, 0.0, 0.5 * pi)
    for arc in (quarter, quarter.reversed()):
        assert arc.spans(0.3)
        assert not arc.spans(-0.01)
        assert arc.spans(-0.01, slack_rad=0.02)
        assert arc.spans(0.5 * pi + 0.01, slack_rad=0.02)
        assert not arc.spans(pi)


@pytest.mark.parametrize("sweep", [2.0, -2.0])
def test_the_end_angle_is_start_and_sweep(sweep: float) -> None:
    assert arc_from_centre(Point(3.0, 4.0), 5.0, 0.5, sweep).end_angle == pytest.approx(0.5 + sweep)


def test_parts_of_a_line_keep_its_ends_to_the_last_digit() -> None:
    line = Line(Point(1e6, 0.3), Point(0.1, -1e6))
    assert line.point_at(1.0) != line.end  # rounding: why the end itself is taken
    assert line.part(0.25, 1.0) == Line(line.point_at(0.25), line.end)
    assert line.part(0.0, 0.25) == Line(line.start, line.point_at(0.25))
