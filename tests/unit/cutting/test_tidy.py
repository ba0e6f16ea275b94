from math import cos, pi, radians, sin, sqrt

import pytest

from cutplan.cutting.path.tidy import without_short_segments
from cutplan.geometry.contour import Contour, polygon, rectangle
from cutplan.geometry.segment import Line, arc_from_centre
from cutplan.geometry.vector import Point


def test_a_clean_contour_is_returned_itself() -> None:
    edge = rectangle(0.0, 0.0, 50.0, 30.0, 4.0)
    assert without_short_segments(edge) == (edge, 0.0)


def test_a_cut_off_corner_becomes_the_corner() -> None:
    edge = polygon([(0.0, 0.0), (50.0, 0.0), (50.0, 30.0), (0.01, 30.0), (0.0, 29.99)])
    tidy, moved = without_short_segments(edge)
    assert len(tidy.segments) == 4
    assert tidy.area == pytest.approx(1500.0)  # exact: the corner restored
    assert moved == pytest.approx(0.01 / sqrt(2.0), abs=1e-4)


def test_a_tight_fillet_is_opened_until_it_is_long_enough() -> None:
    edge = rectangle(0.0, 0.0, 50.0, 30.0, 0.06)
    assert min(s.length for s in edge.segments) < 0.1
    tidy, moved = without_short_segments(edge)
    assert len(tidy.segments) == 8 and min(s.length for s in tidy.segments) >= 0.1
    assert moved < 0.003


def test_a_tiny_joint_arc_between_lines_costs_almost_nothing() -> None:
    # a round join of 0.75 mm over 6 degrees is 0.079 mm long
    turn = radians(6.0)
    centre = Point(50.0, 0.75)
    arc = arc_from_centre(centre, 0.75, -0.5 * pi, turn)
    far = arc.end.plus(Point(cos(turn), sin(turn)).times(40.0))
    edge = Contour(
        (
            Line(Point(0.0, 0.0), arc.start),
            arc,
            Line(arc.end, far),
            Line(far, Point(0.0, 60.0)),
            Line(Point(0.0, 60.0), Point(0.0, 0.0)),
        )
    )
    tidy, moved = without_short_segments(edge)
    assert len(tidy.segments) == 4
    assert moved == pytest.approx(0.75 * (1.0 / cos(0.5 * turn) - 1.0), abs=2e-4)  # exact: the mitre's height


def test_every_segment_is_long_enough_afterwards_and_the_chain_closed() -> None:
    points = [(6.0 * cos(2.0 * pi * k / 400), 4.0 * sin(2.0 * pi * k / 400)) for k in range(400)]
    tidy, moved = without_short_segments(polygon(points))
    assert min(s.length for s in tidy.segments) >= 0.1
    for a, b in zip(tidy.segments, (*tidy.segments[1:], tidy.segments[0]), strict=True):
        assert a.end.distance(b.start) < 1e-9
    assert moved < 0.01


def test_a_contour_that_is_tiny_itself_is_left_alone() -> None:
    edge = rectangle(0.0, 0.0, 0.2, 0.2)
    assert without_short_segments(edge)[0] == edge
