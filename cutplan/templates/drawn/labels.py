"""What a template says about itself: a block of lines inside its edge, arrows, and a label at each hole."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from math import cos, sin

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import arrow, wrap_text
from cutplan.drawing.model import Item, Pen, Text
from cutplan.drawing.placer.ground import Floats, Ground
from cutplan.drawing.placer.label import Label, set_label, take
from cutplan.drawing.placer.leader import Target, leader_strokes
from cutplan.geometry.vector import Box, Point
from cutplan.templates.drawn.pens import LEADER, LEADER_HEAD_MM
from cutplan.templates.shapes.build import CROSS_BEYOND_MM
from cutplan.templates.shapes.template import Spot, Template
from cutplan.texts.by_id import told

#: Font sizes [mm]: capitals of the text to be read at arm's length are 3 mm high and more.
HEADING_MM, READ_MM = 5.5, 4.2
#: Font size where that finds no room [mm]: its capitals are 2.55 mm high, the least that is read in a shop.
SMALL_MM = 3.5
#: A label this far from its hole's edge still belongs to it, by its leader [mm].
_LEADER_MM = 70.0
#: An arrow ends this far before the edge that it points to [mm].
_CLEAR_MM = 1.0
#: Air round a label [mm].
_APART_MM = 0.6
_PAD = 1.0
#: Widths at which words are wrapped, as shares of their width in one line: of a block, of a line alone, and where room is short.
_SHARES = (1.0, 0.7, 0.5, 0.36)
_SHARES_ALONE = (*_SHARES, 0.28)
_SHARES_SMALL = (1.0, 0.7, 0.6, 0.54, 0.5, 0.45, 0.4, 0.36, 0.32, 0.28, 0.25, 0.22)
#: No block of words is narrower [mm].
_LEAST_MM = 18.0
_LEADING = 1.35


@dataclass(frozen=True, slots=True)
class Lettering:
    """How words are written: font size [mm], and whether a line may stand upright where it finds no room lying."""

    size_mm: float
    upright: bool = False

    @property
    def short(self) -> bool:
        """Whether room is short: the letters are small."""
        return self.size_mm < READ_MM

    @property
    def head_mm(self) -> float:
        """Largest size of a heading [mm]."""
        return READ_MM if self.upright else HEADING_MM

    def near(self, template: Template) -> Point:
        """Where words begin: in the middle, or packed from the upper left corner where every line must find room."""
        box = template.edge.box
        return Point(box.xmin, box.ymax) if self.upright else template.edge.centroid

    @property
    def pad_mm(self) -> float:
        """Air round words [mm]."""
        return 0.5 * _PAD if self.short else _PAD


def label_block(
    template: Template, rooms: tuple[Ground, Ground, Ground], hand: Lettering
) -> tuple[tuple[Text, ...], bool]:
    """Return the template's lines where they fit, and whether the first two do (the sheet's title has the rest).

    ``rooms`` are asked in their order: the paper at the template's own lines, all of it that is kept, and what is beside
    it. So the words stay on the cut paper, and no block stands nearer to another template of the sheet than to its own.
    """
    says, near = template.says, hand.near(template)
    at_home = rooms[0]
    for count in range(len(says), 0, -1):
        words = _fit(says[:count], at_home, rooms, near, hand)
        if not words:
            continue
        if count == len(says):
            return words, True
        apart, left = _one_by_one(says[count:], at_home, rooms, words[0].at, hand)
        # what found no room there in any shape goes beside the template, if there is room
        rest = _beside((f"{template.shown}:", *left), rooms, words[0].at, hand) if left else ()
        lines = () if rest else each_line(left, rooms, words[0].at, hand)
        return (*words, *apart, *rest, *lines), bool(rest) or not left or count >= 2
    words = _beside(says, rooms, near, hand)
    return words or each_line(says, rooms, near, hand), bool(words)


def _beside(says: tuple[str, ...], rooms: tuple[Ground, ...], near: Point, hand: Lettering) -> tuple[Text, ...]:
    """The lines in one block in the first of the rooms after the template's own that has place; empty: none has."""
    for room in rooms[1:]:
        words = _fit(says, room, rooms, near, hand)
        if words:
            return words
    return ()


def _one_by_one(
    says: tuple[str, ...], room: Ground, rooms: tuple[Ground, ...], near: Point, hand: Lettering
) -> tuple[tuple[Text, ...], tuple[str, ...]]:
    """Lines set each where one room has place for it, and those that found none."""
    found: list[Text] = []
    left: list[str] = []
    # what is hardest to place goes first where room is short
    for line in sorted(says, key=len, reverse=True) if hand.short else says:
        words = _fit((line,), room, rooms, near, hand, head=False)
        found += words
        if not words:
            left.append(line)
    return tuple(found), tuple(left)


def heading(
    template: Template, rooms: tuple[Ground, ...], hand: Lettering, largest_mm: float = HEADING_MM
) -> tuple[Text, ...]:
    """Return the template's first line, in the first but last of the rooms that has place: on the kept paper; empty: none."""
    near = hand.near(template)
    for room in rooms[:-1]:
        words = _fit(template.says[:1], room, rooms, near, hand, largest=largest_mm)
        if words:
            return words
    return ()


def each_line(says: tuple[str, ...], rooms: tuple[Ground, ...], near: Point, hand: Lettering) -> tuple[Text, ...]:
    """Return lines that find no room together, each in the first room that has it; a narrow wrap has it between its marks."""
    found: list[Text] = []
    left = says
    for room in rooms:
        words, left = _one_by_one(left, room, rooms, near, hand)
        found += words
    return tuple(found)


def own_line(words: str, rooms: tuple[Ground, ...], near: Point, hand: Lettering) -> tuple[Text, ...]:
    """Return a line of its own in the first of the rooms, wrapped where it must be, taken in all; empty: no room."""
    return _fit((words,), rooms[0], rooms, near, hand, head=False)


def _fit(
    says: tuple[str, ...],
    room: Ground,
    rooms: tuple[Ground, ...],
    near: Point,
    hand: Lettering,
    *,
    head: bool = True,
    largest: float = HEADING_MM,
) -> tuple[Text, ...]:
    """The lines in the first shape that finds room, nearest to a point; the room is taken. Empty: no room."""
    sizes = (
        [h for h in (HEADING_MM, READ_MM, SMALL_MM) if hand.size_mm <= h <= min(largest, hand.head_mm)]
        if head
        else [hand.size_mm]
    )
    shapes = _shapes(says, sizes, hand, head)
    pad = hand.pad_mm
    ways = (False, True) if hand.upright and not head else (False,)
    for lines, upright in product(shapes, ways):
        width = max(text_width(t, h, b) for t, h, b in lines) + 2 * pad
        height = sum(h * _LEADING for _, h, _ in lines) + 2 * pad
        box = room.nearest(*((height, width) if upright else (width, height)), near)
        if box is not None:
            for r in rooms:
                r.write(box)
            return _upright(lines, box, pad) if upright else _set(lines, box, pad)
    return ()


def _shapes(
    says: tuple[str, ...], headings: list[float], hand: Lettering, head: bool
) -> Iterator[list[tuple[str, float, bool]]]:
    """The lines unwrapped, then wrapped narrower and narrower; then the same with a heading no larger than the rest."""
    seen: set[tuple[float, tuple[str, ...]]] = set()
    for first in headings:
        sizes = [first if k == 0 else hand.size_mm for k in range(len(says))]
        bold = [head and k == 0 for k in range(len(says))]
        natural = max(text_width(s, sizes[k], bold[k]) for k, s in enumerate(says))
        # no word is broken
        least = max(
            _LEAST_MM,
            *(text_width(w, sizes[k], bold[k]) for k, s in enumerate(says) for w in s.split()),
        )
        for share in _SHARES if head else _SHARES_SMALL if hand.short else _SHARES_ALONE:
            rows = [
                (run, sizes[k], bold[k])
                for k, s in enumerate(says)
                for run in wrap_text(s, max(natural * share, least), sizes[k], bold[k])
            ]
            shape = (first, tuple(r[0] for r in rows))
            if shape not in seen:
                seen.add(shape)
                yield rows


def _set(lines: list[tuple[str, float, bool]], box: Box, pad_mm: float) -> tuple[Text, ...]:
    y = box.ymax - pad_mm
    texts: list[Text] = []
    for text, height, bold in lines:
        texts.append(Text(text, Point(box.xmin + pad_mm, y - 0.8 * height), height, bold=bold, tag="label"))
        y -= _LEADING * height
    return tuple(texts)


def _upright(lines: list[tuple[str, float, bool]], box: Box, pad_mm: float) -> tuple[Text, ...]:
    """The same, read from the right."""
    x = box.xmin + pad_mm
    texts: list[Text] = []
    for text, height, bold in lines:
        at = Point(x + 0.8 * height, box.ymin + pad_mm)
        texts.append(Text(text, at, height, angle_deg=90.0, bold=bold, tag="label"))
        x += _LEADING * height
    return tuple(texts)


def arrows(
    template: Template, rooms: tuple[Ground, ...], near: Point, size_mm: float, lang: str = "en"
) -> tuple[tuple[Item, ...], bool]:
    """Return the arrows that say where the vehicle's front and top are, and whether all found room.

    ``rooms`` are tried in order; what is used is taken in all of them.
    """
    items: list[Item] = []
    for key, angle in template.arrows:
        one = _arrow(told(f"paper.arrow.{key}", lang), angle, rooms, near, size_mm)
        if not one:
            return tuple(items), False
        items += one
    return tuple(items), True


def _arrow(word: str, angle: float, rooms: tuple[Ground, ...], near: Point, size: float) -> list[Item]:
    """One arrow with its word, in the first room that has place for it, as large as it may be; empty: none has."""
    wide = text_width(word, size, True)
    for room, reach in product(rooms, (18.0, 12.0, 8.0)):
        tall = abs(sin(angle)) * reach + 3.0
        box = room.nearest(max(wide, abs(cos(angle)) * reach + 3.0) + 2.0, tall + 1.3 * size + 1.0, near)
        if box is None:
            continue
        for r in rooms:
            r.write(box)
        u = Point(cos(angle), sin(angle)).times(0.5 * reach)
        c = Point(box.centre.x, box.ymax - 0.5 * tall)
        below = Point(c.x, box.ymin + 0.3 * size + 0.2)
        shaft = arrow(c.minus(u), c.plus(u), Pen(0.7), 4.5, "arrow")
        return [*shaft, Text(word, below, size, "middle", bold=True, tag="label")]
    return []


def _narrower(words: str, size_mm: float) -> list[tuple[str, ...]]:
    """The words of a bend in two lines, in three and in more."""
    width = text_width(words, size_mm)
    return [tuple(wrap_text(words, share * width, size_mm)) for share in (0.6, 0.4, 0.25)] if " " in words else []


def hole_label(
    spot: Spot, others: Floats, grounds: tuple[Ground, ...], size_mm: float, *, leader: bool = True
) -> list[Item]:
    """Return the label of a hole or pad: name and size close to it in one line, two or three, else led to it by a thin arrow.

    Without leaders it may stand farther off, and stays nearer to its own hole than to any of the others (x, y, radius).
    The first of ``grounds`` is asked, the place is taken in all. Empty: no room.
    """
    full = (f"{spot.name} {spot.note}".strip(),)
    narrow = [(spot.name, *spot.note_rows)] if spot.note_rows else []
    forms = [full, (spot.name, spot.note), *narrow] if spot.note else [full, *_narrower(spot.name, size_mm)]
    label = Label(
        tuple(forms),
        Target(spot.centre, spot.radius_mm, spot.contour, _CLEAR_MM),
        size_mm,
        (1.5, 4.0) if leader else (1.5, 4.0, 8.0, 14.0),
        _LEADER_MM if leader else 0.0,
        CROSS_BEYOND_MM if spot.cross else 0.0,
    )
    found = set_label(label, grounds[0], others)
    if found is None:
        return []
    take(found, grounds, _APART_MM)
    lines = zip(found.lines, found.bases(size_mm), strict=True)
    texts = [Text(t, at, size_mm, tag="hole label") for t, at in lines]
    return [*(leader_strokes(found.way, LEADER, LEADER_HEAD_MM) if found.way else ()), *texts]
