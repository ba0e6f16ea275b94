"""What a layout shows beside the template's own lines: crosses, slits, labels, tape, folds, seams, distances to check."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np

from cutplan.drawing.layout import frame
from cutplan.drawing.model import Item, Stroke, Text
from cutplan.drawing.placer.ground import Ground
from cutplan.findings import Finding
from cutplan.geometry.vector import Point
from cutplan.templates.drawn.check_crosses import Check, check_crosses
from cutplan.templates.drawn.grounds import at_home, item_box, kept_paper, own_room, whole_room
from cutplan.templates.drawn.labels import (
    HEADING_MM,
    READ_MM,
    arrows,
    each_line,
    heading,
    hole_label,
    label_block,
)
from cutplan.templates.drawn.pens import TAPE
from cutplan.templates.drawn.seam_notes import block_band, fold_note, seam_notes
from cutplan.templates.shapes.template import Spot, Template
from cutplan.templates.tiling.content import stroke_points
from cutplan.templates.tiling.layout import Layout
from cutplan.templates.tiling.registration import Registration, mark_items
from cutplan.texts import ENGLISH, Reader, every, name, plural, say
from cutplan.texts.by_id import told

#: Size of a zone for double-sided tape, and its distance from every line [mm].
_TAPE_MM = (26.0, 11.0)
_TAPE_CLEAR_MM, _TAPE_OFF_TEXT_MM = 6.0, 1.5
#: On a template with more holes than this no label is led to its hole from afar: nobody could follow the lines.
_MOST_LEADERS = 150


@dataclass(frozen=True, slots=True)
class Decor:
    """Items in layout coordinates, items for single sheets, the distances to check and what found no room."""

    items: tuple[Item, ...]
    by_sheet: tuple[tuple[Item, ...], ...]
    checks: tuple[Check, ...]
    findings: tuple[Finding, ...]


def decorate(
    layout: Layout,
    drawn: tuple[Stroke, ...],
    marks: tuple[Registration, ...],
    overlap_mm: float,
    next_check: int,
    read: Reader = ENGLISH,
) -> Decor:
    """Return all that is added to the templates of a layout.

    Parameters
    ----------
    layout : Layout
        Templates on their sheets.
    drawn : tuple of Stroke
        Crosses, slits and folds, from :func:`cutplan.templates.drawn.aids.aids`.
    marks : tuple of Registration
        Registration marks of the seams.
    overlap_mm : float
        Overlap of neighbouring sheets [mm].
    next_check : int
        Number of the set's next check cross.
    read : Reader
        Language of what is written, and the units in which distances to check are round.
    """
    lang = read.language
    items: list[Item] = list(drawn)
    findings: list[Finding] = []
    for mark in marks:
        items += mark_items(mark, layout.seams[mark.seam])
    strokes = [s for p in layout.placed for s in p.template.lines]
    room = whole_room(layout, [*strokes, *(i for i in items if isinstance(i, Stroke))], items)
    by_sheet: list[list[Item]] = [[] for _ in layout.sheets]
    for k, seam in enumerate(layout.seams):
        along = sorted(m.at.y if seam.upright else m.at.x for m in marks if m.seam == k)
        seam_notes(seam, along, layout, room, by_sheet, lang)
    for seam in layout.seams:
        block_band(seam, 0.5 * overlap_mm + 0.5, room)
    for stroke in [i for i in items if isinstance(i, Stroke) and i.tag == "fold"]:
        items += fold_note(stroke, room, lang)
    checks: list[Check] = []
    lost: list[str] = []
    for p in layout.placed:
        written = _written(p.template, layout, room, next_check, read)
        next_check += len({n for c in written.checks for n in (c.start, c.end)})
        items += written.items
        checks += written.checks
        lost += written.lost
        if written.crowded:
            findings.append(
                Finding(
                    "label-no-room",
                    "note",
                    say("no room for all words and arrows of a template"),
                    say("{template}", template=name(p.template.name)),
                    say("the title of its sheet names it; write the rest by hand"),
                )
            )
    if lost:
        findings.append(
            Finding(
                "hole-label-no-room",
                "note",
                plural(
                    "no room for the label of 1 hole or bend", "no room for {count} labels of holes or bends", len(lost)
                ),
                say("{names}", names=every([*lost[:8], *(["..."] if len(lost) > 8 else [])])),
                say("read their names in the job sheet"),
            )
        )
    return Decor(tuple(items), tuple(tuple(b) for b in by_sheet), tuple(checks), tuple(findings))


@dataclass(frozen=True, slots=True)
class _Written:
    """What is written on one template: items, check distances, labels without room, whether words were left out."""

    items: list[Item]
    checks: list[Check]
    lost: list[str]
    crowded: bool


def _written(template: Template, layout: Layout, shared: Ground, next_check: int, read: Reader) -> _Written:
    """Write on one template; what it takes is taken in ``shared`` for the next ones, too."""
    lang = read.language
    room = own_room(template, layout, shared)
    kept = kept_paper(template, room)
    # crosses before any words, so that the distances are the same in every language
    inside = kept.copy()
    inside.block_outside(template.edge)
    crosses, checks = check_crosses(inside, next_check, read.units)
    items: list[Item] = list(crosses)
    for item in crosses:
        room.write(item_box(item))
        kept.write(item_box(item))
    labels, lost = _hole_labels(template.spots, kept, room)
    items += labels
    words, complete, kept = _words(template, layout, (kept, room), lang)
    items += words
    for other in items:
        if isinstance(other, Text):
            kept.block(item_box(other).grown(_TAPE_OFF_TEXT_MM))
    items += _tape(template, kept, lang)
    for other in items:
        if isinstance(other, Text) or other.tag == "tape":
            shared.block(item_box(other))
        else:
            shared.lead(stroke_points([other], 0.5 * shared.cell_mm))
    return _Written(items, list(checks), list(lost), not complete)


def _words(
    template: Template, layout: Layout, rooms: tuple[Ground, Ground], lang: str
) -> tuple[list[Item], bool, Ground]:
    """The lines and arrows of a template, whether all found room, and what is free then on the kept paper.

    ``rooms`` are the kept paper and all that is the template's own. Where the arrows find no room on the kept paper
    after all lines, only the heading goes before them: the sheet's title has the other lines.
    """
    home, kept, room = at_home(template, rooms[0]), rooms[0].copy(), rooms[1].copy()
    words, found = label_block(template, (home, kept, room))
    near = words[0].at if words else template.edge.centroid
    signs, shown = arrows(template, (_on_sheet(layout, kept, near), kept), near, lang)
    if shown:
        return [*words, *signs], found, kept
    for largest in (HEADING_MM, READ_MM):
        home, kept, room = at_home(template, rooms[0]), rooms[0].copy(), rooms[1].copy()
        words = heading(template, (home, kept, room), largest)
        near = words[0].at if words else template.edge.centroid
        signs, shown = arrows(template, (_on_sheet(layout, kept, near), kept), near, lang)
        if shown:
            break
    else:
        kept, room = rooms
        home = at_home(template, kept)
        near = template.edge.centroid
        signs, shown = arrows(template, (_on_sheet(layout, kept, near), kept, room), near, lang)
        words = heading(template, (home, kept, room), HEADING_MM)
    for sign in signs:
        room.write(item_box(sign))
        home.write(item_box(sign))
    rest = each_line(template.says[1:], (home, kept, room), near)
    return [*words, *rest, *signs], shown and len(words) + len(rest) >= len(template.says), kept


def _on_sheet(layout: Layout, kept: Ground, near: Point) -> Ground:
    """The kept paper on the sheet that shows a place."""
    local = kept.copy()
    local.block_outside_box(next((s.printed for s in layout.sheets if s.cell.holds(near)), kept.box))
    return local


def _hole_labels(spots: tuple[Spot, ...], kept: Ground, room: Ground) -> tuple[list[Item], list[str]]:
    """Labels of holes and pads on the kept paper, else beside it; and the names that found no room."""
    items: list[Item] = []
    lost: list[str] = []
    things = np.array([(*s.centre, s.radius_mm) for s in spots]).reshape(-1, 3)
    crossed = np.array([s.cross for s in spots], dtype=bool)
    for k, spot in enumerate(spots):
        close = crossed & (np.hypot(*(things[:, :2] - spot.centre).T) < spot.radius_mm + 60.0)
        close[k] = False
        others = things[np.flatnonzero(close)[:40]]
        few = len(spots) <= _MOST_LEADERS
        label = hole_label(spot, others, (kept, room), leader=few) or hole_label(spot, others, (room, kept), leader=few)
        items += label
        if not label:
            lost.append(spot.name)
    return items, lost


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
