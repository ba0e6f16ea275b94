"""Labels set beside the places they name: clear of lines and of each other, with a thin leader where they stand off."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, sin

from cutplan.drawing.cells import Cell, covered, passed
from cutplan.drawing.font import text_width
from cutplan.drawing.model import Item, Pen, Stroke, Text
from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Box, Point

#: Cell of the map of taken places [paper mm].
CELL_MM = 0.6
#: Distances tried between place and label [paper mm].
REACHES_MM = (2.2, 3.4, 5.0, 7.0, 9.5, 12.5, 16.0, 20.0, 25.0, 31.0)
DIRECTIONS = 16
_LEADER = Pen(0.18, "#000000")


@dataclass(frozen=True, slots=True)
class Label:
    """A text to be set near a place [mm]; ``away`` is the direction preferred [rad], None for any."""

    text: str
    at: Point
    height_mm: float = 3.6
    bold: bool = False
    tag: str = "label"
    away_rad: float | None = None


class Map:
    """Which cells of the picture are taken by lines and labels; lengths in part millimetres, cells in paper ones."""

    def __init__(self, scale: float, room: Box) -> None:
        self._scale, self._room = scale, room
        self._cell = CELL_MM / scale
        self._taken: set[Cell] = set()

    def take_line(self, segments: Iterable[Segment]) -> None:
        """Mark the cells that a line runs through."""
        self._taken.update(passed(segments, self._cell, 0.7 * self._cell, 8))

    def cost(self, box: Box) -> int:
        """Return how many taken cells a box would cover; a large number outside the room."""
        r = self._room
        if box.xmin < r.xmin or box.ymin < r.ymin or box.xmax > r.xmax or box.ymax > r.ymax:
            return 100_000
        return sum(cell in self._taken for cell in covered(box, self._cell))

    def take(self, box: Box) -> None:
        """Mark the cells of a box."""
        self._taken.update(covered(box, self._cell))


def set_labels(
    labels: Sequence[Label], strokes: Sequence[Stroke], scale: float, room: Box, boxes: Sequence[Box] = ()
) -> list[Item]:
    """Return texts and leaders for labels, in the order given: name the important ones first.

    Parameters
    ----------
    labels : sequence of Label
        What to write where, in part coordinates [mm].
    strokes : sequence of Stroke
        Lines that no label may cover.
    scale : float
        Paper millimetres per part millimetre that the picture will be shown at [1].
    room : Box
        Where labels may lie, in part coordinates [mm].
    boxes : sequence of Box
        Other places that are taken [mm].
    """
    taken = Map(scale, room)
    for box in boxes:
        taken.take(box)
    for stroke in strokes:
        taken.take_line(stroke.segments)
    items: list[Item] = []
    for label in labels:
        text, box, reach = _best(label, taken, scale)
        taken.take(box)
        if reach > 1.5 * REACHES_MM[0]:
            foot = Point(min(max(label.at.x, box.xmin), box.xmax), min(max(label.at.y, box.ymin), box.ymax))
            leader = Line(label.at, foot)
            items.append(Stroke((leader,), _LEADER, tag="leader"))
            taken.take_line((leader,))
        items.append(text)
    return items


def _best(label: Label, taken: Map, scale: float) -> tuple[Text, Box, float]:
    wide = text_width(label.text, label.height_mm, label.bold) / scale
    tall = label.height_mm / scale
    pad = 0.4 / scale
    choice: tuple[float, Text, Box, float] | None = None
    for reach in REACHES_MM:
        for k in range(DIRECTIONS):
            angle = (label.away_rad if label.away_rad is not None else 0.25 * pi) + _fan(k)
            ux, uy = cos(angle), sin(angle)
            # the box touches the ring of this reach with its nearest side
            lift = reach / scale
            cx = label.at.x + ux * (lift + 0.5 * wide * abs(ux))
            cy = label.at.y + uy * (lift + 0.5 * tall * abs(uy))
            box = Box(cx - 0.5 * wide, cy - 0.5 * tall, cx + 0.5 * wide, cy + 0.5 * tall)
            cost = 6.0 * taken.cost(box.grown(pad)) + reach + 0.15 * abs(_fan(k))
            if choice is None or cost < choice[0]:
                at = Point(cx, cy - 0.36 * tall)
                text = Text(label.text, at, label.height_mm, "middle", bold=label.bold, tag=label.tag)
                choice = (cost, text, box, hypot(cx - label.at.x, cy - label.at.y) * scale - 0.5 * label.height_mm)
        if choice is not None and choice[0] < reach + 1.0:
            break
    assert choice is not None
    return choice[1:]


def _fan(k: int) -> float:
    """Directions to both sides in turn: 0, +, -, ++, -- ... [rad]."""
    step = (k + 1) // 2 * 2.0 * pi / DIRECTIONS
    return step if k % 2 else -step
