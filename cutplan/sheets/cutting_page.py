"""How the plate is cut: net plate with sizes, hole and drill list, the torch's path and what the process can hold."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.sheets.cut_map import path_map
from cutplan.sheets.page import CELL, Builder, sentence
from cutplan.sheets.pictures import place
from cutplan.sheets.plate_drawing import plate_figure
from cutplan.sheets.results import Results
from cutplan.tables.say import say
from cutplan.units import format_length

if TYPE_CHECKING:
    from cutplan.cutting.result import CutPlan

#: More holes than this are listed on pages of their own anyway; the table only grows.
_PICTURE_MM = 105.0

#: Widths of the drill list's columns.
_DRILLS = {"mm": (0.3, 0.6, 0.9, 1.0, 1.6, 1.7), "in": (0.3, 0.55, 1.4, 1.5, 1.6, 1.6)}


def cutting_pages(b: Builder, results: Results) -> None:
    """Write the cutting pages; the path only when a cut was planned."""
    job = results.job
    b.page("cut.title")
    b.para(
        b.say(
            "cut.net",
            thickness=format_length(job.plate.thickness_mm, job.display),
            steel=job.plate.steel,
            count=job.plate.quantity,
        )
    )
    lines = len(job.plate.holes) + (
        len(results.cut.drilled) + 4 if results.cut is not None and results.cut.drilled else 0
    )
    spare = b.room - 42.0 - lines * 6.4
    place(b, plate_figure(job), min(max(spare, 75.0), _PICTURE_MM), caption=b.say("cut.net_picture"))
    _holes(b, results)
    if results.cut is None:
        return
    plan = results.cut
    b.page("cut.path_title")
    b.box(b.say("cut.once"), bold=True)
    rows = [
        [b.say("cut.process"), plan.process],
        [
            b.say("fact.cut.kerf"),
            f"{format_length(plan.kerf_mm, job.display, 2)}; "
            + b.say("cut.kerf_band", low=f"{plan.kerf.band.low:.2f}", high=f"{plan.kerf.band.high:.2f}")
            + ("" if plan.kerf.measured else " — " + b.say("cut.kerf_unmeasured")),
        ],
        [b.say("fact.cut.length"), format_length(plan.totals.cut_mm, job.display, 0)],
        [b.say("fact.cut.pierces"), str(plan.totals.pierces)],
        [b.say("fact.cut.rapid"), format_length(plan.totals.rapid_mm, job.display, 0)],
        [b.say("fact.cut.time"), plan.totals.time_s.text(0)],
    ]
    b.table([[b.say("cut.setting"), b.say("cut.value")], *rows], (0.35, 0.65))
    words = [f"• {t}" for t in expectation_lines(results, b.lang)]
    spare = b.room - 26.0 - 6.4 * (len(plan.paths) + 1) - b.height_of(words, CELL)
    place(b, path_map(job, plan), min(max(spare, 62.0), _PICTURE_MM), caption=b.say("cut.path_picture"))
    head = [b.say("cut.order"), b.say("cut.what"), b.say("fact.cut.length"), b.say("cut.lead"), b.say("cut.note")]
    b.table(
        [
            head,
            *(
                [str(n), p.name, format_length(p.length_mm, job.display, 0), b.say(f"cut.lead.{p.lead}"), p.note]
                for n, p in enumerate(plan.paths, 1)
            ),
        ],
        (0.1, 0.22, 0.24, 0.16, 0.4) if job.display == "mm" else (0.1, 0.2, 0.36, 0.16, 0.3),
        tag="cut-order",
    )
    if plan.expectations:
        b.heading(b.say("cut.hold"), 16.0 + b.height_of(words[:1], CELL))
        for text in words:
            b.para(text, CELL)


def drill_reasons(plan: CutPlan) -> list[str]:
    """Return why holes are not cut, each reason once with its holes."""
    holes: dict[str, list[str]] = {}
    for d in plan.drilled:
        if d.reason:
            holes.setdefault(d.reason, []).append(d.name)
    return [f"{', '.join(names)}: {sentence(reason)}" for reason, names in holes.items()]


def expectation_lines(results: Results, lang: str = "en") -> list[str]:
    """Return what the process can hold, and in one line what the standard does not reach."""
    if results.cut is None:
        return []
    found = results.cut.expectations
    lines = [sentence(e.text) for e in found if e.covered]
    rest = [e.what for e in found if not e.covered]
    if rest:
        source = next(e.source for e in found if not e.covered)
        lines.append(say("cut.not_covered", lang, which="; ".join(dict.fromkeys(rest)), source=source))
    return lines


def hole_rows(results: Results, b: Builder) -> list[list[str]]:
    """Return name, place, size, purpose and what is done, for each hole; places from the datum corner."""
    job = results.job
    corner = Point(job.plate.outline.box.xmin, job.plate.outline.box.ymin)
    rows = []
    for hole in job.plate.holes:
        at = hole.centre.minus(corner)
        size = (
            format_length(hole.diameter_mm, job.display)
            if hole.diameter_mm
            else _extent(job, hole.contour.box.width, hole.contour.box.height)
        )
        rows.append(
            [
                hole.name,
                _short(at.x, job),
                _short(at.y, job),
                size,
                b.say(f"purpose.{hole.purpose}") + (f" {hole.bolt}" if hole.bolt else ""),
                _done(b, results, hole.name),
            ]
        )
    return rows


def _extent(job: Job, wide: float, tall: float) -> str:
    return f"{format_length(wide, job.display)} × {format_length(tall, job.display)}"


def _short(mm: float, job: Job) -> str:
    return format_length(mm, job.display)


def _done(b: Builder, results: Results, name: str) -> str:
    """What is done with a hole: cut, or marked and drilled."""
    if results.cut is None:
        return ""
    drilled = [d for d in results.cut.drilled if d.name == name or (d.name[:-1] == name and d.name[-1] in "ab")]
    return b.say("cut.drilled") if drilled else b.say("cut.cut")


def _holes(b: Builder, results: Results) -> None:
    job = results.job
    if not job.plate.holes:
        b.para(b.say("cut.no_holes"))
        return
    b.heading(b.say("cut.holes"))
    b.para(b.say("cut.from_corner"), CELL)
    head = [b.say("cut.hole"), "X", "Y", b.say("cut.size"), b.say("cut.purpose"), b.say("cut.done")]
    shares = (0.5, 1.0, 1.0, 1.1, 1.0, 0.9) if job.display == "mm" else (0.5, 1.2, 1.2, 1.3, 0.9, 0.8)
    b.table([head, *hole_rows(results, b)], shares, tag="holes")
    if results.cut is None or not results.cut.drilled:
        return
    head = ["", b.say("cut.hole"), b.say("cut.pilot"), b.say("cut.finish"), b.say("cut.for"), b.say("cut.how")]
    rows = [
        [
            "☐",
            d.name,
            format_length(d.pilot_mm, job.display) if d.pilot_mm else "–",
            format_length(d.diameter_mm, job.display),
            d.fit or d.bolt or "–",
            sentence(d.how),
        ]
        for d in results.cut.drilled
    ]
    b.table([head, *rows], _DRILLS[job.display], tag="drills", title=b.say("cut.drill_list"))
    for words in drill_reasons(results.cut):
        b.para(f"• {words}", CELL)
