"""The placer of texts: they come apart, stay inside, leave lines, and their leaders go round."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from cutplan.drawing.model import Page, Pen, Stroke, Text, Tie, centred, line, moved, outline, ring, tied
from cutplan.drawing.placer.ground import Ground
from cutplan.drawing.placer.label import Label, set_label
from cutplan.drawing.placer.leader import Target
from cutplan.drawing.placer.picture import set_texts
from cutplan.drawing.recorder import overlaps, text_corners
from cutplan.geometry.contour import rectangle
from cutplan.geometry.vector import Box, Point, box_of

ROOM = Box(0.0, 0.0, 120.0, 80.0)


def leaders(items: tuple[object, ...]) -> list[Stroke]:
    return [i for i in items if isinstance(i, Stroke) and i.tag == "leader"]


def test_a_heap_of_texts_comes_apart() -> None:
    heap = [Text(f"H{i}", Point(60.0 + 0.3 * i, 40.0), 4.0) for i in range(14)]
    assert overlaps(Page(120.0, 80.0, tuple(heap)))
    done = set_texts(heap, ROOM)
    assert overlaps(Page(120.0, 80.0, done)) == ()
    assert sorted(i.text for i in done if isinstance(i, Text)) == sorted(t.text for t in heap)
    assert done == set_texts(heap, ROOM)


def test_a_text_leaves_the_line_and_stays_near() -> None:
    rule = line((0.0, 40.0), (120.0, 40.0), Pen(), "cut")
    done = set_texts([rule, Text("12", Point(60.0, 39.0), 4.0)], ROOM)
    assert overlaps(Page(120.0, 80.0, done)) == ()
    (text,) = [i for i in done if isinstance(i, Text)]
    assert text.at.distance(Point(60.0, 39.0)) < 10.0


def test_texts_outside_come_in() -> None:
    done = set_texts([Text("wide label", Point(115.0, 78.0), 4.0)], ROOM)
    assert overlaps(Page(120.0, 80.0, done)) == ()


def test_free_texts_do_not_move() -> None:
    still = [Text("a", Point(10.0, 10.0), 4.0), Text("b", Point(60.0, 10.0), 4.0)]
    assert set_texts(still, ROOM) == tuple(still)


def test_a_tied_text_stands_beside_its_thing_on_the_side_wanted() -> None:
    hole = ring(Point(60.0, 40.0), 8.0, Pen(0.35), tag="hole")
    for away in (Point(1.0, 0.0), Point(-1.0, 0.0), Point(0.0, 1.0), Point(0.0, -1.0)):
        done = set_texts([hole, tied("H1", Point(60.0, 40.0), 4.0, radius_mm=8.0, away=away)], ROOM)
        (text,) = (i for i in done if isinstance(i, Text))
        off = Point(text.at.x, text.at.y + 1.4).minus(Point(60.0, 40.0))
        assert off.unit().dot(away) > 0.9 and 8.0 < off.length() < 15.0 and not leaders(done)


def test_a_number_in_a_ring_leaves_a_place_that_is_too_small_and_is_led_to_it() -> None:
    small = [line(a, b, Pen(0.5), "cut") for a, b in pairwise([(60, 40), (63, 40), (63, 43), (60, 43), (60, 40)])]
    done = set_texts([*small, centred("7", Point(61.5, 41.5), 4.0, ring=True, tag="section 7")], ROOM)
    (text,) = (i for i in done if isinstance(i, Text))
    assert text.at.distance(Point(61.5, 41.5)) > 4.0 and leaders(done)
    large = set_texts([centred("7", Point(61.5, 41.5), 4.0, ring=True, tag="section 7")], ROOM)
    (text,) = (i for i in large if isinstance(i, Text))
    assert text.at.x == pytest.approx(61.5) and not leaders(large)
    assert any(isinstance(i, Stroke) and i.tag == "section 7" for i in large)


def test_a_length_slides_along_its_line_off_a_mark_or_is_left_out() -> None:
    a, b = Point(20.0, 20.0), Point(100.0, 60.0)
    run, mid = b.minus(a), Point(60.0, 40.0)
    mark = [line((57, 37), (63, 43), Pen(0.7), "mark"), line((57, 43), (63, 37), Pen(0.7), "mark")]
    wanted = Text("89.4 mm", mid, 3.0, "middle", patch="#ffffff", tie=Tie(mid, 3.0, along=run, optional=True))
    done = set_texts([line(a, b, Pen(0.2)), *mark, wanted], ROOM)
    (text,) = (i for i in done if isinstance(i, Text))
    assert text.angle_deg == pytest.approx(26.565, abs=1e-3)  # exact: atan(40 / 80)
    assert text.at.distance(mid) > 5.0
    far = text.at.minus(a)
    assert abs(run.unit().left().dot(far)) < 1.5  # still on its line
    assert not [i for i in set_texts([wanted], ROOM, taken=(ROOM,)) if isinstance(i, Text)]


def test_what_a_text_names_goes_where_its_picture_goes() -> None:
    text = moved(tied("H1", Point(10.0, 20.0), 4.0, radius_mm=3.0), 2.0, 5.0, -1.0)
    assert isinstance(text, Text) and text.tie is not None
    assert text.tie.at == Point(25.0, 39.0) and text.tie.radius_mm == 6.0 and text.height_mm == 4.0


def test_a_leader_goes_straight_where_it_can_and_else_round_by_one_bend() -> None:
    ground = Ground(Box(0, 0, 100, 100))
    target = Target(Point(50.0, 50.0), 5.0)
    ground.block(Box(30, 30, 70, 70))
    label = Label((("H1 12 mm",),), target, 4.0, (1.5,), 60.0)
    straight = set_label(label, ground)
    assert straight is not None and len(straight.way) == 2
    # exact: the leader ends 1 mm before the edge of its hole
    assert straight.way[-1].distance(target.at) == pytest.approx(6.0)
    # walls on all sides with one opening at the upper right, and labels only far below
    for x0, y0, x1, y1 in ((38, 38, 62, 38), (38, 38, 38, 62), (62, 38, 62, 62), (38, 62, 56, 62)):
        ground.bar_points(np.linspace((x0, y0), (x1, y1), 60))
    ground.block(Box(0, 0, 100, 68))
    round_ = set_label(label, ground)
    assert round_ is not None
    for a, b in pairwise(round_.way):
        steps = [Point(a.x + k / 50 * (b.x - a.x), a.y + k / 50 * (b.y - a.y)) for k in range(51)]
        assert not any(abs(p.y - 38) < 0.4 and 38 <= p.x <= 62 for p in steps)
        assert not any(abs(p.x - 38) < 0.4 and 38 <= p.y <= 62 for p in steps)
        assert not any(abs(p.y - 62) < 0.4 and 38 <= p.x <= 56 for p in steps)


def test_a_label_finds_no_room_rather_than_a_leader_through_a_wall() -> None:
    ground = Ground(Box(0, 0, 100, 100))
    for x0, y0, x1, y1 in ((38, 38, 62, 38), (38, 38, 38, 62), (62, 38, 62, 62), (38, 62, 62, 62)):
        ground.bar_points(np.linspace((x0, y0), (x1, y1), 60))
    ground.block(Box(30, 30, 70, 70))
    label = Label((("H1 12 mm",),), Target(Point(50.0, 50.0), 5.0), 4.0, (1.5,), 60.0)
    assert set_label(label, ground) is None


def test_a_leader_to_a_slot_ends_before_its_nearest_edge() -> None:
    ground = Ground(Box(0, 0, 200, 100))
    ground.block(Box(40, 20, 160, 80))
    slot = rectangle(70, 45, 130, 55)
    found = set_label(Label((("H1",),), Target(Point(100.0, 50.0), 0.0, slot), 4.0, (), 90.0), ground)
    assert found is not None and slot.nearest(found.way[-1])[1] == pytest.approx(1.0, abs=0.05)


def test_a_leader_stays_on_the_sheet_that_shows_its_thing() -> None:
    ground = Ground(Box(0, 0, 200, 100), windows=(Box(0, 0, 100, 100), Box(90, 0, 200, 100)))
    ground.block(Box(0, 0, 88, 100))  # the thing's own sheet is full but for a strip by the seam
    found = set_label(Label((("H1 12 mm",),), Target(Point(80.0, 50.0), 2.0), 4.0, (), 80.0), ground)
    assert found is None


def test_a_name_without_room_at_its_ring_stands_on_the_side_of_its_own_ring() -> None:
    left, right = Point(45.0, 40.0), Point(75.0, 40.0)
    fence = outline(rectangle(61.0, 26.0, 89.0, 54.0), Pen(0.5))  # no leader may cross it
    free = (Box(48.0, 60.0, 66.0, 66.0), Box(95.0, 60.0, 113.0, 66.0))
    taken = [Box(x, y, x + 1.0, y + 1.0) for x in range(120) for y in range(80)]
    taken = [b for b in taken if not any(f.holds(b.centre) for f in free)]
    name = Text("right", right, 4.0, "middle", tie=Tie(right, 12.0))
    other = Text("L", left, 4.0, "middle", tie=Tie(left, 12.0, optional=True))
    done = set_texts([fence, name, other], ROOM, taken)
    (box,) = (box_of(text_corners(i)) for i in done if isinstance(i, Text) and i.text == "right")
    # exact: of the two free places the nearer one lies between the rings, the farther one beyond its own
    assert free[1].holds(box.centre)


def test_no_name_stands_in_the_hole_of_another() -> None:
    large, small = Point(60.0, 40.0), Point(66.0, 33.0)
    holes = [ring(large, 6.0, Pen(0.25), "#ffffff", "hole"), ring(small, 1.5, Pen(0.25), "#ffffff", "hole")]
    # only into the large hole is there no need of a leader
    taken = [Box(x, y, x + 1.0, y + 1.0) for x in range(53, 73) for y in range(28, 48)]
    taken = [b for b in taken if b.centre.distance(large) > 5.5]
    done = set_texts([*holes, tied("D6", small, 3.0, radius_mm=1.5, away=Point(-1.0, 1.0))], ROOM, taken)
    (box,) = (box_of(text_corners(i)) for i in done if isinstance(i, Text))
    assert box.centre.distance(large) > 6.0  # exact: outside its rim


def test_a_name_between_two_pads_does_not_stand_nearer_to_the_other() -> None:
    left, right = Point(41.0, 40.0), Point(79.0, 40.0)
    rings = [ring(c, 12.0, Pen(0.35, dash_mm=(2.0, 1.0)), tag="pad") for c in (left, right)]
    names = [
        tied("cradle right", right, 3.0, radius_mm=12.0, away=Point(-1.0, 1.0), bold=True),
        tied("cradle left", left, 3.0, radius_mm=12.0, away=Point(1.0, -1.0), bold=True),
    ]
    done = set_texts([*rings, *names], ROOM)
    middle = {i.text: box_of(text_corners(i)).centre for i in done if isinstance(i, Text)}
    # exact: each middle on the side of its own pad, by more than a quarter of its width of some 20 mm
    assert middle["cradle right"].distance(left) - middle["cradle right"].distance(right) > 5.0
    assert middle["cradle left"].distance(right) - middle["cradle left"].distance(left) > 5.0


def test_a_leader_too_short_to_be_drawn_does_not_make_a_name_belong() -> None:
    left, right = Point(45.0, 40.0), Point(75.0, 40.0)
    between, beyond = Box(50.5, 50.5, 69.5, 55.5), Box(94.5, 59.5, 113.5, 64.5)
    ground = Ground(ROOM, 0.5)
    for x in np.arange(0.0, 120.0, 0.5):
        for y in np.arange(0.0, 80.0, 0.5):
            cell = Box(x, y, x + 0.5, y + 0.5)
            if not (between.holds(cell.centre) or beyond.holds(cell.centre)):
                ground.write(cell)
    label = Label((("name",),), Target(right, 12.0, clear_mm=0.6), 3.6, (0.9, 2.2, 3.6), 46.0, size_mm=(18.0, 4.0))
    alone, told = set_label(label, ground), set_label(label, ground, np.array([[left.x, left.y, 12.0]]))
    # exact: the nearer room is 0.5 mm from the ring, as near to the other one by its middle; the other room is led to
    assert alone is not None and between.holds(alone.box.centre)
    assert told is None or beyond.holds(told.box.centre)
