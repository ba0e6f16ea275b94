"""Weld symbols as drawing items: ISO 2553 system A, or the AWS A2.4 form on request.

Both carry the same facts; they differ in the dashed line, in which side of the line means the arrow side, in how an
interrupted weld is counted (clear distance against pitch) and in what stands in the tail.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import arrow
from cutplan.drawing.model import Item, Pen, Stroke, Text, line, ring
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point
from cutplan.units import UnitName, inch_fraction

Form = Literal["ISO", "AWS"]
WeldShape = Literal["square butt", "single V", "fillet", "plug"]

#: Numbers of arc processes in the tail of the ISO form (ISO 4063, from memory).
PROCESS_NUMBER = {"GMAW": "135", "GTAW": "141", "SMAW": "111"}


@dataclass(frozen=True, slots=True)
class WeldSymbol:
    """What a weld symbol says.

    Parameters
    ----------
    shape : {"square butt", "single V", "fillet", "plug"}
        Kind of weld.
    size_mm : float
        Throat of a fillet, depth of a butt, diameter of a plug [mm]; 0 leaves it out.
    count, length_mm, clear_mm : int, float, float
        Interrupted weld: number, length and clear distance between two [mm]; count 0 for a continuous weld.
    all_round, on_site : bool
        Welded all round; welded on site.
    process, quality : str
        Process (``GMAW`` ...) and quality level for the tail.
    root_gap_mm : float
        Root opening, written by the AWS form in the symbol [mm].
    """

    shape: WeldShape
    size_mm: float = 0.0
    count: int = 0
    length_mm: float = 0.0
    clear_mm: float = 0.0
    all_round: bool = False
    on_site: bool = False
    process: str = ""
    quality: str = ""
    root_gap_mm: float = 0.0


def leg_from_throat(throat_mm: float) -> float:
    """Return the leg of an equal-legged fillet [mm] from its throat [mm]: z = a sqrt 2 [1]_.

    Parameters
    ----------
    throat_mm : float
        Throat [mm]

    Returns
    -------
    float
        Leg [mm]

    References
    ----------
    .. [1] ISO 2553:2019, fillet sizes a and z (exact geometry of a right isosceles triangle).
    """
    return float(throat_mm * 2.0**0.5)


def pitch_mm(length_mm: float, clear_mm: float) -> float:
    """Return the centre-to-centre pitch of an interrupted weld [mm]: length plus clear distance [1]_.

    Parameters
    ----------
    length_mm, clear_mm : float
        Length of one weld, clear distance between two [mm]

    Returns
    -------
    float
        Pitch [mm]

    References
    ----------
    .. [1] AWS A2.4 writes length-pitch, ISO 2553 n x l (e); both count the same weld.
    """
    return length_mm + clear_mm


def left_text(symbol: WeldSymbol, form: Form, units: UnitName = "mm") -> str:
    """Return the size written left of the symbol: throat ``a`` in the ISO form, leg in the AWS form.

    The ISO form is in millimetres always; the AWS form in the shop's own units, inches with their mark.
    """
    if not symbol.size_mm:
        return ""
    if form == "AWS" and units == "in":
        inches = inch_fraction(leg_from_throat(symbol.size_mm) if symbol.shape == "fillet" else symbol.size_mm) + '"'
        return inches if symbol.shape in ("fillet", "plug") else f"({inches})"
    if symbol.shape == "fillet":
        return f"a{symbol.size_mm:.2g}" if form == "ISO" else f"{leg_from_throat(symbol.size_mm):.2g}"
    if symbol.shape == "plug":
        return f"{symbol.size_mm:.3g}"
    return f"s{symbol.size_mm:.3g}" if form == "ISO" else f"({symbol.size_mm:.3g})"


def right_text(symbol: WeldSymbol, form: Form, units: UnitName = "mm") -> str:
    """Return the count and length written right of the symbol; empty for a continuous weld."""
    if not symbol.count:
        return ""
    if symbol.shape == "plug":
        return f"{symbol.count}" if form == "ISO" else f"({symbol.count})"
    if form == "ISO":
        return f"{symbol.count}×{symbol.length_mm:.3g} ({symbol.clear_mm:.3g})"
    if units == "in":
        both = (symbol.length_mm, pitch_mm(symbol.length_mm, symbol.clear_mm))
        return "-".join(f'{inch_fraction(v)}"' for v in both)
    return f"{symbol.length_mm:.3g}-{pitch_mm(symbol.length_mm, symbol.clear_mm):.3g}"


def tail_text(symbol: WeldSymbol, form: Form) -> str:
    """Return what stands in the tail: process number and quality level, or the process' letters."""
    first = PROCESS_NUMBER.get(symbol.process, symbol.process) if form == "ISO" else symbol.process
    second = symbol.quality if form == "ISO" else ""
    return " / ".join(t for t in (first, second) if t)


def draw_symbol(
    symbol: WeldSymbol,
    at: Point,
    joint: Point,
    form: Form = "ISO",
    text_mm: float = 4.0,
    units: UnitName = "mm",
) -> tuple[tuple[Item, ...], float]:
    """Return the symbol's items and the length of its reference line [mm].

    Parameters
    ----------
    symbol : WeldSymbol
        What it says.
    at : Point
        Left end of the reference line, where the arrow starts [mm].
    joint : Point
        Tip of the arrow, on the joint [mm].
    form : {"ISO", "AWS"}
        ISO 2553 system A (dashed line below, symbol for the arrow side on the solid line), or AWS A2.4 (symbol for
        the arrow side below the one line).
    text_mm : float
        Font size [mm].
    units : {"mm", "in"}
        The shop's units, for the AWS form.
    """
    pen, h = Pen(0.4), text_mm
    left, right, tail = left_text(symbol, form, units), right_text(symbol, form, units), tail_text(symbol, form)
    start = at.x + 1.2 * h
    x_symbol = start + (text_width(left, h) + 0.4 * h if left else 0.0)
    x_right = x_symbol + 1.6 * h
    end = x_right + (text_width(right, h) + 0.4 * h if right else 0.0) + 0.6 * h
    up = 1.0 if form == "ISO" else -1.0
    base = at.y + 0.35 * h if up > 0.0 else at.y - 1.15 * h
    items: list[Item] = [
        line(at, (end, at.y), pen, "symbol reference"),
        *arrow(at, joint, pen, 0.9 * h, "symbol arrow"),
    ]
    if form == "ISO":
        items.append(
            line(
                (at.x + 0.3 * h, at.y - 0.45 * h), (end, at.y - 0.45 * h), Pen(0.3, dash_mm=(1.6, 1.0)), "symbol dashed"
            )
        )
    items += _shape(symbol, x_symbol, at.y, h, up)
    if left:
        items.append(Text(left, Point(start, base), h, tag="symbol size"))
    if right:
        items.append(Text(right, Point(x_right, base), h, tag="symbol length"))
    if symbol.shape in ("square butt", "single V") and form == "AWS" and symbol.root_gap_mm:
        gap = f"{symbol.root_gap_mm:.3g}" if units == "mm" else f'{inch_fraction(symbol.root_gap_mm)}"'
        items.append(Text(gap, Point(x_symbol + 0.6 * h, at.y - 2.5 * h), 0.8 * h, "middle", tag="symbol root"))
    if symbol.all_round:
        items.append(ring(at, 0.38 * h, pen, tag="symbol all-round"))
    if symbol.on_site:
        items += _flag(at, h)
    if tail:
        fork = 0.7 * h
        items.append(line((end, at.y), (end + fork, at.y + fork), pen, "symbol tail"))
        items.append(line((end, at.y), (end + fork, at.y - fork), pen, "symbol tail"))
        items.append(Text(tail, Point(end + 1.1 * fork, at.y - 0.35 * h), h, tag="symbol process"))
        end += 1.1 * fork + text_width(tail, h)
    return tuple(items), end - at.x


def _shape(symbol: WeldSymbol, x: float, y: float, h: float, up: float) -> list[Item]:
    """The elementary symbol, standing on the reference line or hanging from it."""
    pen, tall, tag = Pen(0.4), 1.3 * h * up, f"symbol {symbol.shape}"
    if symbol.shape == "square butt":
        return [line((x + d * h, y), (x + d * h, y + tall), pen, tag) for d in (0.35, 0.85)]
    if symbol.shape == "single V":
        return [line((x + 0.6 * h, y), (x + (0.6 + d) * h, y + tall), pen, tag) for d in (-0.6, 0.6)]
    if symbol.shape == "fillet":
        # the vertical leg stands on the left in both forms (from memory)
        a, b, c = Point(x + 0.1 * h, y), Point(x + 0.1 * h, y + tall), Point(x + 1.3 * h, y)
        return [Stroke((Line(a, b), Line(b, c), Line(c, a)), pen, closed=True, tag=tag)]
    a, b = Point(x + 0.05 * h, y), Point(x + 1.35 * h, y)
    c, d = Point(b.x, y + 0.8 * tall), Point(a.x, y + 0.8 * tall)
    return [Stroke((Line(a, d), Line(d, c), Line(c, b)), pen, tag=tag)]


def _flag(at: Point, h: float) -> list[Item]:
    top = Point(at.x, at.y + 1.8 * h)
    tip, low = Point(at.x + 0.9 * h, at.y + 1.45 * h), Point(at.x, at.y + 1.1 * h)
    sides = (Line(top, tip), Line(tip, low), Line(low, top))
    return [
        line(at, top, Pen(0.4), "symbol on-site"),
        Stroke(sides, None, "#000000", closed=True, tag="symbol on-site"),
    ]
