"""Colour maps where people would rather look than read: how far plate and skin stand out of plane, how hot the metal gets.

Both scales are told apart by every kind of eye: out of plane from violet over white to orange, heat from black to yellow.
The same plan gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import filled, frame
from cutplan.drawing.model import Item, Page, Pen, Stroke, Text, line, tied
from cutplan.drawing.png import dots_in, render_png
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Box, Point
from cutplan.report.welding.colour_dots import coloured, on_grid, on_triangles, scale
from cutplan.report.welding.colour_fields import HeatField, heat_field, lift_rows
from cutplan.report.welding.colour_panel import DARK, SMALL_MM, WORDS_MM, Panel, drawn_panel, round_step, unit_mm
from cutplan.sheets.results import Results
from cutplan.texts import Message, Reader, mm, number, say

if TYPE_CHECKING:
    from cutplan.welding.result import ShapeAfter, WeldPlan

#: Width of a panel, of one that stands alone, and of the bar with its words [mm]; resolution [dots per inch].
_PANEL, _ALONE, _BAR, _DPI = 104.0, 157.0, 28.0, 110.0
#: Room above and below a panel, and least and most height of a picture [mm].
_WORDS, _TALL = 24.0, (66.0, 178.0)
#: Pens of a pad's cross: a pale seam under a dark line is seen on every colour.
_CROSS = Pen(1.2, "#ffffff"), Pen(0.5, DARK)
#: Room left of the panels, under and over them, between two, left of the bar and over and under it; width of the bar [mm].
_LEFT, _UNDER, _OVER, _GAP, _BESIDE, _END, _BROAD = 12.7, 14.0, 10.0, 5.6, 3.6, 5.0, 4.4
#: Colours from side to side and from cold to hot, each at its share of the scale; steps on each side of flat.
_SIDES = ((0.0, "#3a1065"), (0.25, "#8d83bd"), (0.5, "#f7f7f6"), (0.75, "#f0a94a"), (1.0, "#7a3a06"))
_HOT = ((0.0, "#06040f"), (0.2, "#3f1066"), (0.45, "#a3305f"), (0.7, "#ec6a2a"), (0.87, "#f8c33a"), (1.0, "#fdfdb8"))
_STEPS = 6
#: Temperatures at which the colour changes [degC]; how many of them are told on the picture.
_LEVELS_C, _TOLD = (50.0, 80.0, 120.0, 200.0, 300.0, 450.0, 600.0, 800.0), 4


def colour_maps(results: Results) -> dict[str, bytes]:
    """Return the colour maps of a job as PNG files by name without ending; none for a job without a weld plan.

    Parameters
    ----------
    results : Results
        Job and plans; words in the job's language, lengths in its units.
    """
    found: dict[str, bytes] = {}
    plan, reader = results.weld, Reader(results.job.shown.language, results.job.shown.display)
    if plan is None:
        return found
    shape = plan.order.shape
    if shape is not None:
        found["displaced-map"] = results.kept("displaced map", lambda: _lift_png(results, shape, reader), "weld")
    found["heat-map"] = results.kept("heat map", lambda: _heat_png(results, plan, reader), "weld")
    return found


def caption(name: str) -> Message:
    """Return what a colour map shows, and where its band stands."""
    if name == "displaced-map":
        return say(
            "Out of plane, middle of what the order model expects: up is orange, down is violet, flat is white; how far it may be off stands with the orders"
        )
    return say(
        "Hottest that the metal gets in the course of the plan at middle settings, losses to the air left out; keep the distances of the table, which carry their band"
    )


def _lift_png(results: Results, shape: ShapeAfter, reader: Reader) -> bytes:
    rows, unit = lift_rows(shape), unit_mm(reader)
    lifts = shape.lift_mm[[row for _, row in rows]]
    step = unit * round_step(max(float(np.abs(lifts).max()), 1e-6) / unit / _STEPS)
    count = int(np.ceil(float(np.abs(lifts).max()) / step - 0.5 - 1e-9))  # what is flat within half a step is white
    colours = scale(_SIDES, 2 * max(count, 1) + 1)
    colours = colours if count else colours[1:2]
    (x0, y0), (x1, y1) = shape.points.min(axis=0), shape.points.max(axis=0)
    page, panels = _page(Box(float(x0), float(y0), float(x1), float(y1)), len(rows), _PANEL)
    shown = panels[0].field
    values = on_triangles(shape.points, shape.triangles, lifts, shown, dots_in(panels[0].on_page, _DPI))
    levels = (step * (np.arange(-count, count) + 0.5)).tolist()
    under = [(p.on_page, coloured(v, levels, colours)) for p, v in zip(panels, values, strict=True)]
    items: list[Item] = []
    for k, (panel, (title, _), lift) in enumerate(zip(panels, rows, lifts, strict=True)):
        high = Message("{most}", (("most", mm(float(np.abs(lift).max()), 2)),))
        below = f"[{reader.units}]   {reader(say('largest'))}: {reader(high)}"
        items += drawn_panel(panel, results, reader, reader(title), below, _pads(panel, results), numbered=k == 0)
    digits = next(d for d in range(12) if abs(round(step / unit, d) * unit - step) < 1e-6 * step)
    told = [((k + count + 0.5) / len(colours), f"{k * step / unit:.{digits}f}") for k in range(-count, count + 1)]
    items += _bar(page, colours, told, f"{reader(say('out of plane'))} [{reader.units}]")
    return render_png(Page(page.width, page.height, tuple(items)), _DPI, under=under)


def _heat_png(results: Results, plan: WeldPlan, reader: Reader) -> bytes:
    field = heat_field(results.job, plan)
    levels = _heat_levels(field)
    colours = scale(_HOT, len(levels))
    shown = Box(*(float(v) for v in (field.x_mm[0], field.y_mm[0], field.x_mm[-1], field.y_mm[-1])))
    page, (panel,) = _page(shown, 1, _ALONE)
    values = on_grid(field.peak_C, dots_in(panel.on_page, _DPI))
    under = [(panel.on_page, coloured(values, levels[1:], colours, line="#ffffff"))]
    middle = reader(say("middle of the plate: {hot}", hot=number(field.insert_C, "degC", 0)))
    title = reader(say("hottest in the course of welding"))
    items = list(drawn_panel(panel, results, reader, title, f"[{reader.units}]   {middle}"))
    items += _told_on(panel, field, levels, colours)
    told = [(k / len(levels), f"{v:g}") for k, v in enumerate(levels)]
    items += _bar(page, colours, told, f"{reader(say('highest temperature'))} [°C]", endless=True)
    return render_png(Page(page.width, page.height, tuple(items)), _DPI, under=under)


def _page(field: Box, count: int, wide: float) -> tuple[Box, list[Panel]]:
    """The page of a map and its panels side by side: together so wide at most [mm], in the field's own shape."""
    wide, tall = wide * count, wide * field.height / field.width
    page = Box(0.0, 0.0, wide + _BAR, min(max(tall + _WORDS, _TALL[0]), _TALL[1]))
    each = (wide - _LEFT - _GAP * (count - 1)) / count
    rooms = [
        Box(_LEFT + k * (each + _GAP), _UNDER, _LEFT + k * (each + _GAP) + each, page.height - _OVER)
        for k in range(count)
    ]
    return page, [Panel.fitted(field, room) for room in rooms]


def _heat_levels(field: HeatField) -> list[float]:
    """From the room's temperature up; a step that nothing reaches is left out."""
    return [field.ambient_C, *(v for v in _LEVELS_C if v > field.ambient_C + 5.0)]


def _pads(panel: Panel, results: Results) -> list[Item]:
    """A cross at each pad, and its name beside it."""
    found: list[Item] = []
    for pad in results.job.pads:
        at, arms = panel.at(pad.centre), (Point(1.6, 0.0), Point(0.0, 1.6))
        found += [line(at.minus(arm), at.plus(arm), pen, "pad") for pen in _CROSS for arm in arms]
        found.append(tied(pad.name, at, SMALL_MM, radius_mm=1.6, colour=DARK, patch="#ffffff"))
    return found


def _told_on(panel: Panel, field: HeatField, levels: Sequence[float], colours: Sequence[str]) -> list[Item]:
    """The lines of some temperatures told below the plate, in its middle, where they lie clear of each other."""
    column = field.peak_C[:, len(field.x_mm) // 2]
    found: list[Item] = []
    last = panel.on_page.ymin
    for k in range(1, min(_TOLD + 1, len(levels))):
        hot = np.flatnonzero(column >= levels[k])
        if not len(hot) or hot[0] == 0:
            continue
        low, high = column[hot[0] - 1], column[hot[0]]
        share = float((levels[k] - low) / (high - low))
        y = float(field.y_mm[hot[0] - 1] + share * (field.y_mm[hot[0]] - field.y_mm[hot[0] - 1]))
        at = panel.at(Point(0.5 * (panel.field.xmin + panel.field.xmax), y))
        if at.y - last < SMALL_MM:
            continue
        text = Text(f"{levels[k]:g} °C", Point(at.x, at.y - 0.36 * SMALL_MM), SMALL_MM, "middle", colour="#ffffff")
        found += [filled(Box(at.x - 6.5, at.y - 0.5 * SMALL_MM, at.x + 6.5, at.y + 0.5 * SMALL_MM), colours[k]), text]
        last = at.y
    return found


def _bar(
    page: Box, colours: Sequence[str], told: Sequence[tuple[float, str]], words: str, endless: bool = False
) -> list[Item]:
    """The steps of a scale one on the other, with numbers at their shares of its height, and what it is of."""
    left = page.width - _BAR + _BESIDE
    bar = Box(left, _END, left + _BROAD, page.height - _END - (1.2 * _BROAD if endless else 0.0))
    high = bar.height / len(colours)
    found: list[Item] = []
    for k, colour in enumerate(colours):
        low = bar.ymin + k * high
        if endless and k == len(colours) - 1:  # nothing ends it
            tip = Point(bar.centre.x, page.height - _END)
            corners = (
                Point(bar.xmin, low),
                Point(bar.xmax, low),
                Point(bar.xmax, bar.ymax),
                tip,
                Point(bar.xmin, bar.ymax),
            )
            sides = tuple(Line(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True))
            found.append(Stroke(sides, Pen(0.2), colour, closed=True))
        else:
            found.append(filled(Box(bar.xmin, low, bar.xmax, low + high), colour))
    found.append(
        frame(bar, Pen(0.2)) if not endless else frame(Box(bar.xmin, bar.ymin, bar.xmax, bar.ymax - high), Pen(0.2))
    )
    for share, text in told:
        y = bar.ymin + share * bar.height
        found.append(line((bar.xmax, y), (bar.xmax + 1.0, y), Pen(0.2)))
        found.append(Text(text, Point(bar.xmax + 1.6, y - 0.36 * WORDS_MM), WORDS_MM))
    beside = bar.xmax + 3.0 + max(text_width(text, WORDS_MM) for _, text in told) + WORDS_MM
    found.append(Text(words, Point(beside, page.centre.y), WORDS_MM, "middle", 90.0))
    return found
