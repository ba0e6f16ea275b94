"""What a layout shows beside the template's own lines: crosses, slits, labels, tape, folds, seams, distances to check."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import frame
from cutplan.drawing.model import Item, Stroke, Text
from cutplan.drawing.placer.ground import Ground
from cutplan.drawing.recorder import text_corners
from cutplan.findings import Finding
from cutplan.geometry.vector import Box, Point, box_of
from cutplan.templates.drawn.check_crosses import Check, check_crosses
from cutplan.templates.drawn.labels import READ_MM, arrows, hole_label, label_block
from cutplan.templates.drawn.pens import TAPE
from cutplan.templates.drawn.seam_notes import block_band, fold_note, seam_notes
from cutplan.templates.shapes.template import Spot, Template
from cutplan.templates.tiling.content import content_of, stroke_points
from cutplan.templates.tiling.layout import Layout
from cutplan.templates.tiling.registration import Registration, mark_items
from cutplan.texts import every, name, plural, say
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
    lang: str = "en",
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
    lang : str
        Language of what is written.
    """
    items: list[Item] = list(drawn)
    findings: list[Finding] = []
    for mark in marks:
        items += mark_items(mark, layout.seams[mark.seam])
    strokes = [s for p in layout.placed for s in p.template.lines]
    room = _room(layout, [*strokes, *(i for i in items if isinstance(i, Stroke))], items)
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
        written = _written(p.template, layout, room, next_check, lang)
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


def _written(template: Template, layout: Layout, room: Ground, next_check: int, lang: str) -> _Written:
    """Write on one template; what it takes is taken in ``room`` for the next ones, too."""
    kept = _kept_paper(template, room)
    if len(layout.placed) > 1 and template.whole:
        # its margin ends where its neighbours on the sheet begin
        kept.block_outside_box(content_of(template).box.grown(1.0))
    # crosses before any words, so that the distances are the same in every language
    inside = kept.copy()
    inside.block_outside(template.edge)
    crosses, checks = check_crosses(inside, next_check)
    items: list[Item] = list(crosses)
    for item in crosses:
        room.write(_item_box(item))
        kept.write(_item_box(item))
    labels, lost = _hole_labels(template.spots, kept, room)
    items += labels
    words, found = label_block(template, kept, room)
    items += words
    near = words[0].at if words and isinstance(words[0], Text) else template.edge.centroid
    local = kept.copy()
    local.block_outside_box(next((s.printed for s in layout.sheets if s.cell.holds(near)), room.box))
    signs, shown = arrows(template, (local, kept, room), near, lang)
    items += signs
    for other in items:
        if isinstance(other, Text):
            kept.block(_item_box(other).grown(_TAPE_OFF_TEXT_MM))
    items += _tape(template, kept, lang)
    for other in items:
        if isinstance(other, Text) or other.tag == "tape":
            room.block(_item_box(other))
    return _Written(items, list(checks), list(lost), not (found and shown))


def _item_box(item: Item) -> Box:
    return box_of(text_corners(item)).grown(0.5) if isinstance(item, Text) else _box(item)


def _kept_paper(template: Template, room: Ground) -> Ground:
    """What is free on the paper that stays when the template is used: inside its edge, or all of it; outside larger holes."""
    kept = room.copy()
    if not template.whole:
        kept.block_outside(template.edge)
    for spot in template.spots:
        if spot.contour is not None and (spot.radius_mm == 0.0 or spot.radius_mm > 4.0):
            kept.block_inside(spot.contour)
    return kept


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


def _room(layout: Layout, strokes: list[Stroke], items: list[Item]) -> Ground:
    """A raster with everything drawn so far, free only where a sheet prints."""
    whole = layout.sheets[0].printed
    for sheet in layout.sheets[1:]:
        whole = whole.joined(sheet.printed)
    room = Ground(whole, windows=tuple(s.printed for s in layout.sheets))
    room.block_all_but(sheet.printed.grown(-0.5 * room.cell_mm) for sheet in layout.sheets)
    points = stroke_points(strokes, 0.5 * room.cell_mm)
    room.block_points(points, 1.2)
    room.bar_points(points)
    for item in items:
        if isinstance(item, Text):
            wide = text_width(item.text, item.height_mm, item.bold) + 0.6
            tall = 0.8 * item.height_mm
            if item.angle_deg == 90.0:
                room.write(Box(item.at.x - tall, item.at.y - 0.3, item.at.x + 0.6, item.at.y + wide))
            else:
                room.write(Box(item.at.x - 0.3, item.at.y - 0.6, item.at.x + wide, item.at.y + tall))
        elif item.fill:
            room.block(_box(item))
    return room


def _box(stroke: Stroke) -> Box:
    box = stroke.segments[0].box
    for s in stroke.segments[1:]:
        box = box.joined(s.box)
    return box


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
