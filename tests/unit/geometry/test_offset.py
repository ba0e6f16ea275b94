"""The offset on shapes whose answer is known. Expected values are exact."""

from __future__ import annotations

from math import pi, sqrt, tan

import pytest
from offset_judge import offset_error

from cutplan.errors import GeometryError
from cutplan.geometry.contour import Contour, circle_contour, polygon, polyline, rectangle
from cutplan.geometry.offset.regions import offset_contour, offset_region, offset_regions
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc, Line
from cutplan.geometry.vector import Point


def test_kerf_on_a_square_and_a_hole() -> None:
    # exact: kerf 1.5 on a 100 mm square with a 20 mm hole
    plate = Region(rectangle(0, 0, 100, 100), (circle_contour(Point(50, 50), 10.0),))
    (path,) = offset_region(plate, 0.75, join="sharp").regions
    assert path.outer.box == pytest.approx((-0.75, -0.75, 100.75, 100.75), abs=1e-12)
    assert path.outer.area == pytest.approx(101.5**2, rel=1e-12)
    assert len(path.outer.segments) == 4
    assert path.holes[0].as_circle() == (Point(50.0, 50.0), 9.25)
    (left,) = offset_region(plate, -0.75).regions
    assert left.outer.area == pytest.approx(98.5**2, rel=1e-12)
    assert left.holes[0].as_circle() == (Point(50.0, 50.0), 10.75)


@pytest.mark.parametrize("far", [0.0, 1e6])
def test_round_corners(far: float) -> None:
    (grown,) = offset_contour(rectangle(far, far, 100, 100), 0.75)
    assert grown.area == pytest.approx(1e4 + 400 * 0.75 + pi * 0.75**2, rel=1e-9)
    arcs = [s for s in grown.segments if isinstance(s, Arc)]
    assert [a.radius for a in arcs] == [0.75] * 4
    assert [a.centre for a in arcs] == [
        Point(far + 100, far),
        Point(far + 100, far + 100),
        Point(far, far + 100),
        Point(far, far),
    ]


def test_sharp_limit() -> None:
    # a corner of 60 degrees: its tip lies 2 d from the corner
    corner = polygon([(0, 0), (100, 0), (50, 50 * sqrt(3.0))])
    (sharp,) = offset_contour(corner, 2.0, join="sharp", sharp_limit=2.001)
    assert len(sharp.segments) == 3
    # exact: side s + 2 sqrt(3) d
    assert sharp.length == pytest.approx(3.0 * (100.0 + 4.0 * sqrt(3.0)), rel=1e-12)
    (rounded,) = offset_contour(corner, 2.0, join="sharp", sharp_limit=1.999)
    assert len(rounded.segments) == 6


def test_sharp_corner_between_arcs_is_prolonged_straight() -> None:
    lens = polyline([(0, 0, tan(0.15)), (40, 0, tan(0.15))])
    (grown,) = offset_contour(lens, 1.0, join="sharp", sharp_limit=9.0)
    assert [type(s) for s in grown.segments] == [Arc, Line, Line] * 2
    for s, t in zip(grown.segments, grown.segments[1:], strict=False):
        if isinstance(s, Line) != isinstance(t, Line):
            assert s.end_direction.dot(t.start_direction) == pytest.approx(1.0)


def test_tangent_arcs_keep_their_bulge() -> None:
    shape = rectangle(0, 0, 100, 60, 8.0)
    for d in (0.75, -0.75, -7.9):
        (moved,) = offset_contour(shape, d)
        assert [getattr(s, "sweep", 0) for s in moved.segments] == [getattr(s, "sweep", 0) for s in shape.segments]
        assert [s.radius for s in moved.segments if isinstance(s, Arc)] == pytest.approx([8.0 + d] * 4)


@pytest.mark.parametrize("d", [-8.0, -8.5, -20.0])
def test_arcs_that_vanish_leave_sharp_corners(d: float) -> None:
    (moved,) = offset_contour(rectangle(0, 0, 100, 60, 8.0), d)
    assert len(moved.segments) == 4
    assert moved.area == pytest.approx((100 + 2 * d) * (60 + 2 * d), rel=1e-9)


def test_concave_corner() -> None:
    ell = polygon([(0, 0), (30, 0), (30, 10), (10, 10), (10, 30), (0, 30)])
    (grown,) = offset_contour(ell, 1.0)
    # exact: five round corners, one inner corner kept sharp
    assert grown.area == pytest.approx(500.0 + 120.0 + 1.25 * pi - 1.0, rel=1e-12)
    assert len(grown.segments) == 11
    (shrunk,) = offset_contour(ell, -1.0)
    assert shrunk.area == pytest.approx(500.0 - 120.0 + 5.0 - 0.25 * pi, rel=1e-12)


def _comb(slot_mm: float) -> Contour:
    """A plate with a parallel slot of a given width cut 20 mm deep from its upper side."""
    a, b = 50.0 - 0.5 * slot_mm, 50.0 + 0.5 * slot_mm
    return polygon([(0, 0), (100, 0), (100, 60), (b, 60), (b, 40), (a, 40), (a, 60), (0, 60)])


def test_narrow_slot_is_told_as_lost() -> None:
    result = offset_region(Region(_comb(1.2)), 0.75)
    (path,) = result.regions
    assert "offset-lost" in [f.code for f in result.findings]
    # the bottom of the slot has no counterpart
    assert (0, 4) in [(s.contour, s.segment) for s in result.lost]
    assert offset_error(Region(_comb(1.2)), (path,), 0.75) < 1e-6
    assert offset_region(Region(_comb(1.6)), 0.75).findings == ()


def test_slot_as_wide_as_twice_the_distance() -> None:
    result = offset_region(Region(_comb(2.0)), 1.0)
    assert len(result.regions) == 1
    # exact: the slot closes over its whole depth but for the dent where its round mouth meets
    (narrower,) = offset_region(Region(_comb(1.999999)), 1.0).regions
    assert result.regions[0].area == pytest.approx(narrower.area, rel=1e-6)


def _waisted(x: float) -> Contour:
    """A bar 100 x 20 mm with a waist 2 mm wide from x to 60 mm."""
    lower = [(0, 0), (x, 0), (x, 9), (60, 9), (60, 0), (100, 0)]
    return polygon([*lower, *((px, 20 - py) for px, py in reversed(lower))])


def test_split_merge_and_vanish() -> None:
    bar = _waisted(40.0)
    split = offset_region(Region(bar), -1.5)
    assert len(split.regions) == 2
    assert split.findings[0].code == "offset-split"
    pair = Region(rectangle(0, 0, 100, 40), (circle_contour(Point(30, 20), 10), circle_contour(Point(52, 20), 10)))
    merged = offset_region(pair, -1.5)
    assert [len(r.holes) for r in merged.regions] == [1]
    assert "offset-merged" in [f.code for f in merged.findings]
    gone = offset_region(pair, 10.5)
    assert gone.regions[0].holes == ()
    assert len(gone.vanished) == 2
    assert [f.code for f in gone.findings] == ["offset-vanished"] * 2
    assert "diameter 20.000" in gone.findings[0].where
    nothing = offset_region(pair, -25.0)
    assert nothing.regions == ()
    assert len(nothing.vanished) == 3


def test_a_frame_thinner_than_twice_the_distance_is_gone() -> None:
    # the two offset outlines pass through each other without crossing
    frame = Region(rectangle(0, 0, 100, 100), (rectangle(5, 5, 90, 90),))
    assert offset_region(frame, -10.0).regions == ()


def test_a_closing_mouth_leaves_a_hole() -> None:
    lower = [(0, 0), (60, 0), (60, 28), (40, 28), (40, 12), (12, 12)]
    jaw = polygon([*lower, *((x, 60 - y) for x, y in reversed(lower))])
    result = offset_region(Region(jaw), 3.0)
    assert [len(r.holes) for r in result.regions] == [1]
    assert offset_error(Region(jaw), result.regions, 3.0) < 1e-6


def test_sharp_lips_that_overlap() -> None:
    lower = [(0, 0), (60, 0), (60, 28), (40, 28), (40, 12), (12, 12)]
    jaw = polygon([*lower, *((x, 60 - y) for x, y in reversed(lower))])
    (grown,) = offset_region(Region(jaw), 3.0, join="sharp").regions
    # exact: the mouth closes; a 66 mm square with a cavity of 22 x 30 mm is left
    assert grown.area == pytest.approx(66.0**2 - 22.0 * 30.0, rel=1e-12)
    assert grown.outer.box == pytest.approx((-3.0, -3.0, 63.0, 63.0))


@pytest.mark.parametrize("d", [0.75, 3.0, -0.05])
def test_a_cusp_is_rounded(d: float) -> None:
    # the spandrel between a circle and two of its tangents: both ends of the arc run into the lines
    spandrel = Region(polyline([(0, 0, 0), (10, 0, -tan(pi / 8.0)), (0, 10, 0)]))
    assert spandrel.area == pytest.approx(100.0 - 25.0 * pi, rel=1e-12)
    result = offset_region(spandrel, d)
    assert result.regions
    assert offset_error(spandrel, result.regions, d, step_mm=0.05) < 1e-6


def test_regions_that_grow_together() -> None:
    pair = [Region(rectangle(0, 0, 10, 10)), Region(rectangle(11, 0, 10, 10))]
    assert len(offset_regions(pair, 0.4).regions) == 2
    joined = offset_regions(pair, 0.6)
    assert len(joined.regions) == 1
    assert "offset-merged" in [f.code for f in joined.findings]


def test_regions_come_largest_first() -> None:
    bar = _waisted(20.0)
    areas = [r.area for r in offset_region(Region(bar), -1.5).regions]
    assert areas == sorted(areas, reverse=True)
    assert len(areas) == 2


def test_clockwise_contours_stay_clockwise() -> None:
    ring = circle_contour(Point(0, 0), 5.0, ccw=False)
    (grown,) = offset_contour(ring, 1.0)
    assert not grown.ccw
    assert grown.as_circle() == (Point(0.0, 0.0), 6.0)


def test_no_distance_changes_nothing() -> None:
    plate = Region(rectangle(0, 0, 100, 60, 8.0), (circle_contour(Point(50, 30), 5),))
    assert offset_region(plate, 0.0).regions == (plate,)


def test_tiny_segments_and_almost_tangent_neighbours() -> None:
    # sides split at odd places, corners bent by a hair
    lower = [(0, 0), (50, 1e-5), (50.0004, 1e-5), (100, 0)]
    upper = [(100, 59.9996), (99.9997, 60), (50, 60.00003), (0, 60), (0, 0.0003)]
    rough = polygon([*lower, *upper])
    for d in (0.75, -0.75, 5.0, -5.0):
        result = offset_region(Region(rough), d)
        assert offset_error(Region(rough), result.regions, d) < 1e-3
        assert all(s.length >= 1e-3 for r in result.regions for s in r.outer.segments)


def test_a_contour_without_length_is_refused() -> None:
    with pytest.raises(GeometryError, match="without length"):
        offset_region(Region(Contour((Line(Point(0, 0), Point(0, 0)),))), 1.0)


@pytest.mark.parametrize("d", [-0.5, -0.75, -1.0])
@pytest.mark.parametrize("turn", [0.0, 0.3, 1.1, 2.2])
def test_a_hole_whose_offset_just_touches_the_outline(d: float, turn: float) -> None:
    # web of exactly twice the distance: the two paths touch at one point, and neither is lost
    plate = Region(rectangle(0, 0, 40, 30), (circle_contour(Point(20, 30 + 2 * d - 1.5), 1.5),)).turned(turn)
    (left,) = offset_region(plate, d).regions
    assert len(left.holes) == 1
    assert left.area == pytest.approx((40 + 2 * d) * (30 + 2 * d) - pi * (1.5 - d) ** 2, rel=1e-9)


def test_an_island_in_a_hole_keeps_its_own_hole() -> None:
    ring = Region(rectangle(0, 0, 100, 100), (rectangle(20, 20, 60, 60),))
    island = Region(rectangle(30, 30, 40, 40), (circle_contour(Point(50, 50), 10),))
    outer, inner = offset_regions([ring, island], -1.0).regions
    assert [len(outer.holes), len(inner.holes)] == [1, 1]
    assert inner.holes[0].as_circle() == (Point(50.0, 50.0), 11.0)
    assert outer.area == pytest.approx(98.0**2 - (62.0**2 + 0.0) + (4.0 - pi), rel=1e-9)


@pytest.mark.parametrize("d", [-0.5, -1.0])
def test_two_holes_whose_offsets_just_touch(d: float) -> None:
    pair = (circle_contour(Point(10, 15), 2.0), circle_contour(Point(14 - 2 * d, 15), 2.0))
    (left,) = offset_region(Region(rectangle(0, 0, 40, 30), pair), d).regions
    assert left.area == pytest.approx((40 + 2 * d) * (30 + 2 * d) - 2.0 * pi * (2.0 - d) ** 2, rel=1e-9)
