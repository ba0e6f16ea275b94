import itertools

import pytest
from cut_jobs import slot_hole

from cutplan.cutting.path.along import started_along, stretch
from cutplan.cutting.path.starts import Keepout, Setting, contour_starts, deepest_point, round_starts
from cutplan.cutting.path.torch_line import torch_line
from cutplan.cutting.words import OUTLINE
from cutplan.geometry.contour import Contour, polygon, rectangle
from cutplan.geometry.vector import Point
from cutplan.tables.cutting.holes import lead_rule

SETTING = Setting(lead_rule("air plasma"), 5.0, 1.5, 0.75, 1)
EDGE = rectangle(0.0, 0.0, 300.0, 200.0)


def line_of(edge: Contour, *, inner: bool) -> Contour:
    line = torch_line(OUTLINE, edge, 1.5, inner=inner).line
    assert line is not None
    return line


def test_outline_runs_clockwise_and_holes_counter_clockwise() -> None:
    # published: looking along travel the right side is squarer, so the part lies on the right
    outer = contour_starts("outline", EDGE, line_of(EDGE, inner=False), SETTING, inner=False)[0]
    assert not outer.contour.ccw
    hole = slot_hole("S", 50.0, 50.0, 60.0, 25.0)
    inner = contour_starts("S", hole.contour, line_of(hole.contour, inner=True), SETTING, inner=True)[0]
    assert inner.contour.ccw
    turned = Setting(SETTING.rule, 5.0, 1.5, 0.75, -1)
    assert contour_starts("outline", EDGE, line_of(EDGE, inner=False), turned, inner=False)[0].contour.ccw


def test_starts_lie_on_straight_edges_away_from_corners_and_pierce_in_the_waste() -> None:
    paths = contour_starts("outline", EDGE, line_of(EDGE, inner=False), SETTING, inner=False)
    assert 2 <= len(paths) <= 8
    for path in paths:
        x, y = path.touch_down
        corner = min(Point(x, y).distance(Point(cx, cy)) for cx in (0.0, 300.0) for cy in (0.0, 200.0))
        assert corner > 14.0
        assert not EDGE.contains(path.pierce)
        assert EDGE.nearest(path.pierce)[1] >= 5.0 - 1e-6  # from memory: a thickness clear
        assert path.clear_mm == pytest.approx(EDGE.nearest(path.pierce)[1], abs=1e-6)


def test_starts_keep_away_from_pads() -> None:
    near = Keepout(Point(150.0, 200.0), 120.0)
    for path in contour_starts("outline", EDGE, line_of(EDGE, inner=False), SETTING, inner=False, keepouts=(near,)):
        assert path.touch_down.distance(near.centre) >= near.distance_mm


def test_a_cut_goes_once_round_and_a_little_further() -> None:
    line = line_of(EDGE, inner=False)
    path = contour_starts("outline", EDGE, line, SETTING, inner=False)[0]
    assert path.closed
    assert sum(s.length for s in path.cut) == pytest.approx(line.length)
    assert path.lead_out[0].length == pytest.approx(3.0)  # from memory: overburn up to 4 mm
    chain = path.segments
    for a, b in itertools.pairwise(chain):
        assert a.end.distance(b.start) < 1e-6


def test_small_holes_get_no_overburn_and_go_slowly() -> None:
    small = round_starts("H", Point(0.0, 0.0), 6.25, SETTING, least_clear=True)[0]
    assert small.lead_out == () and small.speed_share == 0.6  # from memory: 60 %
    large = round_starts("H", Point(0.0, 0.0), 30.0, SETTING, least_clear=True)[0]
    assert large.lead_out and large.speed_share == 1.0
    assert large.end.length() < 30.0  # the lead-out ends in the waste


def test_a_hole_too_small_for_its_pierce_has_no_start_unless_forced() -> None:
    assert round_starts("H", Point(0.0, 0.0), 3.0, SETTING, least_clear=True) == []
    assert len(round_starts("H", Point(0.0, 0.0), 3.0, SETTING, least_clear=False)) == 8


def test_a_narrow_slot_has_no_lead_unless_forced() -> None:
    edge = rectangle(0.0, 0.0, 60.0, 7.0)
    line = line_of(edge, inner=True)
    assert contour_starts("S", edge, line, SETTING, inner=True) == []
    forced = contour_starts("S", edge, line, SETTING, inner=True, reduced_clear=True)
    assert forced and 3.0 < forced[0].clear_mm <= 3.5


def test_a_shape_without_room_at_its_sides_is_entered_from_its_middle() -> None:
    # a triangle whose incircle just holds the pierce: no arc fits at its sides
    edge = polygon([(0.0, 0.0), (21.0, 0.0), (10.5, 18.2)])
    pole, clear = deepest_point(edge)
    assert clear == pytest.approx(6.06, abs=0.02)  # exact: side / (2 sqrt 3)
    assert pole == pytest.approx((10.5, 6.06), abs=0.05)
    paths = contour_starts("T", edge, line_of(edge, inner=True), SETTING, inner=True)
    assert paths and all(p.clear_mm >= 5.0 - 1e-6 for p in paths)


def test_walks_along_a_contour() -> None:
    square = rectangle(0.0, 0.0, 10.0, 10.0)
    turned = started_along(square, 15.0)
    assert turned[0].start == pytest.approx((10.0, 5.0)) and turned[-1].end == pytest.approx((10.0, 5.0))
    assert sum(s.length for s in turned) == pytest.approx(40.0)
    piece = stretch(square, 35.0, 10.0)
    assert piece[0].start == pytest.approx((0.0, 5.0)) and piece[-1].end == pytest.approx((5.0, 0.0))
