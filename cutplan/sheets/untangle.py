"""Texts of a placed figure moved apart and off the lines, with a thin leader where one had to go far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import ceil, cos, pi, sin

from cutplan.drawing.model import Item, Pen, Stroke, Text, line
from cutplan.drawing.recorder import text_corners
from cutplan.geometry.vector import Box, Point, box_of

#: Distances tried, in font sizes, and directions on each.
_REACH = (0.5, 0.9, 1.4, 2.0, 2.8, 3.8, 5.0, 7.0, 9.5, 13.0)
_WAYS = 16
#: Size of the cells in which lines are remembered [mm].
_CELL = 0.8
#: What a line behind a text costs against moving the text by a font size.
_LINE_COST, _MOVE_COST = 2.6, 1.0
#: A text moved further than this gets a leader, in font sizes.
_LEADER = 2.2
_LEADER_PEN = Pen(0.18, "#444444")


def untangle(items: Sequence[Item], room: Box, gap_mm: float = 0.5, taken: Sequence[Box] = ()) -> tuple[Item, ...]:
    """Return the items with every text inside the room and clear of other texts.

    Parameters
    ----------
    items : sequence of Item
        Items in page coordinates; texts are placed in their order, so name the important ones first.
    room : Box
        Where texts may lie [mm].
    gap_mm : float
        Distance kept between texts [mm].
    taken : sequence of Box
        Places that are already used [mm].
    """
    lines = _cells(items)
    placed: list[Box] = list(taken)
    moved: list[Item] = []
    leaders: list[Item] = []
    for item in items:
        if not isinstance(item, Text):
            moved.append(item)
            continue
        shift = _best(item, room, placed, lines, gap_mm)
        text = replace(item, at=item.at.plus(shift))
        box = _box(text)
        placed.append(box)
        home = _box(item).centre
        if shift.length() > _LEADER * item.height_mm and room.holds(home):
            leaders.append(_leader(home, box))
        moved.append(text)
    return (*leaders, *moved)


def _box(text: Text) -> Box:
    return box_of(text_corners(text))


def _leader(start: Point, box: Box) -> Stroke:
    """A thin line from where the text belongs to the nearest edge of where it is."""
    end = Point(min(max(start.x, box.xmin), box.xmax), min(max(start.y, box.ymin), box.ymax))
    if end.distance(start) < 1e-6:
        end = box.centre
    return line(start, end, _LEADER_PEN, "leader")


def _best(text: Text, room: Box, placed: list[Box], lines: frozenset[tuple[int, int]], gap: float) -> Point:
    home = _box(text)
    best, cost = None, float("inf")
    for reach in (0.0, *_REACH):
        if _MOVE_COST * reach >= cost:
            break
        for k in range(1 if reach == 0.0 else _WAYS):
            angle = 2.0 * pi * k / _WAYS
            shift = Point(reach * text.height_mm * cos(angle), reach * text.height_mm * sin(angle))
            box = Box(home.xmin + shift.x, home.ymin + shift.y, home.xmax + shift.x, home.ymax + shift.y)
            if box.xmin < room.xmin or box.ymin < room.ymin or box.xmax > room.xmax or box.ymax > room.ymax:
                continue
            wide = box.grown(gap)
            if any(wide.meets(b) for b in placed):
                continue
            here = _MOVE_COST * reach + (_LINE_COST if _crossed(box, lines) else 0.0)
            if here < cost:
                best, cost = shift, here
    if best is None:
        # no free place near: the nearest place inside the room
        best = Point(
            max(room.xmin - home.xmin, 0.0) or min(room.xmax - home.xmax, 0.0),
            max(room.ymin - home.ymin, 0.0) or min(room.ymax - home.ymax, 0.0),
        )
    return best


def _crossed(box: Box, lines: frozenset[tuple[int, int]]) -> bool:
    x0, x1 = int(box.xmin // _CELL), int(box.xmax // _CELL)
    y0, y1 = int(box.ymin // _CELL), int(box.ymax // _CELL)
    return any((x, y) in lines for x in range(x0, x1 + 1) for y in range(y0, y1 + 1))


def _cells(items: Sequence[Item]) -> frozenset[tuple[int, int]]:
    """Cells of the page that a drawn line passes."""
    cells: set[tuple[int, int]] = set()
    for item in items:
        if isinstance(item, Stroke) and item.pen is not None:
            for s in item.segments:
                count = max(1, ceil(s.length / _CELL))
                for i in range(min(count, 4000) + 1):
                    p = s.point_at(i / min(count, 4000))
                    cells.add((int(p.x // _CELL), int(p.y // _CELL)))
    return frozenset(cells)
