"""The datum sheet: distances measured before the skin is opened, after tacking and after welding."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.sheets.page import CELL, HEADING, Builder
from cutplan.sheets.results import Results
from cutplan.texts import say
from cutplan.units import format_length

if TYPE_CHECKING:
    from cutplan.opening.model import DatumLine

#: Font size of the table [mm]: rows are high enough to write in.
_SIZE = 4.4
_SHARES = {"mm": (1.5, 1.1, 0.8, 0.8, 0.8, 0.8), "in": (1.4, 1.75, 0.65, 0.65, 0.65, 0.65)}


def datum_rows(b: Builder, results: Results) -> list[list[str]]:
    """Return the table with its header row; empty without an opening or without distances."""
    if results.opening is None or not results.opening.datum.lines:
        return []
    head = [b.say(f"fitup.{k}") for k in ("from_to", "planned", "before", "tacked", "after")]
    head.insert(3, b.say(say("Open")))
    plan = results.opening.datum
    pads = {p.name for p in plan.points if p.kind == "pad"}
    return [head, *(_row(b, d, d.a in pads or d.b in pads) for d in plan.lines)]


def _row(b: Builder, d: DatumLine, on_plate: bool) -> list[str]:
    """One distance; a pad lies on the plate, which is not there while the skin is open."""
    return [f"{d.a} – {d.b}", format_length(d.planned_mm, b.job.shown.display), "", "–" if on_plate else "", "", ""]


def datum_height(b: Builder, results: Results) -> float:
    """Return the height of the whole sheet with its heading [mm]; 0 without distances."""
    rows = datum_rows(b, results)
    if not rows:
        return 0.0
    table = b.table_height(rows, _SHARES[b.job.shown.display], _SIZE)
    return table + b.height_of([b.say("fitup.datum_lead")], CELL) + HEADING + 6.0


def datum_sheet(b: Builder, results: Results) -> None:
    """Write the sheet, whole where a page holds it."""
    rows = datum_rows(b, results)
    if not rows:
        return
    b.heading(b.say("fitup.datum"), min(datum_height(b, results), 0.9 * b.full))
    b.para(b.say("fitup.datum_lead"), CELL)
    b.table(rows, _SHARES[b.job.shown.display], _SIZE, tag="datum")
