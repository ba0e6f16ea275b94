"""Helpers that lay text, tables and arrows out on a page; they return items and how much room they took."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache

from cutplan.drawing.font import text_width
from cutplan.drawing.model import Anchor, Item, Pen, Stroke, Text, line
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Box, Point

#: Distance between base lines as a part of the font size.
LEADING = 1.3
#: Holds words together: a whole number and its fraction, a number and its unit, a cross and the second size; then an inch and its
#: millimetres.
_GLUE = "\u00a0"
_UNITS = "mm|mm²|cm|m|in|in²|ft³|µm|kg|kJ|J|A|V|s|min|l|N|kN|°C|%"
_QUANTITY = re.compile(
    rf"(?<=\d) (?=(?:\d+/\d+|{_UNITS})(?![\w²³])|×)|(?<=[×Ø]) (?=\d)|(?<=ISO|DIN|AWS) (?=[A-Z]?\d)|(?<=\bEN) (?=\d)"
)
#: Space between words; one that the text itself glues is none.
_SPACE = re.compile(rf"[^\S{_GLUE}]+")
_LENGTH, _LENGTH_END = re.compile(rf"(?<={_GLUE}in) (?=\(\d)"), re.compile(rf"(?<={_GLUE}in){_GLUE}(?=\()")


def wrap_text(text: str, width_mm: float, height_mm: float = 4.0, bold: bool = False) -> list[str]:
    """Return the text broken into lines no wider than ``width_mm`` [mm] at a font size [mm].

    Line breaks in the text stay; a number stays with its unit, and an inch with its millimetres, where they fit a line; a
    single word wider than the line is broken where it reaches the edge.
    """
    return list(_wrapped(text, width_mm, height_mm, bold))


@lru_cache(maxsize=8192)
def _wrapped(text: str, width_mm: float, height_mm: float, bold: bool) -> tuple[str, ...]:
    """The same, remembered: a table asks for a cell's height before it writes it."""
    lines: list[str] = []
    for block in text.split("\n"):
        run = ""
        for word in _words(block, width_mm, height_mm, bold):
            longer = f"{run} {word}" if run else word
            if text_width(longer, height_mm, bold) <= width_mm:
                run = longer
                continue
            if run:
                lines.append(run)
            run = word
            while text_width(run, height_mm, bold) > width_mm and len(run) > 1:
                fits = next(
                    (n for n in range(len(run) - 1, 1, -1) if text_width(run[:n], height_mm, bold) <= width_mm), 1
                )
                lines.append(run[:fits])
                run = run[fits:]
        lines.append(run)
    return tuple(lines)


def _words(block: str, width_mm: float, height_mm: float, bold: bool) -> Iterator[str]:
    """The words of a text, what belongs together in one of them where a line has room for it."""
    for whole in _LENGTH.sub(_GLUE, _QUANTITY.sub(_GLUE, _SPACE.sub(" ", block.strip()))).split(" "):
        if _fits(whole, width_mm, height_mm, bold):
            yield whole.replace(_GLUE, " ")
            continue
        for part in _LENGTH_END.split(whole):
            if _fits(part, width_mm, height_mm, bold):
                yield part.replace(_GLUE, " ")
            else:
                yield from part.split(_GLUE)


def _fits(word: str, width_mm: float, height_mm: float, bold: bool) -> bool:
    return text_width(word.replace(_GLUE, " "), height_mm, bold) <= width_mm


def paragraph(
    text: str,
    x_mm: float,
    top_mm: float,
    width_mm: float,
    height_mm: float = 4.0,
    *,
    bold: bool = False,
    colour: str = "#000000",
    tag: str = "",
    leading: float = LEADING,
) -> tuple[tuple[Text, ...], float]:
    """Return wrapped text below ``top_mm`` and the height where the next thing may start [mm], both measured upward."""
    items: list[Text] = []
    y = top_mm - 0.8 * height_mm
    for run in wrap_text(text, width_mm, height_mm, bold):
        if run:
            items.append(Text(run, Point(x_mm, y), height_mm, bold=bold, colour=colour, tag=tag))
        y -= leading * height_mm
    return tuple(items), y + 0.8 * height_mm


def row_heights(
    rows: Sequence[Sequence[str]], widths_mm: Sequence[float], height_mm: float = 3.5, pad_mm: float = 1.2
) -> list[float]:
    """Return the height that each row of a table needs with its cells wrapped [mm]."""
    return [_row_height(row, widths_mm, height_mm, pad_mm, bold=i == 0) for i, row in enumerate(rows)]


def _row_height(row: Sequence[str], widths_mm: Sequence[float], height_mm: float, pad_mm: float, bold: bool) -> float:
    wrapped = (len(wrap_text(c, w - 2 * pad_mm, height_mm, bold)) for c, w in zip(row, widths_mm, strict=True))
    return ((max(wrapped, default=1) - 1) * LEADING + 1.0) * height_mm + 2 * pad_mm


def table(
    rows: Sequence[Sequence[str]],
    x_mm: float,
    top_mm: float,
    widths_mm: Sequence[float],
    height_mm: float = 3.5,
    *,
    header: bool = True,
    align: Sequence[Anchor] | None = None,
    pad_mm: float = 1.2,
    bottom_mm: float | None = None,
    tag: str = "table",
) -> tuple[tuple[Item, ...], float, int]:
    """Return a ruled table with wrapped cells.

    Parameters
    ----------
    rows : sequence of sequence of str
        Cells; the first row is the header when ``header``.
    x_mm, top_mm : float
        Upper left corner on the page [mm].
    widths_mm : sequence of float
        Column widths [mm].
    height_mm : float
        Font size [mm].
    align : sequence of {"left", "middle", "right"}
        Alignment per column; all left when None.
    header : bool
        Whether the first row is bold on grey.
    pad_mm : float
        Space between a cell's text and its edge [mm].
    bottom_mm : float or None
        Rows that would reach below this height are left out [mm].

    Returns
    -------
    (items, bottom_mm, rows drawn)
        The caller puts the remaining rows on the next page (repeat the header there).
    """
    aligned: Sequence[Anchor] = align or ["left"] * len(widths_mm)
    items: list[Item] = []
    thin, firm = Pen(0.15, "#888888"), Pen(0.35)
    right = x_mm + sum(widths_mm)
    y, drawn = top_mm, 0
    items.append(line((x_mm, y), (right, y), firm, tag))
    for i, row in enumerate(rows):
        tall = _row_height(row, widths_mm, height_mm, pad_mm, bold=i == 0)
        if bottom_mm is not None and y - tall < bottom_mm:
            break
        head = header and i == 0
        if head:
            items.append(filled(Box(x_mm, y - tall, right, y), "#eeeeee", tag))
        left = x_mm
        for cell, w, side in zip(row, widths_mm, aligned, strict=True):
            at = {"left": left + pad_mm, "middle": left + 0.5 * w, "right": left + w - pad_mm}[side]
            base = y - pad_mm - 0.8 * height_mm
            for run in wrap_text(cell, w - 2 * pad_mm, height_mm, bold=head):
                if run:
                    items.append(Text(run, Point(at, base), height_mm, side, bold=head, tag=tag))
                base -= LEADING * height_mm
            left += w
        y -= tall
        drawn += 1
        items.append(line((x_mm, y), (right, y), firm if head else thin, tag))
    return tuple(items), y, drawn


def filled(box: Box, fill: str, tag: str = "", pen: Pen | None = None) -> Stroke:
    """Return a filled rectangle, without an outline unless a pen is given."""
    return Stroke(_sides(box), pen, fill, closed=True, tag=tag)


def frame(box: Box, pen: Pen | None = None, tag: str = "") -> Stroke:
    """Return the outline of a rectangle."""
    return Stroke(_sides(box), pen or Pen(), closed=True, tag=tag)


def _sides(box: Box) -> tuple[Line, ...]:
    a, b = Point(box.xmin, box.ymin), Point(box.xmax, box.ymin)
    c, d = Point(box.xmax, box.ymax), Point(box.xmin, box.ymax)
    return Line(a, b), Line(b, c), Line(c, d), Line(d, a)


def arrow(
    a: Point, b: Point, pen: Pen | None = None, head_mm: float = 3.0, tag: str = "arrow"
) -> tuple[Stroke, Stroke]:
    """Return the shaft and the filled head of an arrow from ``a`` to ``b`` [mm]."""
    pen = pen or Pen()
    along = b.minus(a).unit()
    head = min(head_mm, a.distance(b))
    neck = b.minus(along.times(head))
    side = along.left().times(0.35 * head)
    corners = (b, neck.plus(side), neck.minus(side))
    sides = tuple(Line(p, q) for p, q in zip(corners, corners[1:] + corners[:1], strict=True))
    return line(a, b.minus(along.times(0.9 * head)), pen, tag), Stroke(sides, None, pen.colour, closed=True, tag=tag)
