"""The opening in numbered steps: one picture, what to do, what holds what, and a box to tick."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutplan.drawing.layout import frame, paragraph, wrap_text
from cutplan.drawing.model import Figure, Page, Pen, moved
from cutplan.geometry.vector import Box
from cutplan.report.pages import step_pages
from cutplan.sheets.datum_sheet import datum_height, datum_sheet
from cutplan.sheets.opening.opening_pictures import overview, step_pictures
from cutplan.sheets.opening.opening_tables import brace_table, coordinate_table
from cutplan.sheets.page import BODY, CELL, HEADING, Builder
from cutplan.sheets.pictures import place
from cutplan.sheets.results import Results
from cutplan.units import format_length

if TYPE_CHECKING:
    from cutplan.opening.model import OpeningPlan, Step

#: Height of a full-width picture, and gap between a step's picture and its words [mm].
_WIDE_MM, _GAP_MM = 118.0, 5.0
#: The least height at which the distances along the lines can be read [mm]: inches with their millimetres are long.
_LEAST_MM = {"mm": 78.0, "in": 96.0}


def opening_pages(b: Builder, results: Results) -> None:
    """Write the opening's pages."""
    plan = results.opening
    if plan is None:
        return
    job = results.job
    b.page("opening.title")
    b.para(
        b.say(
            "opening.lead" if len(plan.sections) != 1 else "opening.lead_one",
            count=len(plan.sections),
            tool=b.read(plan.tools_said),
            perimeter=format_length(plan.perimeter_mm, job.display, 0),
        )
    )
    if plan.brace_text:
        b.box(b.read(plan.brace_text), bold=True)
    whole = overview(results, b.lang)
    if whole is not None:
        place(b, whole, 105.0, caption=b.say("opening.picture"))
    _sections(b, results, plan)
    brace_table(b, results)
    coordinate_table(b, plan)
    b.page("opening.steps_title", need_mm=b.full)
    pages = step_pages(results, plan, b.lang)
    for step, figure, page in zip(plan.steps, step_pictures(results, b.lang), pages, strict=True):
        if step.kind == "measure":
            _measure(b, step, figure, datum_height(b, results))
            datum_sheet(b, results)
        else:
            _step(b, step, page)


def _sections(b: Builder, results: Results, plan: OpeningPlan) -> None:
    if not plan.sections:
        return
    display = results.job.display
    head = [
        b.say("opening.section"),
        b.say("opening.size"),
        b.say("opening.mass"),
        b.say("opening.ribs"),
        b.say("opening.out"),
    ]
    rows = [
        [
            str(s.number),
            f"{format_length(s.length_mm, display, 0)} × {format_length(s.width_mm, display, 0)}",
            f"{s.mass_kg:.2f} kg",
            ", ".join(s.ribs) or "–",
            "☐",
        ]
        for s in plan.sections
    ]
    b.table([head, *rows], (0.7, 1.7, 0.8, 1.0, 0.5), tag="sections")


def _measure(b: Builder, step: Step, figure: Figure, below_mm: float) -> None:
    """The distances to measure get the full width; with room for what follows, where the picture stays readable."""
    b.heading(f"{step.number}. {b.read(step.title)}", 150.0)
    for t in step.text:
        b.tick(b.read(t))
    left = b.room - below_mm - 2.0
    place(b, figure, left if _LEAST_MM[b.job.display] < left < _WIDE_MM else _WIDE_MM, scale_text=False)


def _step(b: Builder, step: Step, page: Page) -> None:
    """Picture left, words right; what holds what stands under the shorter of both."""
    x = b.left + page.width_mm + _GAP_MM
    room = b.right - x
    title = f"{step.number}. {b.read(step.title)}"
    said, held = [b.read(t) for t in step.text], [b.read(t) for t in step.holds]
    words = _height((title,), room - 9.0, HEADING, bold=True) + 1.8 + _height(said, room, BODY)
    under = page.height_mm + 2.0
    left, right = _height(held, page.width_mm, CELL), _height(held, room, CELL)
    below = max(under + left, words) < max(under, words + right)
    tall = max(under + left, words) if below else max(under, words + right)
    b.need(tall + 2.0)
    top = b.y
    box = Box(b.left, top - page.height_mm, b.left + page.width_mm, top)
    b.add(*(moved(i, 1.0, box.xmin, box.ymin) for i in page.items))
    b.add(frame(box, Pen(0.25, "#888888"), "picture"))
    b.add(frame(Box(x, top - 6.0, x + 6.0, top), Pen(0.5), "tick"))
    text, y = paragraph(title, x + 9.0, top, room - 9.0, HEADING, bold=True, tag="step-title")
    b.add(*text)
    y = _written(b, said, x, min(y, top - 7.0) - 1.5, room, BODY)
    if below:
        _written(b, held, b.left, top - under, page.width_mm, CELL)
    else:
        _written(b, held, x, y, room, CELL)
    b.y = top - tall - 2.0


def _height(texts: Sequence[str], width_mm: float, size: float, *, bold: bool = False) -> float:
    """Height of texts one below the other [mm]."""
    return sum(1.3 * size * len(wrap_text(t, width_mm, size, bold=bold)) + 1.2 for t in texts)


def _written(b: Builder, texts: Sequence[str], x: float, y: float, width_mm: float, size: float) -> float:
    """Write texts one below the other and return where they end [mm]."""
    for t in texts:
        items, y = paragraph(t, x, y, width_mm, size)
        b.add(*items)
        y -= 1.2
    return y
