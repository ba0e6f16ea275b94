"""The parts of the templates one by one: clipping, packing, wraps, flat patterns, slits, rulers."""

from __future__ import annotations

from itertools import pairwise
from math import cos, hypot, pi, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutplan.drawing.model import Stroke, Text, line, ring
from cutplan.drawing.placer.ground import Ground
from cutplan.errors import GeometryError
from cutplan.geometry.contour import circle_contour, rectangle
from cutplan.geometry.segment import Arc, arc_from_centre, circle
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.wishes import Flange, TubeWrap
from cutplan.templates.drawn.ruler import ruler
from cutplan.templates.drawn.slits import slits
from cutplan.templates.shapes.cross import centre_cross
from cutplan.templates.shapes.flange import flange_template
from cutplan.templates.shapes.template import Spot, Template
from cutplan.templates.shapes.wrap import BAND_MM, PAPER_MM, wrap_template
from cutplan.templates.tiling.bands import count_for, even_edges
from cutplan.templates.tiling.cells import Content
from cutplan.templates.tiling.clip import clip_segment, clipped
from cutplan.templates.tiling.pack import GAP_MM, pack
from cutplan.templates.tiling.search import best_tiling, plain_grid

WINDOW = Box(0.0, 0.0, 100.0, 60.0)
size = st.floats(10.0, 240.0)


@settings(max_examples=60, deadline=None)
@given(st.floats(-30, 130), st.floats(-30, 90), st.floats(1, 120), st.floats(-3.1, 3.1), st.floats(-6.2, 6.2))
def test_clipped_arcs_lie_on_the_arc_and_in_the_window(
    x: float, y: float, r: float, start: float, sweep: float
) -> None:
    arc = arc_from_centre(Point(x, y), r, start, sweep if abs(sweep) > 0.01 else 1.0)
    pieces = clip_segment(arc, WINDOW)
    for piece in pieces:
        assert isinstance(piece, Arc) and piece.radius == r and piece.centre == arc.centre
        for i in range(11):
            assert WINDOW.grown(1e-6).holds(piece.point_at(i / 10))
    # every point of the arc that lies inside is on some piece
    for i in range(101):
        p = arc.point_at(i / 100)
        if WINDOW.grown(-1e-6).holds(p):
            assert any(piece.nearest(p)[1] < 1e-6 for piece in pieces)


def test_a_line_through_the_window_keeps_the_part_inside() -> None:
    kept = clipped(line((-10, 30), (130, 30)), WINDOW)
    assert kept is not None and kept.segments[0].start == Point(0, 30) and kept.segments[0].end == Point(100, 30)
    assert clipped(line((-10, 70), (130, 70)), WINDOW) is None
    full = clipped(ring(Point(0, 0), 10), WINDOW)
    assert full is not None and sum(s.length for s in full.segments) == pytest.approx(5 * pi) and not full.closed


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.floats(10, 180), st.floats(10, 160)), min_size=1, max_size=9))
def test_packed_rectangles_keep_their_distance_and_stay_on_their_sheets(sizes: list[tuple[float, float]]) -> None:
    rooms = ((180.0, 246.0), (267.0, 160.0))
    puts, forms = pack(sizes, rooms)
    assert sorted(p.index for p in puts) == list(range(len(sizes)))
    boxes: dict[int, list[Box]] = {}
    for p in puts:
        w, h = sizes[p.index][::-1] if p.turned else sizes[p.index]
        room = rooms[forms[p.sheet]]
        assert p.x >= 0 and p.y >= 0 and p.x + w <= room[0] + 1e-9 and p.y + h <= room[1] + 1e-9
        boxes.setdefault(p.sheet, []).append(Box(p.x, p.y, p.x + w, p.y + h))
    for sheet in boxes.values():
        for i, a in enumerate(sheet):
            assert not any(a.grown(GAP_MM - 1e-6).meets(b) for b in sheet[i + 1 :])


def test_four_quarter_sheets_share_one() -> None:
    assert len(pack([(85.0, 115.0)] * 4, ((180.0, 246.0),))[1]) == 1


@settings(max_examples=25, deadline=None)
@given(st.floats(60, 900), st.floats(60, 700), st.floats(0, 1.5))
def test_a_tiling_never_takes_more_than_the_plain_grid_and_covers_every_point(w: float, h: float, turn: float) -> None:
    t = np.linspace(0.0, 2.0 * pi, 700)
    points = np.column_stack((0.5 * w * np.cos(t), 0.5 * h * np.sin(t)))
    content = Content(points, np.empty((0, 3)), np.empty((0, 4)), 3.0)
    forms = ((180.5, 246.5), (267.5, 159.5))
    tiling = best_tiling(content, forms, 12.0, (0.0, turn))
    assert tiling.sheets <= plain_grid(content.box, forms[0], 12.0)
    turned = content.turned(tiling.angle_rad).points
    on = np.zeros(len(turned), dtype=bool)
    for c in tiling.cells:
        room = forms[c.form]
        # a sheet must hold its cell and half an overlap beyond each seam
        for axis, size in ((0, room[0]), (1, room[1])):
            low, high = c.box[axis], c.box[axis + 2]
            seams = sum(
                any(
                    o is not c and abs(o.box[axis + 2 - 2 * k] - edge) < 1e-6 and _beside(c.box, o.box, 1 - axis)
                    for o in tiling.cells
                )
                for k, edge in enumerate((low, high))
            )
            assert high - low + 6.0 * seams <= size + 1e-6
        on |= (
            (turned[:, 0] >= c.box.xmin - 0.1)
            & (turned[:, 0] <= c.box.xmax + 0.1)
            & (turned[:, 1] >= c.box.ymin - 0.1)
            & (turned[:, 1] <= c.box.ymax + 0.1)
        )
    assert on.all()


def _beside(a: Box, b: Box, axis: int) -> bool:
    """Whether two boxes overlap along an axis."""
    return min(a[axis + 2], b[axis + 2]) - max(a[axis], b[axis]) > 1e-6


def test_a_plate_that_only_fits_across_the_corner_is_turned() -> None:
    x = np.linspace(-145.0, 145.0, 400)
    bar = np.concatenate([np.column_stack((x, np.full_like(x, v))) for v in (-8.0, 8.0)])
    content = Content(bar, np.empty((0, 3)), np.empty((0, 4)), 1.0)
    tiling = best_tiling(content, ((180.5, 246.5), (267.5, 159.5)), 12.0, (0.0, 0.5, radians(35.0)))
    assert tiling.sheets == 1 and tiling.angle_rad != 0.0  # exact: the diagonal of the room is 305 mm


# --- wraps and flat patterns


def test_a_wrap_goes_once_round_the_tube_and_its_curve_lies_on_both_tubes() -> None:
    wrap = TubeWrap("brace", 40.0, 60.0, 2.5, 60.0, 5.0)
    made = wrap_template(wrap)
    round_mm = pi * (40.0 + PAPER_MM)  # exact: circumference in the middle of the paper
    assert made.box.width == pytest.approx(round_mm)
    assert min(p.y for p in made.edge.vertices if p.y > 0) >= BAND_MM - 1e-9
    cut = next(s for s in made.lines if s.tag == "cut")
    top = [s.start for s in cut.segments if s.start.y > 1.0]
    level = None
    phi = radians(60.0)
    for p in top[:: len(top) // 40]:
        theta = 2 * pi * p.x / round_mm
        # exact: the point on the branch's outside, in a frame whose z is the branch axis tilted by phi to the main axis
        side, out = 20.0 * sin(theta) + 5.0, 20.0 * cos(theta)
        # distance along the branch from the main axis follows from |point to main axis| = 30
        along = (sqrt(30.0**2 - side**2) + out * cos(phi)) / sin(phi)
        across = along * sin(phi) - out * cos(phi)
        assert hypot(side, across) == pytest.approx(30.0)
        level = level if level is not None else p.y + along
        assert p.y + along == pytest.approx(level, abs=1e-6)


def test_a_wrap_that_misses_the_main_tube_or_has_no_wall_is_refused() -> None:
    for bad in (
        TubeWrap("x", 40, 60, 2.5, 90, 12),
        TubeWrap("x", 40, 60, 25),
        TubeWrap("x", 40, 60, 2, 0),
        TubeWrap("x", 0, 60, 2),
        TubeWrap("x", 40, 60, 2, float("nan")),
    ):
        with pytest.raises(GeometryError):
            wrap_template(bad)


def test_a_mitre_rises_by_the_diameter_times_the_tangent() -> None:
    made = wrap_template(TubeWrap("m", 50.0, 0.0, 2.0, 90.0))
    heights = [p.y for p in made.edge.vertices if p.y > 0.0]
    assert max(heights) - min(heights) == pytest.approx(50.0)  # exact: 2 r tan 45


def test_bend_lines_lie_in_the_middle_of_the_bend() -> None:
    made = flange_template(Flange("lip", (50.0, 40.0), (90.0,), 60.0, 3.0, 3.0))
    assert made.box.width == pytest.approx(84.244, abs=0.0006)  # DIN 6935 from memory, worked by hand
    bend = next(s for s in made.lines if s.tag == "bend").segments[0]
    # exact for one bend: outside length less half of what the bend saves
    assert bend.start.x == pytest.approx(50.0 - 5.7561 / 2, abs=0.0001)
    with pytest.raises(GeometryError):
        flange_template(Flange("lip", (50.0, 40.0), (90.0, 90.0), 60.0, 3.0, 3.0))
    with pytest.raises(GeometryError):
        flange_template(Flange("lip", (50.0, 40.0), (90.0,), 60.0, 3.0, 0.0))


# --- help for scissors and eyes


def _plate_with(*holes: tuple[float, float, float]) -> Template:
    edge = rectangle(0, 0, 200, 100)
    spots = tuple(
        Spot(f"H{k}", "", Point(x, y), r, r, circle_contour(Point(x, y), r)) for k, (x, y, r) in enumerate(holes)
    )
    return Template("t", "plate", edge, (), spots)


def test_slits_are_straight_short_and_keep_off_other_holes() -> None:
    plate = _plate_with((30, 50, 15), (60, 50, 6), (100, 50, 4), (170, 30, 20))
    edge = np.array([(0, 0), (200, 0), (200, 100), (0, 100)], dtype=float)
    made = slits(plate, edge)
    # holes of 16 mm and less are punched: no slit
    assert len(made) == 2
    (a, b), (c, d) = made
    assert a.x == pytest.approx(0.0, abs=1e-9) and b.x == pytest.approx(15.0)  # exact: straight to the left edge
    assert d.distance(Point(170, 30)) == pytest.approx(20.0)
    assert c.distance(d) == pytest.approx(10.0, abs=1e-6)  # exact: 30 - 20, downward or to the right


def test_a_hole_walled_in_by_others_gets_no_slit() -> None:
    ring_of = [(100 + 30 * cos(k * pi / 6), 50 + 30 * sin(k * pi / 6), 7.0) for k in range(12)]
    plate = _plate_with((100, 50, 10), *ring_of)
    edge = np.array([(0, 0), (200, 0), (200, 100), (0, 100)], dtype=float)
    assert slits(plate, edge) == ()


def test_crosses_survive_punching_and_do_not_reach_the_next_hole() -> None:
    cross = centre_cross(Spot("H", "", Point(0, 0), 5.5, 9.5), 1e9)
    lengths = sorted(hypot(*s.end) for s in cross.segments)
    assert lengths[0] == pytest.approx(9.5)
    assert all(hypot(*s.start) > 0.5 for s in cross.segments)  # the punch sees the paper between the arms
    near = centre_cross(Spot("H", "", Point(0, 0), 2.5, 6.5), 9.5)
    assert max(hypot(*s.end) for s in near.segments) < 6.0


def test_the_room_knows_what_is_taken() -> None:
    room = Ground(Box(0, 0, 100, 50))
    room.block_points(np.array([(50.0, y) for y in np.linspace(0, 50, 101)]), 1.0)
    assert room.free(Box(10, 10, 40, 40)) and not room.free(Box(40, 10, 60, 40))
    assert not room.free(Box(90, 10, 101, 20)), "outside is never free"
    found = room.nearest(30.0, 20.0, Point(48, 25))
    assert found is not None and found.xmax <= 49.5 and found.centre.y == pytest.approx(25.0, abs=1.0)
    assert room.nearest(60.0, 20.0, Point(50, 25)) is None
    room.block_outside(rectangle(0, 0, 30, 50))
    assert room.nearest(30.0, 20.0, Point(80, 25)) is None and room.nearest(20.0, 20.0, Point(80, 25)) is not None


def test_rulers_are_true_and_end_on_whole_millimetres() -> None:
    items, length = ruler(Point(10, 5), 187.0, upward=False)
    assert length == 185.0
    ticks = next(i for i in items if isinstance(i, Stroke) and i.tag == "ruler")
    mm = [s.start.x - 10 for s in ticks.segments if s.end.y > 5]
    inch = [s.start.x - 10 for s in ticks.segments if s.end.y < 5]
    assert mm == pytest.approx(list(range(186)))
    assert inch == pytest.approx([k * 25.4 / 16 for k in range(len(inch))]) and inch[-1] <= 185.0
    words = [i.text for i in items if isinstance(i, Text)]
    assert "170" in words and "7" in words
    up, tall = ruler(Point(10, 5), 187.0, upward=True)
    assert tall == 185.0 and all(i.angle_deg == 90.0 for i in up if isinstance(i, Text))


def test_a_circle_of_arcs_is_clipped_like_a_whole_one() -> None:
    whole = clip_segment(circle(Point(0, 30), 20), WINDOW)
    assert sum(s.length for s in whole) == pytest.approx(20 * pi)


@pytest.mark.parametrize("count", [1, 2, 3, 7])
def test_even_cells_fit_their_sheets_when_there_is_no_slack(count: int) -> None:
    room, overlap = 180.5, 12.0
    size = count * room - (count - 1) * overlap  # exact: the most that so many sheets cover
    edges = even_edges(5.0, 5.0 + size, count, overlap) if count > 1 else [5.0, 5.0 + size]
    assert count_for(size, room, overlap) == count and edges[-1] == pytest.approx(5.0 + size)
    for k, (a, b) in enumerate(pairwise(edges)):
        seams = (k > 0) + (k < count - 1)
        assert b - a + 0.5 * overlap * seams <= room + 1e-9
