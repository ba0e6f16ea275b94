"""Templates that fit one sheet, several on each where they find room together."""

from __future__ import annotations

from math import pi

from cutplan.geometry.vector import Box, Point
from cutplan.templates.shapes.template import Template
from cutplan.templates.tiling.cells import Content
from cutplan.templates.tiling.content import smallest_box_angle
from cutplan.templates.tiling.layout import Layout, SheetPlace, place
from cutplan.templates.tiling.pack import Put, pack
from cutplan.templates.tiling.sheet import SheetForm, shortened

#: A template for one sheet: what must be on paper, the angle at which it fits, and the angles worth trying [rad].
Small = tuple[Template, Content, float, tuple[float, ...]]


def shared_sheets(
    small: list[Small], forms: tuple[SheetForm, ...], rooms: tuple[tuple[float, float], ...]
) -> list[Layout]:
    """Return one-sheet layouts, several templates on each where they fit; askew only where that saves a sheet.

    Parameters
    ----------
    small : list of (Template, Content, float, tuple of float)
        Templates for one sheet, each with the angle at which it fits and those worth trying [rad].
    forms, rooms : tuple
        Sheets in each orientation, and their room as (width, height) [mm].
    """
    if not small:
        return []
    asked = [angle for _, _, angle, _ in small]
    snug = [_snug_angle(content, angle, rooms, angles) for _, content, angle, angles in small]
    tries = [(angles, *_packed(small, angles, rooms)) for angles in ((asked, snug) if snug != asked else (asked,))]
    angles, puts, used = min(tries, key=lambda t: len(t[2]))
    turned = [content.turned(angle).box for (_, content, _, _), angle in zip(small, angles, strict=True)]
    layouts: list[Layout] = []
    for sheet, number in enumerate(used):
        placed = []
        reach = Box(0.0, 0.0, 1.0, 1.0)
        for put in sorted((p for p in puts if p.sheet == sheet), key=lambda p: p.index):
            template, content, _, _ = small[put.index]
            angle = angles[put.index] + (0.5 * pi if put.turned else 0.0)
            box = content.turned(angle).box if put.turned else turned[put.index]
            placed.append(place(template, angle, Point(put.x - box.xmin, put.y - box.ymin)))
            reach = reach.joined(Box(put.x, put.y, put.x + box.width, put.y + box.height))
        form = shortened(forms[number], reach.height)
        # the used part in the middle of the sheet
        x, y = 0.5 * (reach.width - form.live.width), 0.5 * (reach.height - form.live.height)
        window = Box(x, y, x + form.live.width, y + form.live.height)
        layouts.append(Layout(tuple(placed), (SheetPlace(0, 0, form, reach, window, window),), ()))
    return layouts


def _packed(
    small: list[Small], angles: list[float], rooms: tuple[tuple[float, float], ...]
) -> tuple[list[Put], list[int]]:
    boxes = [content.turned(angle).box for (_, content, _, _), angle in zip(small, angles, strict=True)]
    return pack([(b.width, b.height) for b in boxes], rooms)


def _snug_angle(
    content: Content, asked: float, rooms: tuple[tuple[float, float], ...], angles: tuple[float, ...]
) -> float:
    """The angle with the smallest box, if it fits a sheet either way; else the angle asked for [rad]."""
    snug = smallest_box_angle(content, angles)
    box = content.turned(snug).box
    w, h = box.width, box.height
    return snug if any((w <= a and h <= b) or (h <= a and w <= b) for a, b in rooms) else asked
