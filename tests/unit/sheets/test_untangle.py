"""Texts of a crowded picture come apart and stay inside."""

from __future__ import annotations

from cutplan.drawing.model import Page, Pen, Stroke, Text, line
from cutplan.drawing.recorder import overlaps
from cutplan.drawing.untangle import untangle
from cutplan.geometry.vector import Box, Point

ROOM = Box(0.0, 0.0, 120.0, 80.0)


def test_a_heap_of_texts_comes_apart() -> None:
    heap = [Text(f"H{i}", Point(60.0 + 0.3 * i, 40.0), 4.0) for i in range(14)]
    assert overlaps(Page(120.0, 80.0, tuple(heap)))
    done = untangle(heap, ROOM)
    assert overlaps(Page(120.0, 80.0, done)) == ()
    assert sorted(i.text for i in done if isinstance(i, Text)) == sorted(t.text for t in heap)


def test_a_text_leaves_the_line_and_stays_near() -> None:
    rule = line((0.0, 40.0), (120.0, 40.0), Pen(), "cut")
    done = untangle([rule, Text("12", Point(60.0, 39.0), 4.0)], ROOM)
    assert overlaps(Page(120.0, 80.0, done)) == ()
    (text,) = [i for i in done if isinstance(i, Text)]
    assert text.at.distance(Point(60.0, 39.0)) < 10.0


def test_texts_outside_come_in() -> None:
    done = untangle([Text("wide label", Point(115.0, 78.0), 4.0)], ROOM)
    assert overlaps(Page(120.0, 80.0, done)) == ()


def test_a_text_that_went_far_has_a_leader() -> None:
    wall = [Text("WWWWWWWW", Point(40.0, 20.0 + 5.0 * k), 5.0) for k in range(8)]
    done = untangle([*wall, Text("x", Point(60.0, 38.0), 4.0)], ROOM)
    assert any(isinstance(i, Stroke) and i.tag == "leader" for i in done)


def test_free_texts_do_not_move() -> None:
    still = [Text("a", Point(10.0, 10.0), 4.0), Text("b", Point(60.0, 10.0), 4.0)]
    assert untangle(still, ROOM) == tuple(still)
