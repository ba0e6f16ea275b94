"""Pictures of the templates for the map sheet and the job sheet: which sheet goes where."""

from __future__ import annotations

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import frame
from cutplan.drawing.model import Figure, Item, Pen, Stroke, Text, line, moved
from cutplan.geometry.vector import Box, Point
from cutplan.templates.result import Joined, TemplateSet

_SHEET = Pen(0.35, "#666666", (3.0, 1.2))
_DIAGONAL = Pen(0.15, "#888888", (1.0, 1.0))
_PENS = {"cut": Pen(0.6), "hole": Pen(0.2), "bend": Pen(0.2), "datum": Pen(0.2), "trace": Pen(0.2)}


def map_figure(templates: TemplateSet, width_mm: float = 180.0, height_mm: float = 120.0) -> Figure:
    """Return the map of all sheets: template lines, sheets with name and page, diagonals; one layout beside the other.

    Parameters
    ----------
    templates : TemplateSet
        The planned templates.
    width_mm, height_mm : float
        Room on paper that the map will get [mm]; decides arrangement and text sizes.
    """
    boxes = [_extent(j) for j in templates.joined]
    shifts, box = _arranged(boxes, width_mm / height_mm)
    scale = min(width_mm / box.width, height_mm / box.height)
    items: list[Item] = []
    for j, shift in zip(templates.joined, shifts, strict=True):
        items += [moved(i, 1.0, shift.x, shift.y) for i in _pictured(j, scale)]
    return Figure(tuple(items), box)


def _extent(joined: Joined) -> Box:
    sheets = joined.layout.sheets
    box = sheets[0].window if len(sheets) == 1 else sheets[0].cell
    for s in sheets[1:]:
        box = box.joined(s.cell)
    return box


def _arranged(boxes: list[Box], shape: float) -> tuple[list[Point], Box]:
    """Shifts that put boxes in rows, with as many to a row as fills the room best; and the box around all."""
    best: tuple[float, list[Point], Box] | None = None
    for per_row in range(1, len(boxes) + 1):
        shifts: list[Point] = []
        top = right = 0.0
        for k in range(0, len(boxes), per_row):
            row = boxes[k : k + per_row]
            tall = max(b.height for b in row)
            x = 0.0
            for b in row:
                shifts.append(Point(x - b.xmin, top - tall - b.ymin))
                x += b.width + 0.12 * tall
            right, top = max(right, x - 0.12 * tall), top - 1.08 * tall
        box = Box(0.0, top, right, 0.0)
        loss = max(box.width / shape, box.height)
        if best is None or loss < best[0] - 1e-9:
            best = (loss, shifts, box)
    assert best is not None, "a set has at least one layout"
    return best[1], best[2]


def _pictured(joined: Joined, scale: float) -> list[Item]:
    layout = joined.layout
    items: list[Item] = []
    for place in layout.placed:
        for stroke in place.template.lines:
            kind = stroke.tag.split(" ")[0]
            if kind in _PENS:
                items.append(Stroke(stroke.segments, _PENS[kind], "", stroke.closed, f"map {kind}"))
    for d in joined.diagonals:
        items.append(line(d.a, d.b, _DIAGONAL, "diagonal"))
        for name, at in ((d.start, d.a), (d.end, d.b)):
            items.append(Text(name, at, 3.2, "middle", tag="map diagonal"))
    for k, sheet in enumerate(layout.sheets):
        area = sheet.window if len(layout.sheets) == 1 else sheet.cell
        items.append(frame(area, _SHEET, "sheet"))
        page = f"page {joined.first_page + k}"
        name = page if len(layout.sheets) == 1 else f"{sheet.name}, {page}"
        room = min(0.9 * area.width * scale, 60.0)
        for words in (name, name.replace("page ", ""), sheet.name):
            height = min(4.6, 4.6 * room / text_width(words, 4.6, True))
            if height >= 3.2:
                break
        items.append(Text(words, area.centre, max(height, 2.0), "middle", bold=True, tag="sheet name"))
    return items
