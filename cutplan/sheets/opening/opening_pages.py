"""The opening in numbered steps: one picture, what to do, what holds what, and a box to tick."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.drawing.model import Figure
from cutplan.geometry.vector import Box
from cutplan.sheets.datum_sheet import datum_sheet
from cutplan.sheets.opening.opening_pictures import overview, step_pictures
from cutplan.sheets.opening.step_blocks import often_box, said_often, step_block
from cutplan.sheets.page import CELL, HEADING, SMALL, Builder
from cutplan.sheets.pictures import place, place_in
from cutplan.sheets.results import Results
from cutplan.units import format_length

if TYPE_CHECKING:
    from cutplan.opening.model import OpeningPlan, Step

#: Most height of the picture of the distances; least and most of the overview's [mm].
_WIDE_MM, _OVERVIEW_MM = 118.0, (64.0, 105.0)
#: Width of the list of sections beside the overview [mm], and with how many rows it stands there.
_LIST_MM, _MOST_BESIDE = {"mm": 92.0, "in": 100.0}, 9
#: Widths of the columns of the sections.
_SHARES = {"mm": (0.78, 1.75, 0.9, 0.8, 0.5), "in": (0.7, 2.4, 0.9, 0.8, 0.55)}
#: The least height at which the distances along the lines can be read [mm]: inches with their millimetres are long.
_LEAST_MM = {"mm": 68.0, "in": 80.0}


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
            tool=b.read(plan.tools.said),
            perimeter=format_length(plan.perimeter_mm, job.shown.display, 0),
        ),
        CELL,
    )
    if plan.bracing.text:
        b.box(b.read(plan.bracing.text), CELL, bold=True)
    whole, rows = overview(results, b.lang), _section_rows(b, results, plan)
    measured = sum(_measure_height(b, s) for s in plan.steps if s.kind == "measure")
    if whole is not None and rows and len(rows) <= _MOST_BESIDE:
        _beside(b, whole, rows, b.room - b.title_mm - measured - 4.0)
    else:
        if whole is not None:
            place(b, whole, _OVERVIEW_MM[1], caption=b.say("opening.picture"))
        if rows:
            b.table(rows, _SHARES[job.shown.display], tag="sections")
    b.page("opening.steps_title", need_mm=max(measured, 100.0))
    often = said_often(b, plan.steps)
    told_often = False
    for step, figure in zip(plan.steps, step_pictures(results, b.lang), strict=True):
        if step.kind == "measure":
            _measure(b, step, figure)
            datum_sheet(b, results)
            continue
        if not told_often and (step.section or any(b.read(t) in often for t in step.text)):
            often_box(b, often)
            told_often = True
        step_block(b, step, figure, often)


def _section_rows(b: Builder, results: Results, plan: OpeningPlan) -> list[list[str]]:
    """The sections with a header, a box to tick for each; empty without any."""
    if not plan.sections:
        return []
    display = results.job.shown.display
    # an inch with its millimetres fills a line
    by = " × " if display == "mm" else " ×\n"
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
            f"{format_length(s.length_mm, display, 0)}{by}{format_length(s.width_mm, display, 0)}",
            f"{s.mass_kg:.2f} kg",
            ", ".join(s.ribs) or "–",
            "☐",
        ]
        for s in plan.sections
    ]
    return [head, *rows]


def _beside(b: Builder, whole: Figure, rows: list[list[str]], spare_mm: float) -> None:
    """The overview with the list of sections on its right, no higher than leaves room for what follows."""
    display = b.job.shown.display
    split = b.right - _LIST_MM[display]
    # no higher than the picture is at this width, with its caption
    own = (split - 8.0 - b.left) * whole.box.height / whole.box.width + 11.0
    with b.column(split, b.right):
        listed = b.table_height(rows, _SHARES[display], SMALL)
    tall = max(min(spare_mm, own, _OVERVIEW_MM[1]), min(own, _OVERVIEW_MM[0]), listed)
    top = b.y
    with b.column(split, b.right):
        b.table(rows, _SHARES[display], SMALL, tag="sections")
    place_in(b, whole, Box(b.left, top - tall, split - 4.0, top), caption=b.say("opening.picture"))
    b.y = top - tall - 1.5


def _measure_height(b: Builder, step: Step) -> float:
    """What the step of measuring takes with its picture at the least [mm]."""
    words = [b.read(t) for t in step.text]
    return HEADING + 6.0 + sum(max(b.height_of([w], CELL), 7.8) for w in words) + _LEAST_MM[b.job.shown.display] + 2.0


def _measure(b: Builder, step: Step, figure: Figure) -> None:
    """The distances to measure get the full width; as high as the page still allows, where that can be read."""
    b.heading(f"{step.number}. {b.read(step.title)}", _measure_height(b, step))
    for t in step.text:
        b.tick(b.read(t), size=CELL)
    left = b.room - 2.0
    place(b, figure, min(left, _WIDE_MM) if left > _LEAST_MM[b.job.shown.display] else _WIDE_MM, scale_text=False)
