"""The comparison of weld orders as a chart: a bar from low to high with a tick at the middle, the chosen one heavy."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import filled, frame, wrap_text
from cutplan.drawing.model import Anchor, Figure, Item, Pen, Text, line
from cutplan.geometry.vector import Box, Point
from cutplan.units import MM_PER, UnitName

if TYPE_CHECKING:
    from cutplan.tables.band import Band
    from cutplan.welding.result import OrderFigure


#: Below this, thousandths of an inch would all be zero or one, and tenths of them are written [mm].
_TENTHS_BELOW_MM = 0.0254
#: Height of a row of the chart [mm], and the least share of its width that is left to the bars [1].
_ROW_MM, _LEAST_BARS = 8.0, 0.35


def flatness_text(flat_mm: Band, units: UnitName) -> str:
    """Return a flatness [mm] with its band in the reader's units, short enough for a cell: ``0.16 (0.07–0.26) mm``."""
    digits = 2 if units == "mm" else 3 if flat_mm.high >= _TENTHS_BELOW_MM else 4
    mid, low, high = (f"{v / MM_PER[units]:.{digits}f}" for v in (flat_mm.mid, flat_mm.low, flat_mm.high))
    return f"{mid} ({low}–{high}) {units}"


def nice_step(span: float, most: int = 6) -> float:
    """Return 1, 2 or 5 times a power of ten [unit of the span] so that ``span`` holds at most ``most`` steps."""
    step = 10.0**-6
    while True:
        for factor in (1.0, 2.0, 5.0):
            if span / (step * factor) <= most:
                return step * factor
        step *= 10.0


def order_chart(
    orders: Sequence[OrderFigure],
    axis: str,
    width_mm: float = 180.0,
    limit_mm: float | None = None,
    limit_text: str = "",
    size_mm: float = 3.8,
    units: UnitName = "mm",
) -> Figure:
    """Return the chart in paper millimetres.

    Parameters
    ----------
    orders : sequence of OrderFigure
        Orders to compare, in the order shown.
    axis : str
        Text under the axis.
    width_mm : float
        Width of the chart [mm].
    limit_mm : float or None
        The tightest flatness allowed, drawn as a dashed line [mm].
    limit_text : str
        What is written beside it.
    size_mm : float
        Font size [mm].
    units : {"mm", "in"}
        Unit of the axis and the figures.
    """
    names = max((text_width(str(o.name), size_mm, bold=o.chosen) for o in orders), default=0.0) + 5.0
    values = max((text_width(_value(o, units), size_mm, bold=o.chosen) for o in orders), default=0.0) + 4.0
    # where the bars would be left too little room, a figure stands under its order's name
    under = width_mm - names - values < _LEAST_BARS * width_mm
    x0, x1 = (max(names, values), width_mm - size_mm) if under else (names, width_mm - values)
    top = max(max((o.flatness_mm.high for o in orders), default=0.0), limit_mm or 0.0, 1e-3) * 1.04
    per = (x1 - x0) / top
    row = _ROW_MM + (1.25 * size_mm if under else 0.0)
    words = wrap_text(axis, width_mm, size_mm)
    low = 8.0 + 1.6 * size_mm * len(words)
    high = low + row * len(orders)
    items = [*_scale(top / MM_PER[units], MM_PER[units] * per, x0, (low, high), size_mm)]
    for i, text in enumerate(reversed(words)):
        items.append(Text(text, Point(0.5 * width_mm, 1.5 + 1.6 * size_mm * i), size_mm, "middle", tag="axis"))
    for i, o in enumerate(orders):
        y = high - (i + 0.5) * row
        items += _bar(o, i + 1, x0, per, y)
        shift = (0.3 if under else -0.36) * size_mm
        items.append(Text(str(o.name), Point(0.0, y + shift), size_mm, bold=o.chosen, tag="order-name"))
        place = Point(0.0, y - 1.05 * size_mm) if under else Point(width_mm, y - 0.36 * size_mm)
        side: Anchor = "left" if under else "right"
        items.append(Text(_value(o, units), place, size_mm, side, bold=o.chosen, tag="order-value"))
    items.append(line((x0, low), (x0, high), Pen(0.4), "axis"))
    top_edge = high + 2.0
    if limit_mm is not None:
        x = x0 + limit_mm * per
        items.append(line((x, low - 1.5), (x, high + 2.0), Pen(0.5, "#000000", (2.0, 1.2)), "limit"))
        half = 0.5 * text_width(limit_text, size_mm)
        items.append(
            Text(limit_text, Point(min(max(x, x0 + half), width_mm - half), high + 3.2), size_mm, "middle", tag="limit")
        )
        top_edge = high + 3.2 + size_mm
    return Figure(tuple(items), Box(0.0, 0.0, width_mm, top_edge))


def _scale(top: float, per: float, x0: float, rows: tuple[float, float], size_mm: float) -> Iterator[Item]:
    """Grid and numbers of the axis, as many as have room side by side; ``per`` is paper [mm] per unit of the axis."""
    low, high = rows
    widest = text_width("0.0000", size_mm)
    step = nice_step(top, max(2, min(6, int(top * per / (1.3 * widest)))))
    for tick in range(int(top / step + 1e-9) + 1):
        x = x0 + tick * step * per
        yield line((x, low - 1.5), (x, high), Pen(0.15, "#aaaaaa"), "grid")
        yield Text(f"{tick * step:.4g}", Point(x, low - 2.2 - size_mm), size_mm, "middle", tag="axis")


def _bar(o: OrderFigure, number: int, x0: float, per: float, y: float) -> tuple[Item, ...]:
    """One order from low to high, with its middle."""
    tall = (0.34 if o.chosen else 0.24) * _ROW_MM
    a, m, z = (x0 + v * per for v in (o.flatness_mm.low, o.flatness_mm.mid, o.flatness_mm.high))
    box, ink = Box(a, y - tall, max(z, a + 0.4), y + tall), "#ffffff" if o.chosen else "#000000"
    return (
        filled(box, "#555555" if o.chosen else "#d0d0d0", f"bar {number}"),
        frame(box, Pen(0.5 if o.chosen else 0.25), f"bar {number}"),
        line((m, y - tall - 0.6), (m, y + tall + 0.6), Pen(1.0, ink), f"mid {number}"),
    )


def _value(o: OrderFigure, units: UnitName) -> str:
    return f"{'= ' if o.equal_to_best else ''}{flatness_text(o.flatness_mm, units)}"
