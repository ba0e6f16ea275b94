"""The comparison of weld orders as a chart: a bar from low to high with a tick at the middle, the chosen one heavy."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import filled, frame
from cutplan.drawing.model import Figure, Item, Pen, Text, line
from cutplan.geometry.vector import Box, Point
from cutplan.units import MM_PER, UnitName

if TYPE_CHECKING:
    from cutplan.tables.band import Band
    from cutplan.welding.result import OrderFigure


def flatness_text(flat_mm: Band, units: UnitName) -> str:
    """Return a flatness [mm] with its band in the reader's units, short enough for a cell: ``0.16 (0.07–0.26) mm``."""
    mid, low, high = (
        f"{v / MM_PER[units]:.{2 if units == 'mm' else 3}f}" for v in (flat_mm.mid, flat_mm.low, flat_mm.high)
    )
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
    row, pad = 8.0, 2.0
    names = max((text_width(str(o.name), size_mm, bold=o.chosen) for o in orders), default=0.0) + 5.0
    values = max((text_width(_value(o, units), size_mm) for o in orders), default=0.0) + 4.0
    x0, x1 = names, width_mm - values
    top = max(max((o.flatness_mm.high for o in orders), default=0.0), limit_mm or 0.0, 1e-3) * 1.04
    per = (x1 - x0) / top
    low, high = 14.0, 14.0 + row * len(orders)
    items: list[Item] = []
    step = nice_step(top / MM_PER[units])
    tick = 0
    while tick * step * MM_PER[units] <= top + 1e-12:
        x = x0 + tick * step * MM_PER[units] * per
        items.append(line((x, low - 1.5), (x, high), Pen(0.15, "#aaaaaa"), "grid"))
        items.append(Text(f"{tick * step:.4g}", Point(x, low - 6.0), size_mm, "middle", tag="axis"))
        tick += 1
    items.append(Text(axis, Point(0.5 * (x0 + x1), 1.5), size_mm, "middle", tag="axis"))
    for i, o in enumerate(orders):
        y = high - (i + 0.5) * row
        tall = 0.34 * row if o.chosen else 0.24 * row
        a, m, z = (x0 + v * per for v in (o.flatness_mm.low, o.flatness_mm.mid, o.flatness_mm.high))
        box = Box(a, y - tall, max(z, a + 0.4), y + tall)
        items.append(filled(box, "#555555" if o.chosen else "#d0d0d0", f"bar {i + 1}"))
        items.append(frame(box, Pen(0.5 if o.chosen else 0.25), f"bar {i + 1}"))
        items.append(
            line(
                (m, y - tall - 0.6), (m, y + tall + 0.6), Pen(1.0, "#ffffff" if o.chosen else "#000000"), f"mid {i + 1}"
            )
        )
        items.append(Text(str(o.name), Point(0.0, y - 0.36 * size_mm), size_mm, bold=o.chosen, tag="order-name"))
        items.append(
            Text(
                _value(o, units),
                Point(width_mm, y - 0.36 * size_mm),
                size_mm,
                "right",
                bold=o.chosen,
                tag="order-value",
            )
        )
    items.append(line((x0, low), (x0, high), Pen(0.4), "axis"))
    top_edge = high + pad
    if limit_mm is not None:
        x = x0 + limit_mm * per
        items.append(line((x, low - 1.5), (x, high + 2.0), Pen(0.5, "#000000", (2.0, 1.2)), "limit"))
        half = 0.5 * text_width(limit_text, size_mm)
        items.append(
            Text(limit_text, Point(min(max(x, x0 + half), width_mm - half), high + 3.2), size_mm, "middle", tag="limit")
        )
        top_edge = high + 3.2 + size_mm
    return Figure(tuple(items), Box(0.0, 0.0, width_mm, top_edge))


def _value(o: OrderFigure, units: UnitName) -> str:
    return f"{'= ' if o.equal_to_best else ''}{flatness_text(o.flatness_mm, units)}"
