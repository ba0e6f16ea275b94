"""Which paper is free for words: what the sheets print, what one template owns of it, what of that is kept when it is used."""

from __future__ import annotations

from cutplan.drawing.font import text_width
from cutplan.drawing.model import Item, Stroke, Text
from cutplan.drawing.placer.ground import Ground
from cutplan.drawing.recorder import text_corners
from cutplan.geometry.vector import Box, box_of
from cutplan.templates.shapes.template import Template
from cutplan.templates.tiling.content import content_of, stroke_points
from cutplan.templates.tiling.layout import Layout

#: Words this far outside the lines of a template whose paper is kept whole still stand at it [mm].
_HOME_MM = 8.0


def whole_room(layout: Layout, strokes: list[Stroke], items: list[Item]) -> Ground:
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


def own_room(template: Template, layout: Layout, shared: Ground) -> Ground:
    """What is free for one of several templates that share a sheet: a word beside another one would be taken for its."""
    room = shared.copy()
    own = content_of(template).box
    for other in (p.template for p in layout.placed if p.template is not template):
        box = content_of(other).box
        if _overlap(own, box):
            room.block_inside(other.edge)
        else:
            room.block(box.grown(1.0))
    return room


def kept_paper(template: Template, room: Ground) -> Ground:
    """What is free on the paper that stays when the template is used: inside its edge, or all of it; outside larger holes."""
    kept = room.copy()
    if not template.whole:
        kept.block_outside(template.edge)
    for spot in template.spots:
        if spot.contour is not None and (spot.radius_mm == 0.0 or spot.radius_mm > 4.0):
            kept.block_inside(spot.contour)
    return kept


def at_home(template: Template, kept: Ground) -> Ground:
    """What of the kept paper lies at the template's own lines: where its words cannot be taken for those of another."""
    home = kept.copy()
    if template.whole:
        home.block_outside_box(content_of(template).box.grown(_HOME_MM))
    return home


def item_box(item: Item) -> Box:
    """Return the box of an item [mm], of a text with its air."""
    return box_of(text_corners(item)).grown(0.5) if isinstance(item, Text) else _box(item)


def _overlap(a: Box, b: Box) -> bool:
    return a.xmin < b.xmax and b.xmin < a.xmax and a.ymin < b.ymax and b.ymin < a.ymax


def _box(stroke: Stroke) -> Box:
    box = stroke.segments[0].box
    for s in stroke.segments[1:]:
        box = box.joined(s.box)
    return box
