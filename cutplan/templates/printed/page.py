"""One page: what a sheet prints of its layout, framed by title and rulers, with the printer's correction applied."""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees

from cutplan.drawing.font import text_width
from cutplan.drawing.model import Item, Page, Stroke, Text, moved
from cutplan.drawing.recorder import text_corners
from cutplan.geometry.vector import Box, Point, box_of
from cutplan.templates.drawn.ruler import inch_end, ruler
from cutplan.templates.printed.correction import Correction, corrected
from cutplan.templates.tiling.clip import clipped
from cutplan.templates.tiling.layout import SheetPlace
from cutplan.templates.tiling.sheet import RULER_MIDDLE_MM, SheetForm
from cutplan.texts.by_id import told

#: Least font size that a title may be squeezed to before it is cut short [mm].
_LEAST_TITLE_MM = 3.3


@dataclass(frozen=True, slots=True)
class Titles:
    """The lines over a sheet: what it is, the job, how to use it, and what was done about the printer's scale."""

    what: str
    job: str
    use: str
    scale: str
    lang: str = "en"
    inches: bool = False


def sheet_page(
    place: SheetPlace,
    items: tuple[tuple[Item, Box], ...],
    own: tuple[Item, ...],
    titles: Titles,
    label: str,
    bookmark: str,
) -> Page:
    """Return the page of one sheet.

    Parameters
    ----------
    place : SheetPlace
        The sheet in its layout.
    items : tuple of (Item, Box)
        What lies on the layout, with boxes, in layout coordinates (see :func:`boxed`).
    own : tuple of Item
        What belongs to this sheet alone, in layout coordinates.
    titles : Titles
        Lines over the sheet; the last is completed with the lengths of the rulers.
    label, bookmark : str
        Page label and bookmark.
    """
    shown = [*_inside(items, place.printed), *_inside(boxed(own), place.window)]
    origin = place.origin
    on_sheet = [moved(i, 1.0, origin.x, origin.y) for i in shown]
    on_sheet += frame_items(place.form, titles)
    drawn = tuple(corrected(i, place.form.correct, place.form.centre) for i in on_sheet)
    return Page(place.form.width_mm, place.form.height_mm, drawn, label, bookmark)


def frame_items(form: SheetForm, titles: Titles) -> list[Item]:
    """Return rulers and title lines of a sheet, in sheet coordinates."""
    reach, live = form.reach, form.live
    across, wide = ruler(Point(reach.xmin + 0.3, reach.ymin + RULER_MIDDLE_MM), reach.width - 0.3, upward=False)
    up, tall = ruler(Point(reach.xmin + RULER_MIDDLE_MM, live.ymin), reach.ymax - live.ymin, upward=True)
    # the printer stretches letters, too
    left, room = live.xmin + 1.0, (reach.xmax - live.xmin - 1.0) / max(1.0, form.correct.x)
    key, ends = (
        ("paper.rulers.in", (inch_end(wide), inch_end(tall))) if titles.inches else ("paper.rulers", (wide, tall))
    )
    scale = told(key, titles.lang, wide=ends[0], tall=ends[1], scale=titles.scale)
    items: list[Item] = [*across, *up]
    for text, height, down, bold in (
        (titles.what, 5.2, 4.0, True),
        (titles.job, 4.2, 8.9, False),
        (titles.use, 4.2, 13.6, False),
        (scale, 4.2, 18.3, False),
    ):
        items.append(fitted(text, Point(left, reach.ymax - down), room, height, bold))
    return items


def fitted(text: str, at: Point, room_mm: float, height_mm: float, bold: bool = False) -> Text:
    """Return a title squeezed, and in the end cut short, to the room it has."""
    wide = text_width(text, height_mm, bold)
    if wide > room_mm:
        height_mm = max(_LEAST_TITLE_MM, height_mm * room_mm / wide)
        while text_width(text, height_mm, bold) > room_mm + 1e-6 and len(text) > 2:
            text = text[:-2].rstrip() + "…"
    return Text(text, at, height_mm, bold=bold, tag="title")


def boxed(items: tuple[Item, ...]) -> tuple[tuple[Item, Box], ...]:
    """Return each item with its bounding box, measured once for all sheets of a layout."""
    made: list[tuple[Item, Box]] = []
    for item in items:
        if isinstance(item, Text):
            made.append((item, box_of(text_corners(item))))
        elif item.segments:
            box = item.segments[0].box
            for s in item.segments[1:]:
                box = box.joined(s.box)
            made.append((item, box))
    return tuple(made)


def _inside(items: tuple[tuple[Item, Box], ...], window: Box) -> list[Item]:
    kept: list[Item] = []
    for item, box in items:
        if not box.meets(window):
            continue
        if window.xmin <= box.xmin and box.xmax <= window.xmax and window.ymin <= box.ymin and box.ymax <= window.ymax:
            kept.append(item)
        elif isinstance(item, Stroke):
            piece = clipped(item, window)
            if piece is not None:
                kept.append(piece)
    return kept


def scale_words(correct: Correction, measured: bool, lang: str = "en") -> str:
    """Return what a sheet says about the printer's correction."""
    if correct.idle:
        return told("paper.true" if measured else "paper.unknown", lang)
    parts = [f"{axis} {100.0 * (1.0 / s - 1.0):+.2f} %" for axis, s in (("x", correct.x), ("y", correct.y)) if s != 1.0]
    if correct.skew_rad:
        parts.append(told("paper.skew", lang, skew=degrees(correct.skew_rad)))
    return told("paper.corrected", lang, printer=correct.printer, parts=", ".join(parts))
