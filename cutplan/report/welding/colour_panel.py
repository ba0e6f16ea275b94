"""One panel of a colour map: the part over its colours, with ticks, a title and what is told under it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import frame
from cutplan.drawing.model import Item, Pen, Text, line, moved, outline
from cutplan.drawing.placer.picture import set_texts
from cutplan.geometry.vector import Box, Point
from cutplan.sheets.results import Results
from cutplan.texts import Reader
from cutplan.units import MM_PER_INCH

#: Sizes of titles, of other words, and of the numbers at ticks [mm].
TITLE_MM, WORDS_MM, SMALL_MM = 3.9, 3.2, 2.8
DARK, PALE = "#1f2933", "#d0d5da"
#: About how many ticks a side has, and how long they are [mm].
_TICKS, _TICK_MM = 8, 1.0
#: Pens of the part's lines: a pale seam under a dark line is seen on every colour.
_SEAM, _LINE = Pen(0.85, "#ffffff"), Pen(0.35, DARK)


@dataclass(frozen=True, slots=True)
class Panel:
    """Where a panel lies on the page, and what of the part it shows [mm]."""

    on_page: Box
    field: Box

    @staticmethod
    def fitted(field: Box, room: Box) -> Panel:
        """Return the panel of a field, as large as a room allows, in its middle [mm]."""
        size = min(room.width / field.width, room.height / field.height)
        c, x, y = room.centre, 0.5 * size * field.width, 0.5 * size * field.height
        return Panel(Box(c.x - x, c.y - y, c.x + x, c.y + y), field)

    @property
    def scale(self) -> float:
        """Paper millimetres for each of the part [1]."""
        return self.on_page.width / self.field.width

    def at(self, place: Point) -> Point:
        """Return where a place of the part lies on the page [mm]."""
        return Point(
            self.on_page.xmin + (place.x - self.field.xmin) * self.scale,
            self.on_page.ymin + (place.y - self.field.ymin) * self.scale,
        )


def drawn_panel(
    panel: Panel,
    results: Results,
    reader: Reader,
    title: str,
    below: str,
    marks: Sequence[Item] = (),
    *,
    numbered: bool = True,
) -> list[Item]:
    """Return what is drawn over and round the colours of a panel.

    Parameters
    ----------
    panel : Panel
        Where it lies.
    results : Results
        The job's plate is drawn.
    reader : Reader
        Units of the ticks.
    title, below : str
        Words over and under it.
    marks : sequence of Item
        Marks on the page that are shown besides; their names are set clear of the part's lines.
    numbered : bool
        Whether heights are written at its left side.
    """
    plate, to = results.job.plate, panel.at(Point(0.0, 0.0))
    parts = [
        moved(outline(contour, pen), panel.scale, to.x, to.y)
        for contour in (plate.outline, *(h.contour for h in plate.holes))
        for pen in (_SEAM, _LINE)
    ]
    found = [*set_texts([*parts, *marks], panel.on_page), frame(panel.on_page, Pen(0.3, PALE))]
    middle = panel.on_page.centre.x
    size = min(TITLE_MM, TITLE_MM * panel.on_page.width / max(text_width(title, TITLE_MM), 1e-9))
    found.append(Text(title, Point(middle, panel.on_page.ymax + 2.2), size, "middle", colour=DARK))
    found.append(Text(below, Point(middle, panel.on_page.ymin - 9.4), WORDS_MM, "middle", colour=DARK))
    return found + _ticks(panel, unit_mm(reader), numbered)


def _ticks(panel: Panel, unit: float, numbered: bool) -> list[Item]:
    """Ticks along the lower and the left side, with what they stand for in a unit [mm]."""
    box, field = panel.on_page, panel.field
    step = unit * round_step(field.width / unit / _TICKS)
    pen = Pen(0.2, DARK)
    found: list[Item] = []
    for k in range(int(np.ceil(field.xmin / step)), int(np.floor(field.xmax / step)) + 1):
        x = panel.at(Point(k * step, 0.0)).x
        found.append(line((x, box.ymin), (x, box.ymin - _TICK_MM), pen))
        found.append(Text(f"{k * step / unit:.6g}", Point(x, box.ymin - 4.2), SMALL_MM, "middle", colour=DARK))
    for k in range(int(np.ceil(field.ymin / step)), int(np.floor(field.ymax / step)) + 1):
        y = panel.at(Point(0.0, k * step)).y
        found.append(line((box.xmin, y), (box.xmin - _TICK_MM, y), pen))
        if numbered:
            text = f"{k * step / unit:.6g}"
            found.append(Text(text, Point(box.xmin - 1.8, y - 0.36 * SMALL_MM), SMALL_MM, "right", colour=DARK))
    return found


def round_step(least: float) -> float:
    """Return the next of 1, 2, 2.5, 5 times a power of ten from a number [1] on."""
    power = 10.0 ** np.floor(np.log10(least))
    return float(next(k * power for k in (1.0, 2.0, 2.5, 5.0, 10.0) if k * power >= least * (1.0 - 1e-9)))


def unit_mm(reader: Reader) -> float:
    """Return the length of a reader's unit [mm]."""
    return MM_PER_INCH if reader.units == "in" else 1.0
