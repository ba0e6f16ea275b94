"""Figures put on a sheet: as large as fits, texts set clear of each other, with the scale written under them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutplan.drawing.layout import paragraph, wrap_text
from cutplan.drawing.model import Figure, Item, Text, placed
from cutplan.drawing.placer.picture import set_texts
from cutplan.geometry.vector import Box
from cutplan.sheets.localised import localised_items
from cutplan.sheets.page import SMALL, Builder

#: Least font size in a picture [mm].
LEAST_MM = 3.0


def place(b: Builder, figure: Figure, height_mm: float, *, caption: str = "", scale_text: bool = True) -> float:
    """Put a figure on the page in the next ``height_mm`` and return its scale.

    Parameters
    ----------
    b : Builder
        Page under way.
    figure : Figure
        The picture.
    height_mm : float
        Room for it with its caption [mm].
    caption : str
        Written under the picture.
    scale_text : bool
        Write the scale under it: nobody may measure from a sheet.
    """
    b.need(height_mm)
    scale = place_in(b, figure, Box(b.left, b.y - height_mm, b.right, b.y), caption=caption, scale_text=scale_text)
    b.y -= height_mm + 1.5
    return scale


def place_in(b: Builder, figure: Figure, whole: Box, *, caption: str = "", scale_text: bool = True) -> float:
    """Put a figure with its caption in a box of the page [mm] and return its scale; the place on the page stays."""
    lines = len(wrap_text(caption, whole.width, SMALL)) if caption else 1
    foot = 1.3 * SMALL * lines + 1.7 if caption or scale_text else 0.0
    room = Box(whole.xmin, whole.ymin + foot, whole.xmax, whole.ymax)
    items, scale = placed(figure, room.grown(-2.0))
    b.add(*set_texts(legible(localised_items(items, b.lang)), room))
    words = [caption] if caption else []
    if scale_text:
        words.append(b.say("picture.scale", scale=scale_name(scale)))
    if words:
        said, _ = paragraph(" · ".join(words), whole.xmin, whole.ymin + foot - 1.0, whole.width, SMALL, tag="caption")
        b.add(*said)
    return scale


def legible(items: Sequence[Item], least_mm: float = LEAST_MM) -> list[Item]:
    """Return the items with no text smaller than can be read [mm]."""
    return [replace(i, height_mm=least_mm) if isinstance(i, Text) and i.height_mm < least_mm else i for i in items]


def scale_name(scale: float) -> str:
    """Return a scale [1] such as 1 : 2.4."""
    return f"1 : {1.0 / scale:.1f}" if scale <= 1.0 else f"{scale:.1f} : 1"
