"""Pictures of each drawing, sized for a screen or a phone: plate, path, opening, weld order, heat, displaced shape."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from cutplan.drawing.model import Figure, Item, Page, Pen, Stroke, Text
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Box, Point
from cutplan.report.figure import ON_SCREEN_MM, TEXT_MM, figure_page
from cutplan.report.pages import (
    beads_page,
    overview_page,
    path_page,
    plate_page,
    step_pages,
    tiles_page,
    waits_page,
)
from cutplan.report.welding.mesh import screen_mesh
from cutplan.sheets.localised import localised
from cutplan.sheets.results import Results
from cutplan.sheets.welding.heat_page import heat_with_key
from cutplan.sheets.welding.weld_pages import chart_figure
from cutplan.texts import ENGLISH, Reader, mm
from cutplan.texts.by_id import told
from cutplan.units import format_length

if TYPE_CHECKING:
    from cutplan.welding.result import ShapeAfter

#: Dots per inch at which a preview is about 780 pixels wide.
PREVIEW_DPI = 147
#: The largest lift is drawn as this share of the part's longer side; view from the front and above.
_LIFT_SHARE, _TILT, _RISE, _TURN_RAD = 0.14, 0.55, 0.83, -0.5


def previews(results: Results) -> dict[str, Page]:
    """Return the pages to be turned into pictures, by their file names without ending.

    Trades that were not planned give none; opening steps are ``opening-01`` and so on.
    """
    return tile_previews(results) | plan_previews(results)


def tile_previews(results: Results) -> dict[str, Page]:
    """Return the picture that depends on the paper."""
    lang = results.job.shown.language
    return {"tiles": tiles_page(localised(results, lang), lang)} if results.templates is not None else {}


def plan_previews(results: Results) -> dict[str, Page]:
    """Return the pictures that do not depend on paper and templates."""
    job, lang = results.job, results.job.shown.language
    results = localised(results, lang)
    found = {"plate": plate_page(results, lang)}
    if results.cut is not None:
        found["path"] = path_page(results, results.cut, lang)
    if results.opening is not None:
        found["opening"] = overview_page(results, lang)
        for n, page in enumerate(step_pages(results, results.opening, lang), 1):
            found[f"opening-{n:02d}"] = page
    if results.weld is not None:
        found["weld-order"] = beads_page(results, results.weld, lang)
        heat = heat_with_key(results, ON_SCREEN_MM, TEXT_MM)
        if heat is not None:
            found["weld-heat"] = figure_page(heat, tallest=1.6, lang=lang)
        found["weld-waits"] = waits_page(results, results.weld, lang)
        if results.weld.order.compared:
            limit = min((p.flatness_mm for p in job.pads), default=0.0)
            words = told("weld.chart_limit", lang, limit=format_length(limit, job.shown.display, 2))
            axis = told("weld.chart_axis", lang, unit=job.shown.display)
            found["weld-compared"] = figure_page(chart_figure(results, axis, words, ON_SCREEN_MM, TEXT_MM))
        if results.weld.order.shape is not None:
            found["displaced"] = figure_page(shape_figure(results.weld.order.shape, Reader(lang, job.shown.display)))
    return found


def shape_figure(shape: ShapeAfter, read: Reader = ENGLISH) -> Figure:
    """Return the shape after the last step, seen from the front and above, with the exaggeration written under it."""
    kept, corners = screen_mesh(shape)
    points = shape.points[kept] - 0.5 * (shape.points.min(axis=0) + shape.points.max(axis=0))
    lift, plate = shape.lift_mm[-1][kept], shape.is_plate[kept]
    most = max(float(np.abs(shape.lift_mm[-1]).max()), 1e-9)
    size = float(np.ptp(points, axis=0).max())
    times = float(f"{_LIFT_SHARE * size / most:.2g}")
    c, s = np.cos(_TURN_RAD), np.sin(_TURN_RAD)
    across = points[:, 0] * c - points[:, 1] * s
    back = points[:, 0] * s + points[:, 1] * c
    up = back * _TILT + lift * times * _RISE
    order = np.argsort(-back[corners].mean(axis=1), kind="stable")
    height = lift[corners].mean(axis=1) / most
    items: list[Item] = []
    for k in order:
        a, b, e = (Point(round(float(across[i]), 2), round(float(up[i]), 2)) for i in corners[k])
        pen = Pen(0.06, "#6a6a6a" if plate[corners[k][0]] else "#b0b0b0")
        sides = (Line(a, b), Line(b, e), Line(e, a))
        items.append(Stroke(sides, pen, _shade(float(height[k])), closed=True, tag="shape"))
    box = Box(float(across.min()), float(up.min()), float(across.max()), float(up.max()))
    words = (told("picture.shape", read), told("picture.shape_scale", read, times=f"{times:.0f}", most=mm(most, 2)))
    for line, text in enumerate(words, start=1):
        low = Point(box.centre.x, box.ymin - 0.05 * line * size)
        items.append(Text(text, low, 4.2, "middle", tag="caption"))
    return Figure(tuple(items), Box(box.xmin, box.ymin - 0.12 * size, box.xmax, box.ymax))


def _shade(height: float) -> str:
    """Down is blue, flat is white, up is orange; both darker with size."""
    end = (214, 110, 10) if height >= 0.0 else (30, 90, 160)
    share = min(abs(height), 1.0)
    return "#" + "".join(f"{round(250 + (v - 250) * share):02x}" for v in end)
