"""The datum sheet: distances measured before the skin is opened, after tacking and after welding."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.drawing.font import text_width
from cutplan.drawing.layout import table
from cutplan.drawing.model import Item
from cutplan.sheets.page import CELL, HEADING, Builder
from cutplan.sheets.results import Results
from cutplan.texts import say
from cutplan.units import format_length

if TYPE_CHECKING:
    from cutplan.opening.model import DatumLine

#: Font size of the table [mm]: rows are high enough to write in.
_SIZE = 4.2
_SHARES = {"mm": (1.5, 1.1, 0.8, 0.8, 0.8, 0.8), "in": (1.4, 1.75, 0.65, 0.65, 0.65, 0.65)}
#: Font size of two blocks side by side, the gap between them, air of a cell, and the least width to write in [mm].
_BLOCK_MM, _GAP_MM, _PAD_MM, _WRITE_MM = 3.6, 5.0, 1.2, 10.5
#: A block may be longer than the one beside it by so many rows.
_UNEVEN = 4

Rows = list[list[str]]


def datum_rows(b: Builder, results: Results) -> Rows:
    """Return the table with its header row; empty without an opening or without distances."""
    lines = results.opening.datum.lines if results.opening is not None else ()
    if not lines:
        return []
    pads = _pads(results)
    return [
        [b.say("fitup.from_to"), b.say("fitup.planned"), *_times(b)],
        *(_row(b, d, d.a in pads or d.b in pads) for d in lines),
    ]


def _times(b: Builder) -> list[str]:
    """The four times to measure, in order."""
    return [b.say("fitup.before"), b.say(say("Open")), b.say("fitup.tacked"), b.say("fitup.after")]


def _pads(results: Results) -> set[str]:
    assert results.opening is not None
    return {p.name for p in results.opening.datum.points if p.kind == "pad"}


def _row(b: Builder, d: DatumLine, on_plate: bool) -> list[str]:
    """One distance; a pad lies on the plate, which is not there while the skin is open."""
    return [f"{d.a} – {d.b}", format_length(d.planned_mm, b.job.shown.display), "", "–" if on_plate else "", "", ""]


def _blocks(b: Builder, results: Results) -> tuple[Rows, ...]:
    """Marks to marks, and pads to marks without the time when no plate is there; nothing where a page is too narrow."""
    if results.opening is None:
        return ()
    pads, lines = _pads(results), results.opening.datum.lines
    skin = [d for d in lines if d.a not in pads and d.b not in pads]
    plate = [d for d in lines if d not in skin]
    if not skin or not plate or abs(len(skin) - len(plate)) > _UNEVEN:
        return ()
    head = [b.say("fitup.from_to"), b.say("fitup.planned")]
    planned = [[[f"{d.a} – {d.b}", _two_lines(d, b)] for d in ds] for ds in (skin, plate)]
    found = (
        [[*head, "1", "2", "3", "4"], *([*c, "", "", "", ""] for c in planned[0])],
        [[*head, "1", "3", "4"], *([*c, "", "", ""] for c in planned[1])],
    )
    room = b.wide - _GAP_MM - sum(sum(_told(rows)) for rows in found)
    return found if room >= 7 * _WRITE_MM else ()


def _two_lines(d: DatumLine, b: Builder) -> str:
    """An inch over its millimetres."""
    return format_length(d.planned_mm, b.job.shown.display).replace(" (", "\n(")


def _told(rows: Rows) -> tuple[float, float]:
    """Widths of the two columns that are told, whole lines in them [mm]."""
    wide = [
        max(text_width(t, _BLOCK_MM, bold=n == 0) for n, row in enumerate(rows) for t in row[k].split("\n"))
        for k in (0, 1)
    ]
    return wide[0] + 2.0 * _PAD_MM + 0.1, wide[1] + 2.0 * _PAD_MM + 0.1


def _widths(b: Builder, blocks: tuple[Rows, ...]) -> list[list[float]]:
    """Widths of all columns: what is told takes what it needs, what is written in shares the rest [mm]."""
    told = [_told(rows) for rows in blocks]
    write = (b.wide - _GAP_MM - sum(map(sum, told))) / sum(len(rows[0]) - 2 for rows in blocks)
    return [[*t, *([write] * (len(rows[0]) - 2))] for t, rows in zip(told, blocks, strict=True)]


def _lead(b: Builder, blocks: tuple[Rows, ...]) -> str:
    """What to do, and what the numbers over the columns are."""
    times = " · ".join(f"{n}\u00a0{words}" for n, words in enumerate(_times(b), 1))
    return b.say("fitup.datum_lead") + (f" {times}" if blocks else "")


def datum_height(b: Builder, results: Results) -> float:
    """Return the height of the whole sheet with its heading [mm]; 0 without distances."""
    rows, blocks = datum_rows(b, results), _blocks(b, results)
    if not rows:
        return 0.0
    above = b.height_of([_lead(b, blocks)], CELL) + HEADING + 6.0
    if not blocks:
        return above + b.table_height(rows, _SHARES[b.job.shown.display], _SIZE)
    return above + max(_drawn(b, blocks, 0.0)[1])


def _drawn(b: Builder, blocks: tuple[Rows, ...], top: float) -> tuple[list[Item], list[float]]:
    """The two blocks below a height, and what each takes with the gap below it [mm]."""
    items: list[Item] = []
    tall, x = [], b.left
    for rows, widths in zip(blocks, _widths(b, blocks), strict=True):
        drawn, low, _ = table(rows, x, top, widths, _BLOCK_MM, tag="datum")
        items += drawn
        tall.append(top - low + 3.5)
        x += sum(widths) + _GAP_MM
    return items, tall


def datum_sheet(b: Builder, results: Results) -> None:
    """Write the sheet, whole where a page holds it."""
    rows, blocks = datum_rows(b, results), _blocks(b, results)
    if not rows:
        return
    b.heading(b.say("fitup.datum"), min(datum_height(b, results), 0.9 * b.full))
    b.para(_lead(b, blocks), CELL)
    if not blocks:
        b.table(rows, _SHARES[b.job.shown.display], _SIZE, tag="datum")
        return
    items, tall = _drawn(b, blocks, b.y)
    b.add(*items)
    b.skip(max(tall))
