"""The map of the template's tiles, and how to check and join them."""

from __future__ import annotations

from cutplan.drawing.model import Figure
from cutplan.sheets.page import CELL, Builder
from cutplan.sheets.pictures import place
from cutplan.sheets.results import Results
from cutplan.texts import Message, plural
from cutplan.texts.by_id import told
from cutplan.units import format_length

#: Most and least height of the map [mm].
_MAP_MM, _LEAST_MM = 120.0, 48.0


def map_picture(results: Results, width_mm: float = 180.0, height_mm: float = _MAP_MM) -> Figure | None:
    """Return the map of the sheets for a picture of that size [mm]; None without templates."""
    if results.templates is None:
        return None
    from cutplan.templates.printed.figures import map_figure

    return map_figure(results.templates, width_mm, height_mm)


def sheets_said(count: int) -> Message:
    """Return how many sheets of paper the templates take."""
    return plural("{count} sheet", "{count} sheets", count)


def template_steps(results: Results, lang: str = "en") -> list[str]:
    """Return what to do with the printed paper, in order."""
    plan, job = results.templates, results.job
    if plan is None:
        return []
    steps = [
        told("template.print", lang, paper=plan.paper, sheets=sheets_said(len(plan.pages))),
        told("template.check", lang),
    ]
    if any(len(j.layout.sheets) > 1 for j in plan.joined):
        steps.append(told("template.join", lang))
    if plan.checks:
        lengths = (
            told("paper.diagonal", lang, start=d.start, end=d.end, length=format_length(d.length_mm, job.shown.display))
            for d in plan.checks
        )
        steps.append(told("template.distances", lang, lengths="; ".join(lengths)))
    return [*steps, told("template.stick", lang), told("template.trace", lang)]


def template_page(b: Builder, results: Results) -> None:
    """Write the page about the paper templates; nothing without templates."""
    if results.templates is None:
        return
    steps = template_steps(results, b.lang)
    b.page("template.title", need_mm=sum(max(b.height_of([s], CELL), 7.0) for s in steps))
    for n, step in enumerate(steps, 1):
        b.tick(step, f"{n}.", CELL)
    # the templates bring their map as the first sheet: here it stands where it fits
    tall = min(b.room - 2.0, _MAP_MM)
    if tall < _LEAST_MM:
        return
    picture = map_picture(results, b.wide - 4.0, tall - 10.0)
    if picture is not None:
        place(b, picture, tall, caption=b.say("template.map"))
