from math import atan, pi, sqrt

import pytest

from cutplan.cutting.path.corners import inside_corners
from cutplan.cutting.path.torch_line import torch_line
from cutplan.cutting.words import OUTLINE, hole_word
from cutplan.errors import GeometryError
from cutplan.geometry.contour import circle_contour, polygon, rectangle
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point


def test_square_and_hole_of_the_textbook() -> None:
    # exact: kerf 1.5 on a 100 mm square gives a path of 101.5, on a 20 mm hole one of 18.5
    square = torch_line(OUTLINE, rectangle(0.0, 0.0, 100.0, 100.0), 1.5, inner=False).line
    assert square is not None
    assert square.box.width == pytest.approx(101.5) and square.box.height == pytest.approx(101.5)
    hole = torch_line(hole_word("N"), circle_contour(Point(5.0, 5.0), 10.0, ccw=False), 1.5, inner=True).line
    assert hole is not None
    found = hole.as_circle()
    assert found is not None and 2.0 * found[1] == pytest.approx(18.5)


def test_area_of_a_convex_path() -> None:
    edge = polygon([(0.0, 0.0), (80.0, 0.0), (80.0, 50.0), (0.0, 50.0)])
    line = torch_line(OUTLINE, edge, 2.0, inner=False).line
    assert line is not None and line.ccw
    assert line.area == pytest.approx(4000.0 + 260.0 + pi)  # exact: A + P d + pi d^2, d = 1


def test_sharp_line_for_hand_tools_keeps_corners() -> None:
    line = torch_line(OUTLINE, rectangle(0.0, 0.0, 80.0, 50.0), 2.0, inner=False, join="sharp").line
    assert line is not None
    assert line.area == pytest.approx(82.0 * 52.0) and len(line.segments) == 4  # exact


def test_without_kerf_the_line_is_the_edge() -> None:
    edge = rectangle(0.0, 0.0, 80.0, 50.0, 5.0)
    line = torch_line(OUTLINE, edge, 0.0, inner=False).line
    assert line is not None and line.area == pytest.approx(edge.area)


@pytest.mark.parametrize("edge", [rectangle(0.0, 0.0, 30.0, 1.4), circle_contour(Point(0.0, 0.0), 0.7)])
def test_a_slot_narrower_than_the_kerf_is_an_error_that_names_it(edge) -> None:
    found = torch_line(hole_word("S9"), edge, 1.5, inner=True)
    assert found.line is None
    (finding,) = found.findings
    assert finding.code == "slot-narrower-than-kerf" and finding.severity == "error"
    assert "hole S9" in str(finding.message)


def test_a_hole_with_a_thin_neck_is_an_error() -> None:
    neck = polygon(
        [
            (0.0, 0.0),
            (20.0, 0.0),
            (20.0, 9.5),
            (40.0, 9.5),
            (40.0, 0.0),
            (60.0, 0.0),
            (60.0, 20.0),
            (40.0, 20.0),
            (40.0, 10.5),
            (20.0, 10.5),
            (20.0, 20.0),
            (0.0, 20.0),
        ]
    )
    found = torch_line(hole_word("N"), neck, 1.5, inner=True)
    assert "neck-narrower-than-kerf" in [f.code for f in found.findings]
    assert found.line is not None  # the larger lobe is still cut, but the error stands


def notch(width_mm: float, mouth_mm: float | None = None):
    mouth = width_mm if mouth_mm is None else mouth_mm
    a, b = 50.0 - 0.5 * width_mm, 50.0 + 0.5 * width_mm
    p, q = 50.0 - 0.5 * mouth, 50.0 + 0.5 * mouth
    return polygon(
        [
            (0.0, 0.0),
            (100.0, 0.0),
            (100.0, 60.0),
            (q, 60.0),
            (q, 50.0),
            (b, 50.0),
            (b, 30.0),
            (a, 30.0),
            (a, 50.0),
            (p, 50.0),
            (p, 60.0),
            (0.0, 60.0),
        ]
        if mouth != width_mm
        else [(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (b, 60.0), (b, 30.0), (a, 30.0), (a, 60.0), (0.0, 60.0)]
    )


def test_a_notch_narrower_than_the_kerf_is_an_error_naming_the_outline() -> None:
    found = torch_line(OUTLINE, notch(1.2), 1.5, inner=False)
    errors = [f for f in found.findings if f.severity == "error"]
    assert [f.code for f in errors] == ["slot-narrower-than-kerf"]
    assert "outline" in str(errors[0].message) and "50." in str(errors[0].where)


def test_a_notch_with_a_narrow_mouth_is_an_error() -> None:
    found = torch_line(OUTLINE, notch(20.0, 1.2), 1.5, inner=False)
    assert "slot-narrower-than-kerf" in [f.code for f in found.findings if f.severity == "error"]


def test_a_notch_wider_than_the_kerf_is_fine() -> None:
    assert torch_line(OUTLINE, notch(3.0), 1.5, inner=False).findings == ()


def test_a_small_fillet_is_no_slot() -> None:
    edge = rectangle(0.0, 0.0, 60.0, 40.0, 0.5)
    assert torch_line(hole_word("N"), edge, 1.5, inner=True).findings == ()


def test_inside_corners_are_found_with_their_radius() -> None:
    region = Region(notch(20.0), (rectangle(10.0, 10.0, 15.0, 10.0, 2.0),))
    outer, hole = inside_corners(region)
    assert sorted((round(c.x_mm), round(c.y_mm), c.radius_mm) for c in outer) == [(40, 30, 0.0), (60, 30, 0.0)]
    assert [c.radius_mm for c in hole] == pytest.approx([2.0] * 4)
    # exact: metal left in a square corner stands out (sqrt 2 - 1) k/2
    assert outer[0].left_over_mm(1.5) == pytest.approx(0.75 * (sqrt(2.0) - 1.0))


def test_outside_corners_of_a_plate_are_not_inside_corners() -> None:
    (outer,) = inside_corners(Region(rectangle(0.0, 0.0, 50.0, 50.0)))
    assert outer == ()


def test_a_wedge_deeper_than_the_kerf_reaches_is_told() -> None:
    edge = polygon([(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (54.0, 60.0), (50.0, 30.0), (46.0, 60.0), (0.0, 60.0)])
    (finding,) = torch_line(OUTLINE, edge, 1.5, inner=False).findings
    assert finding.code == "wedge-not-reached" and "50.0, 30.0" in str(finding.where)
    # exact: k/2 (1 / sin(half angle) - 1), half angle atan(4 / 30)
    assert f"{0.75 * (sqrt(4.0**2 + 30.0**2) / 4.0 - 1.0):.2f} mm of metal" in str(finding.message)


def test_an_offset_that_does_not_close_is_an_error_finding(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise GeometryError("the offset by 0.75 mm does not close")

    monkeypatch.setattr("cutplan.geometry.offset.proved.offset_region", fails)
    found = torch_line(OUTLINE, rectangle(0.0, 0.0, 50.0, 30.0), 1.5, inner=False)
    assert found.line is None and found.findings[0].code == "path-not-found"
    assert found.findings[0].severity == "error" and "does not close" in str(found.findings[0].message)


@pytest.mark.parametrize(("diameter", "cut"), [(1.5, False), (1.6, True)])
def test_a_round_hole_must_be_wider_than_the_kerf(diameter: float, cut: bool) -> None:
    found = torch_line(hole_word("N"), circle_contour(Point(3.0, 4.0), 0.5 * diameter, ccw=False), 1.5, inner=True)
    if not cut:
        assert found.line is None and found.findings[0].code == "slot-narrower-than-kerf"
        return
    assert found.findings == () and found.line is not None
    round_ = found.line.as_circle()
    assert round_ is not None and round_[1] == pytest.approx(0.05)  # exact
    assert found.line.ccw


def test_a_step_too_short_for_a_table_is_bridged_and_told() -> None:
    edge = polygon([(0.0, 0.0), (50.0, 0.0), (50.0, 30.0), (25.0, 30.0), (25.0, 29.95), (0.0, 29.95)])
    found = torch_line(OUTLINE, edge, 0.0, inner=False)
    (note,) = found.findings
    assert note.code == "short-segment-removed" and note.severity == "note"
    assert found.line is not None and min(s.length for s in found.line.segments) >= 0.1


@pytest.mark.parametrize(("depth_mm", "corner"), [(0.1, False), (1.0, True)])
def test_an_almost_straight_joint_is_no_inside_corner(depth_mm: float, corner: bool) -> None:
    # exact: the joint turns by 2 atan(depth / 20): 0.6 and 5.7 degrees; two degrees count
    edge = polygon([(0.0, 0.0), (20.0, depth_mm), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)])
    (found,) = inside_corners(Region(edge))
    assert [(c.x_mm, c.y_mm) for c in found] == ([(20.0, depth_mm)] if corner else [])
    for c in found:
        assert c.angle_rad == pytest.approx(pi - 2.0 * atan(depth_mm / 20.0))


def test_the_angle_of_a_fillet_is_that_of_its_corner() -> None:
    region = Region(rectangle(0.0, 0.0, 60.0, 60.0), (rectangle(10.0, 10.0, 15.0, 10.0, 2.0),))
    corners = inside_corners(region)[1]
    assert [c.angle_rad for c in corners] == pytest.approx([0.5 * pi] * 4)  # exact
    middle = 12.0 - 2.0 / sqrt(2.0)  # exact: the middle of the fillet, 2 mm from its centre at 45 degrees
    assert any(abs(c.x_mm - middle) < 1e-9 and abs(c.y_mm - middle) < 1e-9 for c in corners)
    assert corners[0].left_over_mm(5.0) == pytest.approx(0.5 * (sqrt(2.0) - 1.0))  # exact: (5 / 2 - 2)(sqrt 2 - 1)


def test_of_a_hole_that_falls_apart_the_larger_part_is_cut() -> None:
    neck = polygon(
        [
            (0.0, 0.0),
            (20.0, 0.0),
            (20.0, 9.5),
            (40.0, 9.5),
            (40.0, 0.0),
            (70.0, 0.0),
            (70.0, 20.0),
            (40.0, 20.0),
            (40.0, 10.5),
            (20.0, 10.5),
            (20.0, 20.0),
            (0.0, 20.0),
        ]
    )
    for edge in (neck, neck.mirrored()):
        line = torch_line(hole_word("N"), edge, 1.5, inner=True).line
        assert line is not None
        # exact: the lobe of 30 x 20 mm moved in by 0.75 on all sides, but for the start of the neck
        assert line.box.width == pytest.approx(28.5, abs=0.5) and line.box.height == pytest.approx(18.5)
