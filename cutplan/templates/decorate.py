"""What a layout shows beside the template's own lines: crosses, slits, labels, tape, folds, seams, diagonals."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import NDArray

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import frame
from cutplan.drawing.model import Item, Stroke, Text, line
from cutplan.findings import Finding
from cutplan.geometry.segment import circle
from cutplan.geometry.vector import Box, Point
from cutplan.templates.content import stroke_points
from cutplan.templates.labels import READ_MM, arrows, hole_label, label_block
from cutplan.templates.layout import Layout
from cutplan.templates.pens import CROSS, TAPE
from cutplan.templates.registration import Registration, mark_items
from cutplan.templates.room import Room
from cutplan.templates.seam_notes import block_band, fold_note, seam_notes
from cutplan.templates.template import Template
from cutplan.texts.by_id import told

_Array = NDArray[np.float64]
#: Size of a zone for double-sided tape, and its distance from every line [mm].
_TAPE_MM = (26.0, 11.0)
_TAPE_CLEAR_MM = 6.0


@dataclass(frozen=True, slots=True)
class Diagonal:
    """A distance to measure on the joined sheets: between two printed targets [mm]."""

    start: str
    end: str
    a: Point
    b: Point

    @property
    def length_mm(self) -> float:
        return self.a.distance(self.b)


@dataclass(frozen=True, slots=True)
class Decor:
    """Items in layout coordinates, items for single sheets, the diagonals and what found no room."""

    items: tuple[Item, ...]
    by_sheet: tuple[tuple[Item, ...], ...]
    diagonals: tuple[Diagonal, ...]
    findings: tuple[Finding, ...]


def decorate(
    layout: Layout,
    drawn: tuple[Stroke, ...],
    marks: tuple[Registration, ...],
    overlap_mm: float,
    prefix: str,
    lang: str = "en",
) -> Decor:
    """Return all that is added to the templates of a layout.

    Parameters
    ----------
    layout : Layout
        Templates on their sheets.
    drawn : tuple of Stroke
        Crosses, slits and folds, from :func:`cutplan.templates.aids.aids`.
    marks : tuple of Registration
        Registration marks of the seams.
    overlap_mm : float
        Overlap of neighbouring sheets [mm].
    prefix : str
        Letter that tells this layout's diagonals from others'.
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
    diagonals: tuple[Diagonal, ...] = ()
    if len(layout.sheets) > 1:
        targets = _targets(layout, room, prefix)
        items += [i for t in targets for i in t[2]]
        diagonals = _pairs([(name, at) for name, at, _ in targets])
    lost: list[str] = []
    for p in layout.placed:
        inside = room.copy()
        inside.block_outside(p.template.edge)
        for spot in p.template.spots:
            if spot.contour is not None and spot.radius_mm != 0.0 and spot.radius_mm > 4.0:
                inside.block_inside(spot.contour)
        words, found = label_block(p.template, inside, room)
        items += words
        near = words[0].at if words and isinstance(words[0], Text) else p.template.edge.centroid
        local = inside.copy()
        local.block_outside_box(next((s.printed for s in layout.sheets if s.cell.holds(near)), room.box))
        signs, shown = arrows(p.template, (local, inside, room), near, lang)
        items += signs
        if not (found and shown):
            findings.append(
                Finding(
                    "label-no-room",
                    "note",
                    "no room for all words and arrows of a template",
                    p.template.name,
                    "the title of its sheet names it; write the rest by hand",
                )
            )
        spots = p.template.spots
        at = np.array([s.centre for s in spots]).reshape(-1, 2)
        for spot in spots:
            close = np.hypot(at[:, 0] - spot.centre.x, at[:, 1] - spot.centre.y) < spot.radius_mm + 60.0
            label = hole_label(spot, tuple(spots[k] for k in np.flatnonzero(close)[:40]), room)
            if label is None:
                lost.append(spot.name)
            else:
                items.append(label)
        items += _tape(p.template, room, lang)
    if lost:
        findings.append(
            Finding(
                "hole-label-no-room",
                "note",
                f"no room for {len(lost)} labels of holes or bends",
                where=", ".join(lost[:8]) + (" ..." if len(lost) > 8 else ""),
                fix="read their names in the job sheet",
            )
        )
    return Decor(tuple(items), tuple(tuple(b) for b in by_sheet), diagonals, tuple(findings))


def _room(layout: Layout, strokes: list[Stroke], items: list[Item]) -> Room:
    """A raster with everything drawn so far, free only where a sheet prints."""
    whole = layout.sheets[0].printed
    for sheet in layout.sheets[1:]:
        whole = whole.joined(sheet.printed)
    room = Room(whole)
    room.taken[:] = True
    for sheet in layout.sheets:
        rows, columns = room.slices(sheet.printed.grown(-0.5 * room.cell_mm))
        room.taken[rows, columns] = False
    room.block_points(stroke_points(strokes, 0.5 * room.cell_mm), 1.2)
    for item in items:
        if isinstance(item, Text):
            wide = text_width(item.text, item.height_mm, item.bold) + 0.6
            tall = 0.8 * item.height_mm
            if item.angle_deg == 90.0:
                room.block(Box(item.at.x - tall, item.at.y - 0.3, item.at.x + 0.6, item.at.y + wide))
            else:
                room.block(Box(item.at.x - 0.3, item.at.y - 0.6, item.at.x + wide, item.at.y + tall))
        elif item.fill:
            room.block(_box(item))
    return room


def _box(stroke: Stroke) -> Box:
    box = stroke.segments[0].box
    for s in stroke.segments[1:]:
        box = box.joined(s.box)
    return box


def _targets(layout: Layout, room: Room, prefix: str) -> list[tuple[str, Point, tuple[Item, ...]]]:
    """Up to four small targets near the corners of the joined sheets, counter-clockwise from the lower left."""
    cells = [s.cell for s in layout.sheets]
    whole = cells[0]
    for c in cells[1:]:
        whole = whole.joined(c)
    corners = (
        Point(whole.xmin, whole.ymin),
        Point(whole.xmax, whole.ymin),
        Point(whole.xmax, whole.ymax),
        Point(whole.xmin, whole.ymax),
    )
    made: list[tuple[str, Point, tuple[Item, ...]]] = []
    for k, corner in enumerate(corners):
        name = f"{prefix}{k + 1}"
        wide = 9.0 + text_width(name, READ_MM, True)
        box = room.nearest(wide, 8.0, corner)
        if box is None:
            continue
        room.block(box)
        at = Point(box.xmin + 3.8, box.centre.y)
        cross = (
            line((at.x - 3.4, at.y), (at.x + 3.4, at.y), CROSS, "diagonal"),
            line((at.x, at.y - 3.4), (at.x, at.y + 3.4), CROSS, "diagonal"),
            Stroke((circle(at, 1.5),), CROSS, closed=True, tag="diagonal"),
            Text(name, Point(at.x + 4.4, at.y - 0.36 * READ_MM), READ_MM, bold=True, tag="label"),
        )
        made.append((name, at, cross))
    return made


def _pairs(targets: list[tuple[str, Point]]) -> tuple[Diagonal, ...]:
    """The two diagonals of four targets, or the longest distance of fewer."""
    if len(targets) == 4:
        return tuple(Diagonal(targets[i][0], targets[i + 2][0], targets[i][1], targets[i + 2][1]) for i in (0, 1))
    pairs = [Diagonal(a[0], b[0], a[1], b[1]) for i, a in enumerate(targets) for b in targets[i + 1 :]]
    return (max(pairs, key=lambda d: d.length_mm),) if pairs else ()


def _tape(template: Template, room: Room, lang: str) -> list[Item]:
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
