from math import pi

import pytest

from cutplan.cutting.leads import LeadFinder, Wishes, arc_lead, half_circle_lead, round_lead
from cutplan.geometry.contour import polygon, rectangle
from cutplan.geometry.segment import Arc, Line
from cutplan.geometry.vector import Point

EAST = Point(1.0, 0.0)
WISHES = Wishes(lead_mm=7.5, clear_mm=5.0, kerf_mm=1.5, line_mm=0.75, lead_out_mm=4.0, side=1)


@pytest.mark.parametrize("side", [1, -1])
def test_an_arc_lead_comes_from_the_waste_and_touches_the_line(side: int) -> None:
    run, arc = arc_lead(Point(10.0, 0.0), EAST, side, 4.0, 2.0)
    assert isinstance(run, Line) and isinstance(arc, Arc)
    assert run.start == pytest.approx((6.0, side * 6.0))  # exact: back by the radius, off by radius and run
    assert run.end == pytest.approx(arc.start)
    assert arc.end == (10.0, 0.0)
    assert arc.end_direction == pytest.approx(EAST)
    assert run.end_direction == pytest.approx(arc.start_direction)
    assert arc.point_at(0.5).distance(arc.centre) == pytest.approx(4.0)


def test_half_circle_from_the_centre_touches_the_hole() -> None:
    (arc,) = half_circle_lead(Point(0.0, 0.0), Point(8.0, 0.0), 1)
    assert arc.start == (0.0, 0.0) and arc.end == (8.0, 0.0)
    assert arc.end_direction == pytest.approx((0.0, 1.0))  # counter-clockwise travel at the east side
    assert arc.length == pytest.approx(4.0 * pi)  # exact


@pytest.mark.parametrize(
    ("line_radius", "kind", "clear"),
    [(60.0, "arc", None), (14.0, "arc", 14.75), (5.0, "arc", 5.75), (1.2, "straight", 1.95)],
)
def test_round_holes_get_the_lead_that_fits(line_radius: float, kind: str, clear: float | None) -> None:
    at = Point(line_radius, 0.0)
    lead = round_lead(Point(0.0, 0.0), line_radius, at, Point(0.0, 1.0), WISHES)
    assert lead.kind == kind
    assert lead.segments[-1].end == at
    hole_radius = line_radius + 0.75
    assert lead.clear_mm == pytest.approx(hole_radius - lead.pierce.length())
    if clear is not None:
        assert lead.clear_mm == pytest.approx(clear)  # exact: pierced in the middle
    else:
        assert lead.clear_mm >= 5.0
        assert lead.pierce.length() > 40.0  # a large hole is not pierced in its middle


def test_a_lead_that_would_touch_the_part_is_not_offered() -> None:
    # a wall stands 3 mm beside the line's edge: no room for a pierce 5 mm clear of both
    edge = polygon([(0.0, -20.0), (100.0, -20.0), (100.0, 0.0), (0.0, 0.0)])
    wall = polygon([(0.0, 3.0), (100.0, 3.0), (100.0, 20.0), (0.0, 20.0)])
    free = LeadFinder(edge, WISHES)
    assert free.find(Point(50.0, 0.75), EAST) is not None
    both = LeadFinder(type(edge)((*edge.segments, *wall.segments)), WISHES)
    assert both.find(Point(50.0, 0.75), EAST) is None


def test_check_sees_a_crossing() -> None:
    finder = LeadFinder(rectangle(0.0, 0.0, 50.0, 30.0), WISHES)
    assert finder.check((Line(Point(25.0, 40.0), Point(25.0, 30.75)),)) == pytest.approx(10.0)
    assert finder.check((Line(Point(25.0, 15.0), Point(25.0, 30.75)),)) is None


def test_the_lead_out_goes_into_the_waste() -> None:
    finder = LeadFinder(rectangle(0.0, 0.0, 100.0, 30.0), WISHES)
    (out,) = finder.leave(Point(50.0, 30.75), EAST)
    assert out.length == pytest.approx(4.0)  # exact: the wanted length
    assert out.end.y > 30.75
