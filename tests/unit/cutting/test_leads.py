from dataclasses import replace
from math import cos, pi, sin

import pytest

from cutplan.cutting.path.leads import LeadFinder, Wishes, arc_lead, half_circle_lead, round_lead
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


FLOOR = [(0.0, -20.0), (100.0, -20.0), (100.0, 0.0)]  # the part lies below the line y = 0.75, the waste above it
TOUCH = Point(50.0, 0.75)


@pytest.mark.parametrize(("wall_mm", "share"), [(20.0, 1.0), (36.0, 0.75), (38.0, 0.5), (39.5, 0.3)])
def test_the_largest_arc_that_fits_is_taken_with_a_run_up_to_the_clearance(wall_mm: float, share: float) -> None:
    # exact: the radius is the clearance less half the kerf, 7.25; a smaller arc gets the rest as a straight run,
    # and its pierce stays 8 mm above the part, back from the touch-down by the radius, 8 mm or more from the wall
    edge = polygon([*FLOOR, (wall_mm, 0.0), (wall_mm, 20.0), (0.0, 20.0)])
    lead = LeadFinder(edge, replace(WISHES, lead_mm=3.0, clear_mm=8.0)).find(TOUCH, EAST)
    assert lead is not None and lead.kind == "arc"
    assert lead.pierce == pytest.approx((50.0 - share * 7.25, 8.0))
    assert lead.clear_mm == pytest.approx(8.0)
    arc = lead.segments[-1]
    assert isinstance(arc, Arc) and arc.radius == pytest.approx(share * 7.25)
    assert len(lead.segments) == (1 if share == 1.0 else 2)


def test_a_free_arc_is_as_long_as_the_lead_wanted() -> None:
    lead = LeadFinder(rectangle(0.0, -20.0, 100.0, 20.0), WISHES).find(TOUCH, EAST)
    assert lead is not None and lead.kind == "arc"
    assert lead.segments[0].length == pytest.approx(7.5)  # exact: a quarter arc of radius 2 lead / pi
    assert lead.clear_mm == pytest.approx(0.75 + 15.0 / pi)


@pytest.mark.parametrize(
    ("wall", "lead_mm", "clear_mm", "pierce", "clear"),
    [
        # exact: no arc keeps 8 mm from the wall, a run of 9 mm straight up does
        ([(41.0, 0.0), (41.0, 20.0), (0.0, 20.0)], 9.0, 8.0, (50.0, 9.75), 9.0),
        # exact: nor does that; leaning away by 0.6 it stands as high
        ([(43.0, 0.0), (43.0, 20.0), (0.0, 20.0)], 9.0, 8.0, (55.4, 9.75), 9.75),
        # exact: under a ceiling only the shortest run, clearance less half the kerf, fits
        ([(46.0, 0.0), (46.0, 6.2), (100.0, 6.2), (100.0, 20.0), (0.0, 20.0)], 9.0, 3.0, (50.0, 3.0), 3.0),
    ],
)
def test_a_straight_run_where_no_arc_fits(
    wall: list[tuple[float, float]], lead_mm: float, clear_mm: float, pierce: tuple[float, float], clear: float
) -> None:
    finder = LeadFinder(polygon([*FLOOR, *wall]), replace(WISHES, lead_mm=lead_mm, clear_mm=clear_mm))
    lead = finder.find(TOUCH, EAST)
    assert lead is not None and lead.kind == "straight" and len(lead.segments) == 1
    assert lead.pierce == pytest.approx(pierce) and lead.segments[0].end == TOUCH
    assert lead.clear_mm == pytest.approx(clear)


def test_a_straight_run_leans_back_beside_a_wall_ahead() -> None:
    edge = polygon(
        [(0.0, -20.0), (100.0, -20.0), (100.0, 60.0), (51.5, 60.0), (51.5, 0.0), (33.0, 0.0), (33.0, 9.0), (0.0, 9.0)]
    )
    lead = LeadFinder(edge, replace(WISHES, lead_mm=20.0, clear_mm=8.0)).find(TOUCH, EAST)
    assert lead is not None and lead.kind == "straight"
    assert lead.pierce == pytest.approx((38.0, 20.75))  # exact: 20 up and 0.6 x 20 back


def test_the_pole_is_the_last_resort() -> None:
    edge = polygon([*FLOOR, (46.0, 0.0), (46.0, 6.2), (70.0, 6.2), (70.0, 40.0), (0.0, 40.0)])
    finder = LeadFinder(edge, replace(WISHES, clear_mm=8.0))
    assert finder.find(TOUCH, EAST) is None
    lead = finder.find(TOUCH, EAST, Point(90.0, 8.2))
    assert lead is not None and lead.kind == "straight"
    assert lead.segments == (Line(Point(90.0, 8.2), TOUCH),) and lead.clear_mm == pytest.approx(8.2)  # exact


@pytest.mark.parametrize(
    ("lead_mm", "clear_mm", "line_radius", "quarter", "clear"),
    [
        (1.0, 5.0, 60.0, True, 5.0),  # exact: the smallest arc whose pierce is clear
        (7.5, 5.0, 60.0, True, None),  # the lead wanted is longer
        (7.5, 5.0, 20.0, True, 5.0),
        (7.5, 1.0, 12.0, True, None),  # radius 4.77, below 0.4 of 12
        (7.5, 1.0, 10.0, False, 10.75),  # and above 0.4 of 10: from the centre
        (7.5, 5.0, 2.0, False, 2.75),
    ],
)
def test_large_holes_get_a_quarter_arc_and_small_ones_a_half_circle(
    lead_mm: float, clear_mm: float, line_radius: float, quarter: bool, clear: float | None
) -> None:
    wishes = replace(WISHES, lead_mm=lead_mm, clear_mm=clear_mm)
    lead = round_lead(Point(0.0, 0.0), line_radius, Point(line_radius, 0.0), Point(0.0, 1.0), wishes)
    (arc,) = lead.segments
    assert isinstance(arc, Arc) and abs(arc.sweep) == pytest.approx(0.5 * pi if quarter else pi)
    if clear is None:
        assert arc.length == pytest.approx(lead_mm) and lead.clear_mm > clear_mm
    else:
        assert lead.clear_mm == pytest.approx(clear)


@pytest.mark.parametrize(
    ("kerf_mm", "line_radius", "kind"),
    [(1.5, 2.0, "arc"), (1.5, 1.9, "straight"), (3.0, 3.1, "arc"), (3.0, 2.9, "straight")],
)
def test_a_half_circle_tighter_than_the_kerf_or_a_table_follows_is_not_offered(
    kerf_mm: float, line_radius: float, kind: str
) -> None:
    # our own choice: radius 1 mm; exact: half the kerf, below which the inner side of the cut turns inside out
    wishes = replace(WISHES, kerf_mm=kerf_mm, line_mm=0.5 * kerf_mm)
    at = Point(line_radius, 0.0)
    lead = round_lead(Point(0.0, 0.0), line_radius, at, Point(0.0, 1.0), wishes)
    assert lead.kind == kind and lead.clear_mm == pytest.approx(line_radius + 0.5 * kerf_mm)
    assert lead.pierce == (0.0, 0.0) and lead.segments[-1].end == at


def test_the_lead_of_a_trial_piece_may_end_on_the_edge_but_not_cross_it() -> None:
    finder = LeadFinder(rectangle(0.0, 0.0, 50.0, 30.0), replace(WISHES, line_mm=0.0))
    assert finder.check((Line(Point(25.0, 40.0), Point(25.0, 30.0)),)) == pytest.approx(10.0)
    assert finder.check(arc_lead(Point(25.0, 30.0), EAST, 1, 4.0)) == pytest.approx(4.0)
    assert finder.check((Line(Point(25.0, -5.0), Point(25.0, 30.0)),)) is None


@pytest.mark.parametrize("side", [1, -1])
def test_the_lead_out_is_an_arc_of_a_radius_a_little_longer_than_itself(side: int) -> None:
    finder = LeadFinder(rectangle(0.0, 0.0, 100.0, 30.0), replace(WISHES, side=side))
    y = 30.75 if side > 0 else -0.75
    (out,) = finder.leave(Point(50.0, y), EAST)
    assert isinstance(out, Arc) and out.start_direction == pytest.approx(EAST)
    turn = 4.0 / 4.8  # exact: radius 1.2 lead-outs
    assert out.end == pytest.approx((50.0 + 4.8 * sin(turn), y + side * 4.8 * (1.0 - cos(turn))))


def test_no_lead_out_where_there_is_no_room_or_none_is_wanted() -> None:
    free = rectangle(0.0, 0.0, 100.0, 30.0)
    assert LeadFinder(free, replace(WISHES, lead_out_mm=0.19)).leave(Point(50.0, 30.75), EAST) == ()
    # exact: a lead-out is no shorter than two of the shortest cuts, 0.2 mm
    assert len(LeadFinder(free, replace(WISHES, lead_out_mm=0.21)).leave(Point(50.0, 30.75), EAST)) == 1
    (short,) = LeadFinder(free, replace(WISHES, lead_out_mm=0.5)).leave(Point(50.0, 30.75), EAST)
    assert isinstance(short, Arc) and short.radius == 1.0  # our own choice: the least radius
    slot = polygon([*FLOOR, (46.0, 0.0), (46.0, 2.0), (100.0, 2.0), (100.0, 20.0), (0.0, 20.0)])
    assert LeadFinder(slot, WISHES).leave(TOUCH, EAST) == ()
