"""Figures for the screen: the sheet's drawings as inline SVG, texts set clear of each other, with buttons to zoom."""

from __future__ import annotations

from cutplan.drawing.model import Figure, Page, placed
from cutplan.drawing.placer.picture import set_texts
from cutplan.drawing.svg import render_svg
from cutplan.geometry.vector import Box
from cutplan.report.html import Raw, tag
from cutplan.sheets.localised import localised_items
from cutplan.sheets.pictures import LEAST_MM, legible
from cutplan.texts.by_id import told

#: Width that text sizes of a figure are chosen for [mm]; smaller makes texts larger.
SCREEN_MM = 135.0
_EDGE_MM = 3.0
#: Texts of a drawing are at least so many pixels high where it fills the width of a phone [px].
_LEAST_PX, _PHONE_PX = 11.0, 334.0
#: Width that is left to a figure on the screen, and the least size of its texts [mm]: what is laid out so is not changed.
ON_SCREEN_MM, TEXT_MM = SCREEN_MM - 2.0 * _EDGE_MM, _LEAST_PX * SCREEN_MM / _PHONE_PX


def figure_page(
    figure: Figure, width_mm: float = SCREEN_MM, tallest: float = 1.2, lang: str = "en", edge_mm: float = _EDGE_MM
) -> Page:
    """Return a figure on a page of its own shape, texts set clear of each other; at most ``tallest`` times [1] as high as wide."""
    inside = width_mm - 2.0 * edge_mm
    tall = min(inside * figure.box.height / max(figure.box.width, 1e-9), tallest * inside) + 2.0 * edge_mm
    room = Box(0.0, 0.0, width_mm, tall)
    items, _ = placed(figure, room.grown(-edge_mm))
    least_mm = max(LEAST_MM, _LEAST_PX * width_mm / _PHONE_PX)
    return Page(width_mm, tall, set_texts(legible(localised_items(items, lang), least_mm), room.grown(-0.5)))


def svg(page: Page, ident: str, title: str, desc: str = "") -> Raw:
    """Return a figure's page as one SVG element that fills its width."""
    return Raw(render_svg(page, title=title, desc=desc, ident=ident, fluid=True))


def zoomable(picture: Raw, ident: str, caption: str, lang: str = "en") -> Raw:
    """Return a figure element with a caption and zoom buttons."""
    buttons = [
        tag("button", sign, type="button", data_zoom=factor, aria_label=told(f"report.{key}", lang, what=caption))
        for sign, factor, key in (("+", "0.67", "zoom_in"), ("−", "1.5", "zoom_out"), ("1:1", "0", "zoom_home"))
    ]
    return tag(
        "figure",
        picture,
        tag("figcaption", tag("span", caption), tag("span", *buttons, class_="tools")),
        class_="zoom",
        id=ident,
    )
