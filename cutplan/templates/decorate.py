"""What a layout shows beside the template's own lines: crosses, slits, labels, tape, folds, seams, diagonals."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, hypot

import numpy as np
from numpy.typing import NDArray

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import frame
from cutplan.drawing.model import Item, Stroke, Text, line
from cutplan.findings import Finding
from cutplan.geometry.flatten import flatten_array
from cutplan.geometry.segment import Line, circle
from cutplan.geometry.vector import Box, Point
from cutplan.templates.content import stroke_points
from cutplan.templates.labels import READ_MM, arrows, centre_cross, hole_label, label_block
from cutplan.templates.layout import Layout, Seam, long_enough
from cutplan.templates.pens import CROSS, FOLD, SLIT, TAPE, TRIM
from cutplan.templates.registration import MARK_MM, Registration, mark_items
from cutplan.templates.room import Room
from cutplan.templates.slits import slits
from cutplan.templates.template import Template

_Array = NDArray[np.float64]
#: Templates longer than this get marks where they may be folded, or cut and joined again [mm].
LONG_MM = 700.0
_FOLD_EVERY_MM = 500.0
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


def aids(layout: Layout) -> tuple[Stroke, ...]:
    """Return centre crosses, slits for the scissors and fold lines of a layout's templates."""
    return tuple(s for p in layout.placed for s in _crosses_slits_folds(p.template, layout.seams))


def decorate(
    layout: Layout, drawn: tuple[Stroke, ...], marks: tuple[Registration, ...], overlap_mm: float, prefix: str
) -> Decor:
    """Return all that is added to the templates of a layout.

    Parameters
    ----------
    layout : Layout
        Templates on their sheets.
    drawn : tuple of Stroke
        Crosses, slits and folds, from :func:`aids`.
    marks : tuple of Registration
        Registration marks of the seams.
    overlap_mm : float
        Overlap of neighbouring sheets [mm].
    prefix : str
        Letter that tells this layout's diagonals from others'.
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
        _seam_notes(seam, along, layout, room, by_sheet)
    for seam in layout.seams:
        _block_band(seam, 0.5 * overlap_mm + 0.5, room)
    for stroke in [i for i in items if isinstance(i, Stroke) and i.tag == "fold"]:
        items += _fold_note(stroke, room)
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
        signs, shown = arrows(p.template, (local, inside, room), near)
        items += signs
        if not (found and shown):
            findings.append(Finding("label-no-room", "note", "no room for all words and arrows of a template",
                                    p.template.name, "the title of its sheet names it; write the rest by hand"))
        spots = p.template.spots
        at = np.array([s.centre for s in spots]).reshape(-1, 2)
        for spot in spots:
            close = np.hypot(at[:, 0] - spot.centre.x, at[:, 1] - spot.centre.y) < spot.radius_mm + 60.0
            label = hole_label(spot, tuple(spots[k] for k in np.flatnonzero(close)[:40]), room)
            if label is None:
                lost.append(spot.name)
            else:
                items.append(label)
        items += _tape(p.template, room)
    if lost:
        findings.append(Finding("hole-label-no-room", "note", f"no room for {len(lost)} labels of holes or bends",
                                where=", ".join(lost[:8]) + (" ..." if len(lost) > 8 else ""),
                                fix="read their names in the job sheet"))
    return Decor(tuple(items), tuple(tuple(b) for b in by_sheet), diagonals, tuple(findings))


def _crosses_slits_folds(template: Template, seams: tuple[Seam, ...]) -> list[Stroke]:
    items = [
        centre_cross(s, free) for s, free in zip(template.spots, _free_round(template), strict=True) if s.cross
    ]
    edge = flatten_array(template.edge, 0.05)
    items += [line(a, b, SLIT, "slit") for a, b in slits(template, edge)]
    box = template.edge.box
    long_x = box.width >= box.height
    size = max(box.width, box.height)
    if size <= LONG_MM or template.kind == "wrap":
        return items
    pieces = ceil(size / _FOLD_EVERY_MM)
    start = box.xmin if long_x else box.ymin
    for k in range(1, pieces):
        at = _clear_of_spots(template, seams, start + size * k / pieces, long_x)
        for low, high in _spans(edge, at, long_x):
            a, b = (Point(at, low), Point(at, high)) if long_x else (Point(low, at), Point(high, at))
            items.append(line(a, b, FOLD, "fold"))
    return items


def _free_round(template: Template) -> list[float]:
    """Distance from each spot's centre to the edge of the nearest other hole [mm]."""
    spots = template.spots
    if len(spots) < 2:
        return [1e9] * len(spots)
    at = np.array([s.centre for s in spots])
    radius = np.array([s.radius_mm if s.cross else -1e9 for s in spots])
    free: list[float] = []
    for k in range(len(spots)):
        gap = np.hypot(at[:, 0] - at[k, 0], at[:, 1] - at[k, 1]) - radius
        gap[k] = 1e9
        free.append(float(gap.min()))
    return free


def _clear_of_spots(template: Template, seams: tuple[Seam, ...], at: float, along_x: bool) -> float:
    """The place nearest to ``at`` within 80 mm that meets no hole, pad or seam."""
    taken = [((s.centre.x if along_x else s.centre.y), max(s.clear_mm, s.radius_mm) + 1.0) for s in template.spots]
    taken += [(s.at, 15.0) for s in seams if s.upright == along_x]
    for step in range(81):
        for place in (at + step, at - step):
            if all(abs(place - c) > r for c, r in taken):
                return place
    return at


def _spans(edge: _Array, at: float, along_x: bool) -> list[tuple[float, float]]:
    """Where a straight line across the template lies inside its edge."""
    x, y = (edge[:, 0], edge[:, 1]) if along_x else (edge[:, 1], edge[:, 0])
    x1, y1 = np.roll(x, -1), np.roll(y, -1)
    crossing = (x > at) != (x1 > at)
    t = (at - x[crossing]) / (x1[crossing] - x[crossing])
    meets = np.sort(y[crossing] + t * (y1[crossing] - y[crossing]))
    return [(float(a), float(b)) for a, b in zip(meets[::2], meets[1::2], strict=False)]


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


def _block_band(seam: Seam, half_mm: float, room: Room) -> None:
    """Keep texts off the overlap, so that each is printed whole and once."""
    if seam.upright:
        room.block(Box(seam.at - half_mm, seam.low - half_mm, seam.at + half_mm, seam.high + half_mm))
    else:
        room.block(Box(seam.low - half_mm, seam.at - half_mm, seam.high + half_mm, seam.at + half_mm))


def _seam_notes(seam: Seam, marks: list[float], layout: Layout, room: Room, by_sheet: list[list[Item]]) -> None:
    """Trim line on both sheets; what to do written on the trimmed strip of one and on the flap of the other."""
    # the trim line is broken at the marks, which guide the scissors there
    stops = [seam.low, *(v for m in marks for v in (m - MARK_MM, m + MARK_MM)), seam.high]
    runs = tuple(Line(seam.point(a), seam.point(b)) for a, b in zip(stops[::2], stops[1::2], strict=True) if b > a)
    for index in (seam.under, seam.over):
        by_sheet[index].append(Stroke(runs, TRIM, tag="trim"))
    if not long_enough(seam):
        return
    under, over = layout.sheets[seam.under].name, layout.sheets[seam.over].name
    notes = ((seam.over, -1.0, (f"trim here, lay on {under}", "trim here")),
             (seam.under, 1.0, (f"{over} lies on top here", f"{over} on top")))
    for index, side, texts in notes:
        note = next((n for n in (_along(seam, side, t, room) for t in texts) if n is not None), None)
        if note is not None:
            by_sheet[index].append(note)


def _along(seam: Seam, side: float, words: str, room: Room, clear_mm: float = 1.2) -> Text | None:
    """A text along a seam on its near (-1) or far (+1) side, where nothing is drawn; the room is taken."""
    height = READ_MM
    wide, tall = text_width(words, height) + 2.0, 0.76 * height
    low = seam.low + 1.0
    middle = 0.5 * (seam.low + seam.high - wide)
    for step in range(int(max(0.0, seam.high - seam.low - wide)) // 2 + 1):
        for start in (middle + step, middle - step):
            if start < low or start + wide > seam.high - 1.0:
                continue
            near, far = sorted((seam.at + side * clear_mm, seam.at + side * (clear_mm + 0.3 + tall)))
            box = Box(near, start, far, start + wide) if seam.upright else Box(start, near, start + wide, far)
            if room.free(box):
                room.block(box)
                base = far - 0.1 if seam.upright else near + 0.1
                at = Point(base, start + 1.0) if seam.upright else Point(start + 1.0, base)
                return Text(words, at, height, angle_deg=90.0 if seam.upright else 0.0, tag="seam note")
    return None


def _fold_note(stroke: Stroke, room: Room) -> list[Item]:
    """What a fold line is for, written along it where there is room."""
    a, b = stroke.segments[0].start, stroke.segments[0].end
    upright = a.x == b.x
    low, high = sorted((a.y, b.y) if upright else (a.x, b.x))
    across = Seam(upright, a.x if upright else a.y, low, high, 0, 0)
    for words in ("fold here, or cut and rejoin", "fold or cut", "fold"):
        note = _along(across, -1.0, words, room, clear_mm=3.4)
        if note is not None:
            return [note]
    return []


def _targets(layout: Layout, room: Room, prefix: str) -> list[tuple[str, Point, tuple[Item, ...]]]:
    """Up to four small targets near the corners of the joined sheets, counter-clockwise from the lower left."""
    cells = [s.cell for s in layout.sheets]
    whole = cells[0]
    for c in cells[1:]:
        whole = whole.joined(c)
    corners = (Point(whole.xmin, whole.ymin), Point(whole.xmax, whole.ymin),
               Point(whole.xmax, whole.ymax), Point(whole.xmin, whole.ymax))
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


def _tape(template: Template, room: Room) -> list[Item]:
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
        items.append(Text("tape", Point(zone.centre.x, zone.centre.y - 0.3 * READ_MM), READ_MM, "middle",
                          colour="#555555", tag="label"))
    return items
