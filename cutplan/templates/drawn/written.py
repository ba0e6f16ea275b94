"""What is written on one template: labels, words, arrows, tape; small, or with the sizes in a list, where room is short."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

from cutplan.drawing.layout import frame
from cutplan.drawing.model import Item, Text
from cutplan.drawing.placer.ground import Ground
from cutplan.geometry.vector import Point
from cutplan.templates.drawn.check_crosses import Check, check_crosses
from cutplan.templates.drawn.grounds import at_home, item_box, kept_paper, own_room
from cutplan.templates.drawn.hole_labels import hole_labels
from cutplan.templates.drawn.labels import (
    HEADING_MM,
    READ_MM,
    SMALL_MM,
    Lettering,
    arrows,
    each_line,
    heading,
    label_block,
)
from cutplan.templates.drawn.pens import TAPE
from cutplan.templates.shapes.template import Template
from cutplan.templates.tiling.content import stroke_points
from cutplan.templates.tiling.layout import Layout
from cutplan.texts import Reader
from cutplan.texts.by_id import told

#: Size of a zone for double-sided tape, and its distance from every line [mm].
_TAPE_MM = (26.0, 11.0)
_TAPE_CLEAR_MM, _TAPE_OFF_TEXT_MM = 6.0, 1.5


@dataclass(frozen=True, slots=True)
class Manner:
    """How it is written: font sizes of labels and words [mm].

    ``least_mm``: labels that find no room may be so small [mm]; ``listed``: things of one size share an entry of a list;
    ``two``: two check crosses do in place of four.
    """

    labels_mm: float
    words_mm: float
    least_mm: float
    listed: bool = False
    two: bool = False


#: Tried in this order until everything finds room on the paper that is kept.
MANNERS = (
    Manner(READ_MM, READ_MM, READ_MM),
    Manner(READ_MM, READ_MM, SMALL_MM),
    Manner(READ_MM, SMALL_MM, SMALL_MM),
    Manner(SMALL_MM, SMALL_MM, SMALL_MM),
    Manner(SMALL_MM, SMALL_MM, SMALL_MM, listed=True),
    Manner(SMALL_MM, SMALL_MM, SMALL_MM, two=True),
    Manner(SMALL_MM, SMALL_MM, SMALL_MM, listed=True, two=True),
)
#: What is tried to see whether templates can share a sheet: the best, and what takes the least room with four crosses.
QUICK = (MANNERS[0], MANNERS[4])
#: Most things named on a template for which every manner is tried: each takes seconds where there are thousands (our own).
MOST_TRIED = 300


@dataclass(frozen=True, slots=True)
class Written:
    """What is written on one template: items, check distances, and what found no room.

    ``plain`` tells that it is written in the best manner, ``lost`` are labels that stand nowhere, ``trimmed`` what stands
    on paper that is cut off, ``crowded`` tells that words or arrows were left out.
    """

    items: tuple[Item, ...]
    checks: tuple[Check, ...]
    lost: tuple[str, ...]
    trimmed: tuple[str, ...]
    crowded: bool
    plain: bool

    @property
    def wanting(self) -> tuple[int, int]:
        """How much is missing, and how much stands where it does not last [1]."""
        return len(self.lost) + self.crowded, len(self.trimmed)


def written(
    template: Template,
    layout: Layout,
    shared: Ground,
    next_check: int,
    read: Reader,
    manners: tuple[Manner, ...] = MANNERS,
) -> Written:
    """Return what is written on one template; what it takes is taken in ``shared`` for the next ones, too.

    Parameters
    ----------
    template : Template
        Where it lies in the layout.
    layout : Layout
        Its sheets.
    shared : Ground
        What is drawn on them.
    next_check : int
        Number of the set's next check cross.
    read : Reader
        Language and units.
    manners : tuple of Manner
        How it may be written, the best first.
    """
    best: Written | None = None
    for manner in manners if len(template.spots) <= MOST_TRIED else QUICK:
        tried = _written(template, layout, shared, next_check, read, manner)
        if best is None or tried.wanting < best.wanting:
            best = tried
        if best.wanting == (0, 0):
            break
    assert best is not None
    for other in best.items:
        if isinstance(other, Text) or other.tag == "tape":
            shared.block(item_box(other))
        else:
            shared.lead(stroke_points([other], 0.5 * shared.cell_mm))
    return best


def _written(
    template: Template, layout: Layout, shared: Ground, next_check: int, read: Reader, manner: Manner
) -> Written:
    lang = read.language
    room = own_room(template, layout, shared)
    kept = kept_paper(template, room)
    # crosses before any words, so that the distances are the same in every language
    inside = kept.copy()
    inside.block_outside(template.edge)
    crosses, checks = check_crosses(inside, next_check, read.units, two=manner.two)
    items: list[Item] = list(crosses)
    for item in crosses:
        room.write(item_box(item))
        kept.write(item_box(item))
    paper = kept_paper(template, own_room(template, layout, Ground(shared.box)))
    labels = hole_labels(
        template, kept, room, tuple(dict.fromkeys((manner.labels_mm, manner.least_mm))), listed=manner.listed
    )
    items += labels.items
    words, complete, kept = _words(template, layout, (kept, room), lang, Lettering(manner.words_mm, manner.two))
    items += words
    for other in items:
        if isinstance(other, Text):
            kept.block(item_box(other).grown(_TAPE_OFF_TEXT_MM))
    items += _tape(template, kept, lang)
    off = [i.text for i in words if isinstance(i, Text) and not paper.free(item_box(i).grown(-0.5))]
    return Written(
        tuple(items), tuple(checks), labels.lost, (*labels.trimmed, *off), not complete, manner == MANNERS[0]
    )


def _words(
    template: Template, layout: Layout, rooms: tuple[Ground, Ground], lang: str, hand: Lettering
) -> tuple[list[Item], bool, Ground]:
    """The lines and arrows of a template, whether all found room, and what is free then on the kept paper.

    ``rooms`` are the kept paper and all that is the template's own. Where the arrows find no room on the kept paper
    after all lines, only the heading goes before them: the sheet's title has the other lines.
    """
    home, kept, room = at_home(template, rooms[0]), rooms[0].copy(), rooms[1].copy()
    words, found = label_block(template, (home, kept, room), hand)
    near = words[0].at if words else template.edge.centroid
    signs, shown = arrows(template, (_on_sheet(layout, kept, near), kept), near, hand.size_mm, lang)
    if shown:
        return [*words, *signs], found, kept
    for largest in (HEADING_MM, hand.size_mm):
        home, kept, room = at_home(template, rooms[0]), rooms[0].copy(), rooms[1].copy()
        words = heading(template, (home, kept, room), hand, largest)
        near = words[0].at if words else template.edge.centroid
        signs, shown = arrows(template, (_on_sheet(layout, kept, near), kept), near, hand.size_mm, lang)
        if shown:
            break
    else:
        kept, room = rooms
        home = at_home(template, kept)
        near = template.edge.centroid
        signs, shown = arrows(template, (_on_sheet(layout, kept, near), kept, room), near, hand.size_mm, lang)
        words = heading(template, (home, kept, room), hand)
    for sign in signs:
        room.write(item_box(sign))
        home.write(item_box(sign))
    rest = each_line(template.says[1:], (home, kept, room), near, hand)
    return [*words, *rest, *signs], shown and len(words) + len(rest) >= len(template.says), kept


def _on_sheet(layout: Layout, kept: Ground, near: Point) -> Ground:
    """The kept paper on the sheet that shows a place."""
    local = kept.copy()
    local.block_outside_box(next((s.printed for s in layout.sheets if s.cell.holds(near)), kept.box))
    return local


def _tape(template: Template, room: Ground, lang: str) -> list[Item]:
    """Zones for double-sided tape inside the edge, away from every line, spread towards the corners."""
    if template.kind in ("wrap", "flat pattern"):
        return []
    inside = room.copy()
    inside.block_outside(template.edge)
    points = stroke_points([s for s in template.lines if s.tag.split(" ")[0] != "centre"], room.cell_mm)
    inside.block_points(points, _TAPE_CLEAR_MM)
    box = template.edge.box
    c = box.centre
    targets = [Point(x, y) for x in (box.xmin, box.xmax) for y in (box.ymin, box.ymax)]
    if hypot(box.width, box.height) > 500.0:
        targets += [Point(c.x, box.ymin), Point(c.x, box.ymax), Point(box.xmin, c.y), Point(box.xmax, c.y)]
    items: list[Item] = []
    for target in targets:
        zone = inside.nearest(*_TAPE_MM, target)
        if zone is None:
            break
        inside.block(zone.grown(15.0))
        room.block(zone)
        items.append(frame(zone, TAPE, "tape"))
        items.append(
            Text(
                told("paper.tape", lang),
                Point(zone.centre.x, zone.centre.y - 0.3 * READ_MM),
                READ_MM,
                "middle",
                colour="#555555",
                tag="label",
            )
        )
    return items
