"""Texts of a placed figure moved apart and off the lines, with a thin leader where one had to go far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import cos, pi, sin

from cutplan.drawing.cells import Cell, covered, passed
from cutplan.drawing.model import Item, Pen, Stroke, Text, line
from cutplan.drawing.recorder import text_corners
from cutplan.geometry.segment import Arc, Line, circle
from cutplan.geometry.vector import Box, Point, box_of

#: Distances tried, in font sizes, and directions on each.
_REACH = (0.5, 0.9, 1.4, 2.0, 2.8, 3.8, 5.0, 7.0, 9.5, 13.0)
_WAYS = 16
#: Size of the cells in which lines are remembered [mm].
_CELL = 0.8
#: Size of the cells in which texts are remembered [mm].
_TEXT_CELL = 12.0
#: What a line behind a text costs against moving the text by a font size.
_LINE_COST, _MOVE_COST = 2.6, 1.0
#: A text moved further than this gets a leader, in font sizes.
_LEADER = 2.2
_LEADER_PEN = Pen(0.18, "#444444")


def untangle(items: Sequence[Item], room: Box, gap_mm: float = 0.5, taken: Sequence[Box] = ()) -> tuple[Item, ...]:
    """Return the items with every text inside the room and clear of other texts.

    A stroke tagged ``patch`` belongs to the text that follows it and goes where that goes; a text in a ring of the same
    tag, or one written along a slope, stays where it is.

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
    ringed = _ringed(items)
    placed = _Placed(gap_mm)
    for box in taken:
        placed.add(_corners(box))
    for k in sorted(ringed):
        text = items[k]
        if isinstance(text, Text):
            placed.add(text_corners(text))
    moved: list[Item] = []
    leaders: list[Item] = []
    for k, item in enumerate(items):
        after = items[k + 1] if k + 1 < len(items) else None
        if isinstance(item, Stroke):
            if item.tag == "patch" and isinstance(after, Text):
                continue
            if isinstance(after, Text) and k + 1 in ringed:
                item = _ring_round(item, after)
            moved.append(item)
            continue
        text = item
        if k not in ringed:
            sloped = item.angle_deg % 90.0 != 0.0
            shift = _slid(item, room, placed) if sloped else _best(item, room, placed, lines)
            text = replace(item, at=item.at.plus(shift))
            placed.add(text_corners(text))
            home = _box(item).centre
            if not sloped and shift.length() > _LEADER * item.height_mm and room.holds(home):
                leaders.append(_leader(home, _box(text)))
        before = items[k - 1] if k else None
        if isinstance(before, Stroke) and before.tag == "patch":
            moved.append(_patch(before, text))
        moved.append(text)
    return (*leaders, *moved)


class _Placed:
    """Texts that have their place: boxes and, for sloped ones, true corners."""

    def __init__(self, gap_mm: float) -> None:
        self.gap = gap_mm
        self.cells: dict[Cell, list[tuple[Box, tuple[Point, ...]]]] = {}

    def add(self, corners: tuple[Point, ...]) -> None:
        box = box_of(corners)
        for cell in covered(box, _TEXT_CELL):
            self.cells.setdefault(cell, []).append((box, corners))

    def meets(self, corners: tuple[Point, ...]) -> bool:
        """Whether a text at these corners would come too near to one that is placed."""
        wide = box_of(corners).grown(self.gap)
        near = (pair for cell in covered(wide, _TEXT_CELL) for pair in self.cells.get(cell, ()))
        return any(wide.meets(box) and _overlap(corners, other, self.gap) for box, other in near)


def _upright(corners: tuple[Point, ...]) -> bool:
    return corners[0].y == corners[1].y or corners[0].x == corners[1].x


def _overlap(a: tuple[Point, ...], b: tuple[Point, ...], gap: float) -> bool:
    """Whether two rectangles come nearer than a gap, by their own axes; upright ones whose boxes do, do."""
    if _upright(a) and _upright(b):
        return True
    for one in (a, b):
        for p, q in ((one[0], one[1]), (one[1], one[2])):
            axis = q.minus(p)
            size = axis.length()
            if size < 1e-9:
                continue
            pa, pb = [axis.dot(c) / size for c in a], [axis.dot(c) / size for c in b]
            if max(pa) + gap <= min(pb) or max(pb) + gap <= min(pa):
                return False
    return True


def _slid(text: Text, room: Box, placed: _Placed) -> Point:
    """The shift of a sloped text along its own line that clears the others; none where there is no such place."""
    along = Point(cos(text.angle_deg * pi / 180.0), sin(text.angle_deg * pi / 180.0))
    for k in range(60):
        shift = along.times((0.5 * ((k + 1) // 2)) * text.height_mm * (1.0 if k % 2 else -1.0))
        corners = text_corners(replace(text, at=text.at.plus(shift)))
        if all(room.holds(c) for c in corners) and not placed.meets(corners):
            return shift
    return Point(0.0, 0.0)


def _ringed(items: Sequence[Item]) -> frozenset[int]:
    """Indices of numbers in a ring: they stay."""
    found = set()
    for k, item in enumerate(items):
        before = items[k - 1] if k else None
        if isinstance(item, Text) and isinstance(before, Stroke) and item.tag and before.tag == item.tag:
            first = before.segments[0]
            if isinstance(first, Arc) and first.is_circle:
                found.add(k)
    return frozenset(found)


def _ring_round(ring: Stroke, text: Text) -> Stroke:
    """A ring at least as large as its number needs."""
    first = ring.segments[0]
    if not isinstance(first, Arc) or first.radius >= 0.72 * text.height_mm:
        return ring
    return replace(ring, segments=(circle(first.centre, 0.72 * text.height_mm),))


def _patch(patch: Stroke, text: Text) -> Stroke:
    """The plain ground behind a text, of the text's own size."""
    corners = text_corners(text)
    sides = tuple(Line(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True))
    return replace(patch, segments=sides)


def _corners(box: Box) -> tuple[Point, ...]:
    return (
        Point(box.xmin, box.ymin),
        Point(box.xmax, box.ymin),
        Point(box.xmax, box.ymax),
        Point(box.xmin, box.ymax),
    )


def _box(text: Text) -> Box:
    return box_of(text_corners(text))


def _leader(start: Point, box: Box) -> Stroke:
    """A thin line from where the text belongs to the nearest edge of where it is."""
    end = Point(min(max(start.x, box.xmin), box.xmax), min(max(start.y, box.ymin), box.ymax))
    if end.distance(start) < 1e-6:
        end = box.centre
    return line(start, end, _LEADER_PEN, "leader")


def _best(text: Text, room: Box, placed: _Placed, lines: frozenset[Cell]) -> Point:
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
            here = _MOVE_COST * reach + (_LINE_COST if _crossed(box, lines) else 0.0)
            if here < cost and not placed.meets(_corners(box)):
                best, cost = shift, here
    if best is None:
        # no free place near: the nearest place inside the room
        best = Point(
            max(room.xmin - home.xmin, 0.0) or min(room.xmax - home.xmax, 0.0),
            max(room.ymin - home.ymin, 0.0) or min(room.ymax - home.ymax, 0.0),
        )
    return best


def _crossed(box: Box, lines: frozenset[Cell]) -> bool:
    return not lines.isdisjoint(covered(box, _CELL))


def _cells(items: Sequence[Item]) -> frozenset[Cell]:
    """Cells of the page that a drawn line passes."""
    drawn = (s for item in items if isinstance(item, Stroke) and item.pen is not None for s in item.segments)
    return frozenset(passed(drawn, _CELL, _CELL))
