"""What a template says about itself: a block of lines inside its edge, arrows, and a label at each hole."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, pi, sin

import numpy as np

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import arrow, wrap_text
from cutplan.drawing.model import Item, Pen, Text
from cutplan.geometry.vector import Box, Point
from cutplan.templates.drawn.pens import LEADER, LEADER_HEAD_MM
from cutplan.templates.drawn.room import Room
from cutplan.templates.shapes.build import CROSS_BEYOND_MM
from cutplan.templates.shapes.template import Spot, Template
from cutplan.texts.by_id import told

#: Font sizes [mm]: capitals of the text to be read at arm's length are 3 mm high and more.
HEADING_MM, READ_MM = 5.5, 4.2
#: A label this far from its hole's edge still belongs to it, by its leader [mm].
_LEADER_MM = 70.0
#: An arrow ends this far before the edge that it points to [mm].
_CLEAR_MM = 1.0
#: Air round a label [mm].
_APART_MM = 0.6
_PAD = 1.0
_LEADING = 1.35


def label_block(template: Template, inside: Room, anywhere: Room) -> tuple[tuple[Text, ...], bool]:
    """Return the template's lines where they fit, and whether the first two do (the sheet's title has the rest).

    Looked for inside the edge first, so that the words stay on the cut paper; what finds no room there goes beside it.
    """
    says = template.says
    for count in range(len(says), 0, -1):
        words = _fit(says[:count], inside, (inside, anywhere), template.edge.centroid)
        if not words:
            continue
        if count == len(says):
            return words, True
        # what found no room inside goes beside the template, if there is room
        rest = _fit((f"{template.shown}:", *says[count:]), anywhere, (inside, anywhere), words[0].at)
        apart = () if rest else _one_by_one(says[count:], inside, anywhere, words[0].at)
        return (*words, *rest, *apart), bool(rest) or count >= 2
    words = _fit(says, anywhere, (inside, anywhere), template.edge.centroid)
    return words, bool(words)


def _one_by_one(says: tuple[str, ...], inside: Room, anywhere: Room, near: Point) -> tuple[Text, ...]:
    """Lines that find no room together, each where it finds room by itself; a narrow wrap has it between its marks."""
    found: list[Text] = []
    for line in says:
        rooms = (inside, anywhere)
        found += _fit((line,), inside, rooms, near, head=False) or _fit((line,), anywhere, rooms, near, head=False)
    return tuple(found)


def _fit(
    says: tuple[str, ...], room: Room, rooms: tuple[Room, ...], near: Point, *, head: bool = True
) -> tuple[Text, ...]:
    """The lines in the first shape that finds room, nearest to a point; the room is taken. Empty: no room."""
    for lines in _shapes(says, head):
        width = max(text_width(t, h, b) for t, h, b in lines) + 2 * _PAD
        height = sum(h * _LEADING for _, h, _ in lines) + 2 * _PAD
        box = room.nearest(width, height, near)
        if box is not None:
            for r in rooms:
                r.write(box)
            return _set(lines, box)
    return ()


def _shapes(says: tuple[str, ...], head: bool) -> Iterator[list[tuple[str, float, bool]]]:
    """The lines unwrapped, then wrapped narrower and narrower; then the same with a heading no larger than the rest."""
    seen: set[tuple[float, tuple[str, ...]]] = set()
    for heading in (HEADING_MM, READ_MM) if head else (READ_MM,):
        sizes = [heading if k == 0 else READ_MM for k in range(len(says))]
        bold = [head and k == 0 for k in range(len(says))]
        natural = max(text_width(s, sizes[k], bold[k]) for k, s in enumerate(says))
        # no word is broken
        least = max(24.0, *(text_width(w, sizes[k], bold[k]) for k, s in enumerate(says) for w in s.split()))
        for share in (1.0, 0.7, 0.5, 0.36):
            rows = [
                (run, sizes[k], bold[k])
                for k, s in enumerate(says)
                for run in wrap_text(s, max(natural * share, least), sizes[k], bold[k])
            ]
            shape = (heading, tuple(r[0] for r in rows))
            if shape not in seen:
                seen.add(shape)
                yield rows


def _set(lines: list[tuple[str, float, bool]], box: Box) -> tuple[Text, ...]:
    y = box.ymax - _PAD
    texts: list[Text] = []
    for text, height, bold in lines:
        texts.append(Text(text, Point(box.xmin + _PAD, y - 0.8 * height), height, bold=bold, tag="label"))
        y -= _LEADING * height
    return tuple(texts)


def arrows(template: Template, rooms: tuple[Room, ...], near: Point, lang: str = "en") -> tuple[tuple[Item, ...], bool]:
    """Return the arrows that say where the vehicle's front and top are, and whether all found room.

    ``rooms`` are tried in order; what is used is taken in all of them.
    """
    items: list[Item] = []
    for key, angle in template.arrows:
        word = told(f"paper.arrow.{key}", lang)
        placed = False
        for room in rooms:
            for reach in (18.0, 12.0, 8.0):
                wide = text_width(word, READ_MM, True)
                tall = abs(sin(angle)) * reach + 3.0
                box = room.nearest(max(wide, abs(cos(angle)) * reach + 3.0) + 2.0, tall + 1.3 * READ_MM + 1.0, near)
                if box is None:
                    continue
                for r in rooms:
                    r.write(box)
                u = Point(cos(angle), sin(angle)).times(0.5 * reach)
                c = Point(box.centre.x, box.ymax - 0.5 * tall)
                items.extend(arrow(c.minus(u), c.plus(u), Pen(0.7), 4.5, "arrow"))
                items.append(
                    Text(word, Point(c.x, box.ymin + 0.3 * READ_MM + 0.2), READ_MM, "middle", bold=True, tag="label")
                )
                placed = True
                break
            if placed:
                break
        if not placed:
            return tuple(items), False
    return tuple(items), True


def hole_label(spot: Spot, others: tuple[Spot, ...], rooms: tuple[Room, ...], *, leader: bool = True) -> list[Item]:
    """Return the label of a hole or pad: name and size close to it in one line or two, else led to it by a thin arrow.

    Without leaders it may stand farther off, and stays nearer to its own hole than to any of the others. The first of
    ``rooms`` is asked, the place is taken in all. Empty: no room.
    """
    full = (f"{spot.name} {spot.note}".strip(),)
    two = (spot.name, spot.note) if spot.note else full
    close = (1.5, 4.0) if leader else (1.5, 4.0, 8.0)
    for lines, steps in (
        (full, close),
        (two, close),
        (full, () if leader else (14.0,)),
        ((spot.name,), () if leader else close[:2]),
    ):
        wide, tall = _extent(lines)
        for x, y in _beside(spot, wide, tall, steps):
            box = Box(x - 0.3, y - 0.2, x + wide + 0.3, y + tall)
            if rooms[0].free(box) and _nearest_to(spot, others, box):
                return _labelled(lines, box, rooms)
    for place in (rooms[0].led, rooms[0].nearest) if leader else ():
        for lines in (full, two, two[:1]):
            wide, tall = _extent(lines)
            far = place(wide + 0.6, tall + 0.2, spot.centre)
            if far is not None and far.centre.distance(spot.centre) < spot.radius_mm + _LEADER_MM:
                return [*_leader(spot, far, rooms), *_labelled(lines, far, rooms)]
    return []


def _extent(lines: tuple[str, ...]) -> tuple[float, float]:
    return max(text_width(t, READ_MM) for t in lines), READ_MM * (1.0 + 1.2 * (len(lines) - 1))


def _labelled(lines: tuple[str, ...], box: Box, rooms: tuple[Room, ...]) -> list[Item]:
    for room in rooms:
        room.write(box.grown(_APART_MM))
    base = box.ymax - 0.76 * READ_MM
    return [
        Text(t, Point(box.xmin + 0.3, base - 1.2 * READ_MM * k), READ_MM, tag="hole label") for k, t in enumerate(lines)
    ]


def _leader(spot: Spot, box: Box, rooms: tuple[Room, ...]) -> list[Item]:
    """A thin grey arrow from the label to the hole's edge; its way is taken in all rooms."""
    c = spot.centre
    near = Point(min(max(c.x, box.xmin), box.xmax), min(max(c.y, box.ymin), box.ymax))
    away = near.minus(c)
    if away.length() < 0.5:  # the label stands in the hole itself
        return []
    end = _before_edge(spot, near)
    if near.distance(end) < 0.5:
        return []
    shaft, head = arrow(near, end, LEADER, min(LEADER_HEAD_MM, 0.6 * near.distance(end)), "leader")
    steps = np.linspace(0.0, 1.0, 2 + int(near.distance(end)))[:, None]
    for room in rooms:
        room.lead(np.array(near) + steps * (np.array(end) - np.array(near)))
    return [shaft, head]


def _before_edge(spot: Spot, near: Point) -> Point:
    """Where an arrow to a hole ends: short of its edge, so that nothing touches what is traced or cut."""
    edge = spot.centre
    if spot.contour is not None and not spot.radius_mm:
        edge = min((s.point_at(s.nearest(near)[0]) for s in spot.contour.segments), key=near.distance)
    away = near.minus(edge)
    far = away.length()
    return edge.plus(away.unit().times(min(spot.radius_mm + _CLEAR_MM, far))) if far > 0.0 else near


def _beside(spot: Spot, wide: float, tall: float, steps_mm: tuple[float, ...]) -> Iterator[tuple[float, float]]:
    """Lower left corners for a label round a hole, nearest first; in the quarters of its cross where it is large."""
    c = spot.centre
    for away in steps_mm:
        for k in (1, 7, 3, 5, 0, 4, 2, 6):
            angle = 0.25 * pi * k
            u = Point(cos(angle), sin(angle))
            # on the axes the label must also clear the arms of the cross
            out = spot.radius_mm + away + (CROSS_BEYOND_MM if k % 2 == 0 else 0.0)
            edge = c.plus(u.times(out))
            x = edge.x if u.x > 0.1 else edge.x - wide if u.x < -0.1 else edge.x - 0.5 * wide
            y = edge.y if u.y > 0.1 else edge.y - tall if u.y < -0.1 else edge.y - 0.5 * tall
            yield x, y
    if spot.radius_mm > 12.0:
        for right, up in ((True, True), (True, False), (False, True), (False, False)):
            yield c.x + 3.6 if right else c.x - 3.6 - wide, c.y + 3.6 if up else c.y - 3.6 - tall


def _nearest_to(spot: Spot, others: tuple[Spot, ...], box: Box) -> bool:
    """Whether a label's box is nearer to its own hole's edge than to any other hole's."""

    def gap(s: Spot) -> float:
        x, y = min(max(s.centre.x, box.xmin), box.xmax), min(max(s.centre.y, box.ymin), box.ymax)
        return abs(s.centre.distance(Point(x, y)) - s.radius_mm)

    own = gap(spot)
    return all(gap(o) > own for o in others if o is not spot and o.cross)
