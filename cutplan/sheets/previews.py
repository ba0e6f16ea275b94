"""Pictures of each drawing, sized for a screen or a phone: plate, path, opening, weld order, heat, displaced shape."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from cutplan.drawing.model import Figure, Item, Page, Pen, Stroke, Text
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Box, Point
from cutplan.sheets.cut_map import path_map
from cutplan.sheets.localised import localised
from cutplan.sheets.opening_pages import overview, step_pictures
from cutplan.sheets.plate_drawing import plate_figure
from cutplan.sheets.results import Results
from cutplan.sheets.screen_figure import figure_page
from cutplan.sheets.template_page import map_picture
from cutplan.sheets.weld_map import weld_figure
from cutplan.sheets.weld_pages import chart_figure
from cutplan.tables.say import say
from cutplan.units import format_length
from cutplan.welding.figures import heat_figure, wait_figure

if TYPE_CHECKING:
    from cutplan.welding.result import ShapeAfter

#: Width of a preview on paper [mm]: at 110 dots per inch about 780 pixels.
WIDTH_MM = 180.0
#: The largest lift is drawn as this share of the part's longer side; view from the front and above.
_LIFT_SHARE, _TILT, _RISE, _TURN_RAD = 0.14, 0.55, 0.83, -0.5


def previews(results: Results) -> dict[str, Page]:
    """Return the pages to be turned into pictures, by their file names without ending.

    Trades that were not planned give none; opening steps are ``opening-01`` and so on.
    """
    job, lang = results.job, results.job.language
    results = localised(results, lang)
    found = {"plate": figure_page(plate_figure(job), WIDTH_MM)}
    tiles = map_picture(results, WIDTH_MM, 0.75 * WIDTH_MM)
    if tiles is not None:
        found["tiles"] = figure_page(tiles, WIDTH_MM, lang=lang)
    if results.cut is not None:
        found["path"] = figure_page(path_map(job, results.cut), WIDTH_MM, lang=lang)
    whole = overview(results)
    if whole is not None:
        found["opening"] = figure_page(whole, WIDTH_MM, lang=lang)
        for n, figure in enumerate(step_pictures(results), 1):
            found[f"opening-{n:02d}"] = figure_page(figure, 120.0, lang=lang)
    if results.weld is not None:
        found["weld-order"] = figure_page(weld_figure(job, results.weld), WIDTH_MM)
        if results.weld.keep_away:
            found["weld-heat"] = figure_page(heat_figure(job, results.weld, WIDTH_MM), WIDTH_MM, lang=lang)
        found["weld-waits"] = figure_page(wait_figure(results.weld, WIDTH_MM), WIDTH_MM, lang=lang)
        if results.weld.orders:
            limit = min((p.flatness_mm for p in job.pads), default=0.0)
            words = say("weld.chart_limit", lang, limit=format_length(limit, job.display, 2))
            found["weld-compared"] = figure_page(chart_figure(results, say("weld.chart_axis", lang), words), WIDTH_MM)
        if results.weld.shape is not None:
            found["displaced"] = figure_page(shape_figure(results.weld.shape, lang), WIDTH_MM)
    return found


def shape_figure(shape: ShapeAfter, lang: str = "en") -> Figure:
    """Return the shape after the last step, seen from the front and above, with the exaggeration written under it."""
    points, lift = shape.points - 0.5 * (shape.points.min(axis=0) + shape.points.max(axis=0)), shape.lift_mm[-1]
    most = max(float(np.abs(lift).max()), 1e-9)
    size = float(np.ptp(points, axis=0).max())
    times = float(f"{_LIFT_SHARE * size / most:.2g}")
    c, s = np.cos(_TURN_RAD), np.sin(_TURN_RAD)
    across = points[:, 0] * c - points[:, 1] * s
    back = points[:, 0] * s + points[:, 1] * c
    up = back * _TILT + lift * times * _RISE
    corners = shape.triangles
    order = np.argsort(-back[corners].mean(axis=1), kind="stable")
    height = lift[corners].mean(axis=1) / most
    items: list[Item] = []
    for k in order:
        a, b, e = (Point(round(float(across[i]), 2), round(float(up[i]), 2)) for i in corners[k])
        pen = Pen(0.06, "#6a6a6a" if shape.is_plate[corners[k][0]] else "#b0b0b0")
        sides = (Line(a, b), Line(b, e), Line(e, a))
        items.append(Stroke(sides, pen, _shade(float(height[k])), closed=True, tag="shape"))
    box = Box(float(across.min()), float(up.min()), float(across.max()), float(up.max()))
    words = say("picture.shape", lang, times=f"{times:.0f}", most=f"{most:.2f}")
    low = Point(box.centre.x, box.ymin - 0.05 * size)
    items.append(Text(words, low, 4.2, "middle", tag="caption"))
    return Figure(tuple(items), Box(box.xmin, box.ymin - 0.07 * size, box.xmax, box.ymax))


def _shade(height: float) -> str:
    """Down is blue, flat is white, up is orange; both darker with size."""
    end = (214, 110, 10) if height >= 0.0 else (30, 90, 160)
    share = min(abs(height), 1.0)
    return "#" + "".join(f"{round(250 + (v - 250) * share):02x}" for v in end)
