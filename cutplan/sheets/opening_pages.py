"""The opening in numbered steps: one picture, what to do, what holds what, and a box to tick."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.drawing.layout import frame, paragraph, wrap_text
from cutplan.drawing.model import Figure, Pen, placed
from cutplan.geometry.vector import Box
from cutplan.sheets.localised import localised_items
from cutplan.sheets.page import BODY, CELL, HEADING, Builder
from cutplan.sheets.pictures import legible, place
from cutplan.sheets.results import Results
from cutplan.sheets.untangle import untangle
from cutplan.units import format_length

if TYPE_CHECKING:
    from cutplan.opening.model import OpeningPlan, Step

#: Height of a full-width picture [mm], and the share of the width that a step's picture takes.
_WIDE_MM = 118.0
_SHARE = 0.53


def step_pictures(results: Results) -> tuple[Figure, ...]:
    """Return one picture for each step of the opening."""
    plan = results.opening
    if plan is None:
        return ()
    from cutplan.opening.figures import step_figure

    return tuple(step_figure(results.job, plan, i, caption=False) for i in range(len(plan.steps)))


def overview(results: Results) -> Figure | None:
    """Return the whole opening with sections, cuts and drills."""
    if results.opening is None:
        return None
    from cutplan.opening.figures import overview_figure

    return overview_figure(results.job, results.opening)


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
            tool=plan.tool,
            perimeter=format_length(plan.perimeter_mm, job.display, 0),
        )
    )
    if plan.brace_text:
        b.box(plan.brace_text, bold=True)
    whole = overview(results)
    if whole is not None:
        place(b, whole, 105.0, caption=b.say("opening.picture"))
    _sections(b, results, plan)
    b.page("opening.steps_title")
    for step, figure in zip(plan.steps, step_pictures(results), strict=True):
        _step(b, step, figure)


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


def _step(b: Builder, step: Step, figure: Figure) -> None:
    """Picture left, words right; as tall as the taller of both. The distances to measure get the full width."""
    if step.kind == "measure":
        b.heading(f"{step.number}. {step.title.text}", 150.0)
        for t in step.text:
            b.tick(t)
        place(b, figure, _WIDE_MM, scale_text=False)
        return
    gap = 5.0
    wide = _SHARE * b.wide
    x = b.left + wide + gap
    room = b.right - x
    title = f"{step.number}. {step.title.text}"
    lines = len(wrap_text(title, room - 9.0, HEADING, bold=True)) * 1.3 * HEADING + 3.0
    for size, texts in ((BODY, step.text), (CELL, step.holds)):
        lines += sum(len(wrap_text(t, room, size)) * 1.3 * size + 1.2 for t in texts)
    picture = wide * figure.box.height / max(figure.box.width, 1e-9)
    tall = max(picture, lines + 2.0)
    b.need(tall + 4.0)
    box = Box(b.left, b.y - picture, b.left + wide, b.y)
    items, _ = placed(figure, box.grown(-0.5))
    b.add(*untangle(legible(localised_items(items, b.lang)), box.grown(-0.7)))
    b.add(frame(box, Pen(0.25, "#888888"), "picture"))
    b.add(frame(Box(x, b.y - 6.0, x + 6.0, b.y), Pen(0.5), "tick"))
    text, y = paragraph(title, x + 9.0, b.y, room - 9.0, HEADING, bold=True, tag="step-title")
    b.add(*text)
    y = min(y, b.y - 7.0) - 1.5
    for size, texts in ((BODY, step.text), (CELL, step.holds)):
        for t in texts:
            text, y = paragraph(t, x, y, room, size)
            b.add(*text)
            y -= 1.2
    b.y -= tall + 4.0
