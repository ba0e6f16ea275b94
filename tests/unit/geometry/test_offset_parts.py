"""The steps of an offset one by one: moved segments, corners, nodes, choice of way, tidying. Values are exact."""

from __future__ import annotations

from math import atan, cos, pi, sin, sqrt
from random import Random

import pytest

from cutplan.errors import GeometryError
from cutplan.geometry.contour import Contour, polygon, polyline, rectangle
from cutplan.geometry.offset import regions as offset
from cutplan.geometry.offset.arrange import NODE_MM, Unstitched, _Edge, _leftmost, _Nodes, _without_twins
from cutplan.geometry.offset.local import local_offset
from cutplan.geometry.offset.raw import Piece, Source, moved_segment, raw_offset
from cutplan.geometry.offset.regions import offset_region
from cutplan.geometry.offset.tidy import tidy_loop
from cutplan.geometry.region import Region
from cutplan.geometry.segment import TAU, Arc, Line, Segment, arc_from_centre, circle
from cutplan.geometry.vector import Point

ORIGIN = Point(0.0, 0.0)


def piece(segment: Segment, number: int = 0, *, corner: bool = False) -> Piece:
    return Piece(segment, Source(0, number, corner))


def line(x0: float, y0: float, x1: float, y1: float) -> Line:
    return Line(Point(x0, y0), Point(x1, y1))


def test_segments_move_to_the_right_of_travel() -> None:
    moved = moved_segment(line(0, 0, 3, 4), 5.0)
    assert moved is not None and moved.start == pytest.approx((4.0, -3.0)) and moved.end == pytest.approx((7.0, 1.0))
    for sweep, radius in ((1.0, 12.0), (-1.0, 8.0)):
        arc = moved_segment(arc_from_centre(Point(1.0, 2.0), 10.0, 0.5, sweep), 2.0)
        assert isinstance(arc, Arc)
        assert (arc.centre, arc.radius, arc.sweep) == (Point(1.0, 2.0), radius, sweep)
        assert arc.start == pytest.approx((1.0 + radius * cos(0.5), 2.0 + radius * sin(0.5)))
        assert arc.end == pytest.approx((1.0 + radius * cos(0.5 + sweep), 2.0 + radius * sin(0.5 + sweep)))
    assert moved_segment(arc_from_centre(ORIGIN, 2.0, 0.0, 1.0), -2.0) is None
    ring = moved_segment(circle(ORIGIN, 5.0), 1.0)
    assert isinstance(ring, Arc) and ring.is_circle and ring.start == ring.end


def test_corners_of_an_l_are_told_apart() -> None:
    ell = polygon([(0, 0), (30, 0), (30, 10), (10, 10), (10, 30), (0, 30)])
    out, into = raw_offset(ell, 1.0, "round", 2.0), raw_offset(ell, -1.0, "round", 2.0)
    assert out.concave == (False, False, True, False, False, False)
    assert into.concave == (True, True, False, True, True, True)
    assert [len(j) for j in out.joins] == [1, 1, 0, 1, 1, 1]
    assert [len(j) for j in into.joins] == [0, 0, 1, 0, 0, 0]
    (arc,) = out.joins[0]
    assert isinstance(arc, Arc)
    assert (arc.centre, arc.radius) == (Point(30.0, 0.0), 1.0) and arc.sweep == pytest.approx(0.5 * pi)
    (arc,) = into.joins[2]
    assert isinstance(arc, Arc)
    assert (arc.centre, arc.radius) == (Point(10.0, 10.0), 1.0) and arc.sweep == pytest.approx(-0.5 * pi)
    sharp = raw_offset(ell, 1.0, "sharp", 2.0).joins[0]
    assert [s.end for s in sharp] == [pytest.approx((31.0, -1.0)), pytest.approx((31.0, 0.0))]
    assert [p.source for p in out.pieces(3)][:3] == [Source(3, 0), Source(3, 0, corner=True), Source(3, 1)]


def test_an_almost_straight_joint_is_closed_in_the_middle() -> None:
    hair = 1e-6
    bent = polygon([(0, 0), (50, -50 * hair), (100, 0), (100, 40), (0, 40)])
    raw = raw_offset(bent, 2.0, "round", 2.0)
    assert raw.joins[0] == () and not raw.concave[0]
    first, second = raw.moved[0], raw.moved[1]
    assert first is not None and second is not None and first.end == second.start
    assert first.end == pytest.approx((50.0, -2.0 - 50 * hair), abs=1e-9)


def test_places_within_a_node_of_each_other_are_one_node() -> None:
    random = Random(3)
    for _ in range(200):
        nodes = _Nodes()
        a = Point(random.uniform(-1.0, 1.0), random.uniform(-1.0, 1.0))
        way = random.uniform(-pi, pi)
        first = nodes.at(a)
        near = a.plus(Point(cos(way), sin(way)).times(0.95 * NODE_MM))
        far = a.plus(Point(cos(way), sin(way)).times(1.05 * NODE_MM))
        assert nodes.at(near) == first
        assert nodes.at(far) != first


def edge(segment: Segment, start: int = 0, end: int = 1) -> _Edge:
    return _Edge(piece(segment), start, end)


def ray(turn: float) -> _Edge:
    return edge(line(0, 0, cos(turn), sin(turn)))


@pytest.mark.parametrize(
    ("turns", "best"), [((2.1, 1.0, -1.0), 0), ((-2.0, 3.0, 0.0), 1), ((pi, -1.0, -2.0), 1), ((-3.0, pi), 0)]
)
def test_the_way_that_turns_most_to_the_left_is_taken(turns: tuple[float, ...], best: int) -> None:
    # straight back counts as the sharpest turn to the right
    options = [ray(t) for t in turns]
    assert _leftmost(edge(line(-1, 0, 0, 0)), options) is options[best]


def test_of_two_ways_that_leave_alike_the_one_that_bends_left_is_taken() -> None:
    options = [
        edge(arc_from_centre(Point(0.0, -2.0), 2.0, 0.5 * pi, -1.0)),
        edge(line(0, 0, 1, 0)),
        edge(arc_from_centre(Point(0.0, 2.0), 2.0, -0.5 * pi, 1.0)),
        edge(arc_from_centre(Point(0.0, 3.0), 3.0, -0.5 * pi, 1.0)),
    ]
    assert _leftmost(edge(line(-1, 0, 0, 0)), options) is options[2]


def test_doubled_edges_are_dropped_and_those_there_and_back_both() -> None:
    there, back = line(0, 0, 10, 0), line(10, 0, 0, 0)
    bow = arc_from_centre(Point(5.0, 0.0), 5.0, pi, -pi)
    single = _without_twins([edge(there), edge(there), edge(bow)])
    assert [e.piece.segment for e in single] == [there, bow]
    assert _without_twins([edge(there), edge(back, 1, 0)]) == []
    apart = [edge(there), edge(arc_from_centre(Point(5.0, 0.0), 5.0, 0.0, pi), 1, 0)]
    assert _without_twins(apart) == apart
    assert _without_twins([edge(line(0, 0, 2e-4, 0), 0, 0)]) == []
    assert len(_without_twins([edge(line(0, 0, 4e-4, 0), 0, 0)])) == 1


def test_a_circle_in_two_pieces_becomes_one() -> None:
    halves = [piece(arc_from_centre(ORIGIN, 5.0, a, pi)) for a in (0.3, 0.3 + pi)]
    done = tidy_loop(halves)
    assert done is not None
    contour, sources = done
    assert contour.as_circle() == (ORIGIN, 5.0) and len(contour.segments) == 1 and sources == (Source(0, 0),)
    assert contour.segments[0].start.distance(contour.segments[0].end) < 1e-12
    turned = tidy_loop([piece(s.segment.reversed()) for s in reversed(halves)])
    assert turned is not None and not turned[0].ccw


@pytest.mark.parametrize(
    ("sweep", "circles"), [(TAU - 5e-5, True), (-TAU + 5e-5, True), (TAU - 1e-3, False), (pi, False), (1e-5, False)]
)
def test_a_single_arc_is_a_circle_when_its_ends_are_one_place(sweep: float, circles: bool) -> None:
    # radius 10: ends 0.0005 mm apart are one place, 0.01 mm are not
    done = tidy_loop([piece(arc_from_centre(ORIGIN, 10.0, 0.0, sweep))])
    assert (done is not None) == circles
    if done is not None:
        assert done[0].as_circle() == (ORIGIN, 10.0) and done[0].ccw == (sweep > 0.0)


def test_nothing_is_left_of_a_line_a_speck_or_a_sliver() -> None:
    assert tidy_loop([piece(line(0, 0, 10, 0))]) is None
    assert tidy_loop([piece(circle(ORIGIN, 1e-4))]) is None
    sliver = polygon([(0, 0), (100, 0), (100, 2e-4), (0, 2e-4)])
    assert tidy_loop([piece(s, k) for k, s in enumerate(sliver.segments)]) is None


def test_a_tiny_chamfer_becomes_the_corner() -> None:
    chain = polygon([(0, 0), (30, 0), (30, 20), (0.0005, 20), (0, 19.9995)])
    done = tidy_loop([piece(s, k) for k, s in enumerate(chain.segments)])
    assert done is not None
    contour, sources = done
    assert sorted(contour.vertices) == [(0.0, 0.0), (0.0, 20.0), (30.0, 0.0), (30.0, 20.0)]
    assert sources == tuple(Source(0, k) for k in (0, 1, 2, 4))


@pytest.mark.parametrize("flip", [False, True])
def test_a_tiny_step_beside_an_arc_is_closed_along_its_circle(flip: bool) -> None:
    # a half disc whose arc starts 0.0005 mm late; line and circle meet at its true corner
    late = 1e-4
    arc = arc_from_centre(ORIGIN, 5.0, late, pi - late)
    parts: list[Segment] = [Line(arc.end, Point(5.0, 0.0)), Line(Point(5.0, 0.0), arc.start), arc]
    if flip:
        parts = [s.reversed() for s in reversed(parts)]
    done = tidy_loop([piece(s, k) for k, s in enumerate(parts)])
    assert done is not None
    assert len(done[0].segments) == 2
    (round_,) = [s for s in done[0].segments if isinstance(s, Arc)]
    assert (round_.centre, round_.radius) == (ORIGIN, 5.0)
    assert abs(round_.sweep) == pytest.approx(pi, rel=1e-12)
    assert done[0].area == pytest.approx(12.5 * pi, rel=1e-12)


def test_a_sharp_tip_is_joined_with_the_lines_that_it_prolongs() -> None:
    tip = [piece(line(30, 0, 31, 0), corner=True), piece(line(31, 0, 31, 1), corner=True)]
    parts = [piece(line(0, 0, 30, 0), 0), *tip, piece(line(31, 1, 31, 20), 1), piece(line(31, 20, 0, 0), 2)]
    done = tidy_loop(parts)
    assert done is not None
    assert done[0].vertices == (Point(0.0, 0.0), Point(31.0, 0.0), Point(31.0, 20.0))
    assert done[1] == (Source(0, 0), Source(0, 1), Source(0, 2))


def test_distances_a_hair_off_are_tried_when_pieces_do_not_join(monkeypatch: pytest.MonkeyPatch) -> None:
    slot = polygon([(0, 0), (100, 0), (100, 60), (50.6, 60), (50.6, 40), (49.4, 40), (49.4, 60), (0, 60)])
    seen: list[tuple[float, float]] = []

    def fails(pieces: list[Piece], _segments: object, size_mm: float, _tips: object) -> list[list[Piece]]:
        seen.append((size_mm, -pieces[0].segment.start.y))
        raise Unstitched

    monkeypatch.setattr(offset, "arranged_offset", fails)
    with pytest.raises(GeometryError, match="does not close"):
        offset_region(Region(slot), 0.75)
    sizes = [0.75, 0.75001, 0.74999, 0.75005, 0.74995, 0.7502, 0.7498]
    assert [s for s, _ in seen] == pytest.approx(sizes)
    # the pieces lie at the distance that is tried
    assert [y for _, y in seen] == pytest.approx(sizes)
    inward: list[float] = []

    def fails_inward(pieces: list[Piece], _segments: object, size_mm: float, _tips: object) -> list[list[Piece]]:
        inward.append(pieces[0].segment.start.y)
        raise Unstitched

    monkeypatch.setattr(offset, "arranged_offset", fails_inward)
    with pytest.raises(GeometryError, match="does not close"):
        waist = polygon(
            [
                (0, 0),
                (40, 0),
                (40, 9),
                (60, 9),
                (60, 0),
                (100, 0),
                (100, 20),
                (60, 20),
                (60, 11),
                (40, 11),
                (40, 20),
                (0, 20),
            ]
        )
        offset_region(Region(waist), -1.5)
    assert inward == pytest.approx([1.5, 1.50001, 1.49999, 1.50005, 1.49995, 1.5002, 1.4998])


def test_an_inner_corner_between_line_and_arc_is_trimmed_where_they_meet() -> None:
    # a half disc, moved in by 1: the arc of radius 9 ends where it meets the line y = 1
    half = polyline([(-10.0, 0.0, 0.0), (10.0, 0.0, 1.0)])
    (left,) = offset_region(Region(half), -1.0).regions
    x = sqrt(81.0 - 1.0)
    assert left.outer.box == pytest.approx((-x, 1.0, x, 9.0))
    sweep = pi - 2.0 * atan(1.0 / x)
    assert left.outer.area == pytest.approx(0.5 * 81.0 * (sweep - sin(sweep)))


def test_a_plate_keeps_its_numbers_of_segments_and_their_sources() -> None:
    result = offset_region(Region(rectangle(0, 0, 40, 20)), 1.0)
    assert result.origin == ((tuple(Source(0, k, corner=c) for k in range(4) for c in (False, True)),),)


def test_a_simple_offset_needs_no_arrangement_and_a_colliding_one_does() -> None:
    ell = polygon([(0, 0), (30, 0), (30, 10), (10, 10), (10, 30), (0, 30)])
    for d in (1.0, -1.0):
        loops = local_offset([ell], [raw_offset(ell, d, "round", 2.0)], 1.0, False)
        assert loops is not None and [len(loop) for loop in loops] == [11 if d > 0.0 else 7]
    for d in (-5.0, -6.0):  # the arms of 10 mm close
        assert local_offset([ell], [raw_offset(ell, d, "round", 2.0)], -d, False) is None
    rings = [circle(ORIGIN, r) for r in (20.0, 10.0)]
    frame = [Contour((rings[0],)), Contour((rings[1].reversed(),))]
    assert local_offset(frame, [raw_offset(c, -4.0, "round", 2.0) for c in frame], 4.0, False) is not None
    assert local_offset(frame, [raw_offset(c, -6.0, "round", 2.0) for c in frame], 6.0, False) is None
