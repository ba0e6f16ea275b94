"""Pictures of the templates for the map sheet and the job sheet: which sheet goes where."""

from __future__ import annotations

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import frame
from cutplan.drawing.model import Figure, Item, Pen, Stroke, Text, Tie, centred, line, moved
from cutplan.geometry.vector import Box, Point
from cutplan.templates.result import Joined, TemplateSet
from cutplan.texts.by_id import told

_SHEET = Pen(0.35, "#666666", (3.0, 1.2))
_NAME_MM = 4.2
#: Paper round a layout for the ends of its diagonals [mm].
_EDGE_MM = 3.5
#: Share of a sheet's width that its name may take, so that it finds room off the lines in it, and its least size [mm].
_SHARE, _READ_MM = 0.65, 3.6
_DIAGONAL = Pen(0.15, "#888888", (1.0, 1.0))
_PENS = {"cut": Pen(0.6), "hole": Pen(0.2), "bend": Pen(0.2), "trace": Pen(0.1, "#888888")}


def map_figure(templates: TemplateSet, width_mm: float = 180.0, height_mm: float = 120.0) -> Figure:
    """Return the map of all sheets: template lines, sheets with name and page, diagonals; one layout beside the other.

    Parameters
    ----------
    templates : TemplateSet
        The planned templates.
    width_mm, height_mm : float
        Room on paper that the map will get [mm]; decides arrangement and text sizes.
    """
    scale = 1.0
    for _ in range(3):
        boxes = [_extent(j, scale) for j in templates.joined]
        shifts, box = _arranged(boxes, width_mm / height_mm)
        scale = min(width_mm / box.width, height_mm / box.height)
    items: list[Item] = []
    for j, shift in zip(templates.joined, shifts, strict=True):
        items += [moved(i, 1.0, shift.x, shift.y) for i in _pictured(j, scale, templates.language)]
    for j, b, shift in zip(templates.joined, boxes, shifts, strict=True):
        room, title = b.width * scale - _EDGE_MM, j.layout.title
        single = len(j.layout.sheets) == 1
        for key in ("paper.map.alone", "paper.map.alone.short") if single else ("",):
            name = told(key, templates.language, page=j.first_page, title=title) if key else title
            height = min(_NAME_MM, _NAME_MM * room / text_width(name, _NAME_MM, True))
            if height >= _READ_MM:
                break
        top = Point(b.xmin + _EDGE_MM / scale + shift.x, b.ymax + shift.y - _NAME_MM / scale)
        items.append(Text(name, top, max(height, 2.5), bold=True, tag="map name"))
    return Figure(tuple(items), box)


def _extent(joined: Joined, scale: float) -> Box:
    """What a layout takes on the map, with paper's room for its name above and the diagonals' ends round it."""
    sheets = joined.layout.sheets
    box = sheets[0].window if len(sheets) == 1 else sheets[0].cell
    for s in sheets[1:]:
        box = box.joined(s.cell)
    for d in joined.checks:
        box = box.joined(Box(d.a.x, d.a.y, d.a.x, d.a.y)).joined(Box(d.b.x, d.b.y, d.b.x, d.b.y))
    edge = _EDGE_MM / scale
    return Box(box.xmin - edge, box.ymin - edge, box.xmax + edge, box.ymax + edge + (_NAME_MM + 1.0) / scale)


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


def _pictured(joined: Joined, scale: float, lang: str) -> list[Item]:
    layout = joined.layout
    items: list[Item] = []
    for place in layout.placed:
        for stroke in place.template.lines:
            kind = stroke.tag.split(" ")[0]
            if kind in _PENS:
                items.append(Stroke(stroke.segments, _PENS[kind], "", stroke.closed, f"map {kind}"))
    items += [line(d.a, d.b, _DIAGONAL, "check") for d in joined.checks]
    single = len(layout.sheets) == 1
    items += [frame(s.window if single else s.cell, _SHEET, "sheet") for s in layout.sheets]
    # the lines on a sheet alone leave its name no room: the title over it tells its number
    labels: list[Item] = [] if single else _names(joined, scale, lang)
    crosses = {name: at for d in joined.checks for name, at in ((d.start, d.a), (d.end, d.b))}
    # the paper itself names every cross: on a small map the sheet's name is worth more
    labels += [
        Text(name, at, 3.2, "middle", tag="map check", patch="#ffffff", tie=Tie(at, home=True, optional=True))
        for name, at in crosses.items()
    ]
    return [*items, *labels]


def _names(joined: Joined, scale: float, lang: str) -> list[Item]:
    """The names of sheets, each in its own, all of one size: what the narrowest allows."""
    sheets = joined.layout.sheets
    words: list[str] = []
    for key in ("paper.map.named", "paper.map.short", "paper.map.least"):
        words = [told(key, lang, name=s.name, page=joined.first_page + k) for k, s in enumerate(sheets)]
        height = min(
            _NAME_MM * _SHARE * s.cell.width * scale / text_width(w, _NAME_MM, True)
            for s, w in zip(sheets, words, strict=True)
        )
        if height >= _READ_MM:
            break
    height = max(min(height, _NAME_MM), 1.5)
    return [
        centred(w, s.cell.centre, height, bold=True, tag="sheet name", patch="#ffffff")
        for s, w in zip(sheets, words, strict=True)
    ]
