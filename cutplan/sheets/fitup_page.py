"""Fit-up: gap, brace, and the distances to write down before anything is welded."""

from __future__ import annotations

from math import ceil

from cutplan.drawing.layout import arrow
from cutplan.drawing.model import Figure, Item, Pen, Text
from cutplan.inspection.named_points import gap_stations
from cutplan.pattern.brace_designs import braces_of
from cutplan.pattern.job import Job
from cutplan.pattern.opening import opening_line
from cutplan.sheets.page import HEADING, Builder
from cutplan.sheets.pictures import place
from cutplan.sheets.plate.plate_drawing import LABEL_MM, plate_figure
from cutplan.sheets.results import Results
from cutplan.texts.by_id import told
from cutplan.units import format_length

#: Font size of a table that is written into [mm].
_WRITE_MM = 4.6


def gap_figure(job: Job) -> Figure:
    """Return the plate with the stations where the gap is measured."""
    base = plate_figure(job, sizes=False, names=False, fill="")
    box = job.plate.outline.box
    reach = 0.035 * box.diagonal
    items: list[Item] = list(base.items)
    for name, point, direction in gap_stations(job):
        out = direction.left().times(-1.0)
        far = point.plus(out.times(reach))
        items += arrow(far, point, Pen(0.35), 0.4 * reach, f"station {name}")
        items.append(Text(name, point.plus(out.times(1.6 * reach)), LABEL_MM, "middle", bold=True, tag="station-name"))
    return Figure(tuple(items), box.grown(2.4 * reach))


def fitup_steps(results: Results, lang: str) -> list[str]:
    """Return what is done before the first stitch, in order."""
    job = results.job

    def say_(key: str, **values: object) -> str:
        return told(f"fitup.{key}", lang, **values)

    steps = [say_("clean")]
    if job.joint.kind == "butt":
        steps.append(say_("gap", gap=format_length(job.joint.gap_mm, job.display)))
    else:
        steps.append(say_("lap", overlap=format_length(job.joint.overlap_mm, job.display)))
    if any(b.on == "tacked" for b in braces_of(job, opening_line(job))):
        steps.append(say_("brace"))
    if job.pads:
        steps.append(say_("pads", pads=", ".join(p.name for p in job.pads)))
    steps += [say_("tack"), say_("write")]
    if results.opening is not None and results.opening.datum.lines:
        steps.append(say_("again"))
    return steps


def fitup_page(b: Builder, results: Results) -> None:
    """Write the fit-up page."""
    job = results.job
    b.page("fitup.title")
    for n, words in enumerate(fitup_steps(results, b.lang), 1):
        b.tick(words, f"{n}.")
    rows, shares = _gap_rows(b, job)
    # the picture gives way to the table where both fit the page then
    left = b.room - HEADING - 12.0 - b.table_height(rows, shares, _WRITE_MM) if rows else b.room
    place(b, gap_figure(job), min(95.0, b.room) if left < 60.0 else min(95.0, left), caption=b.say("fitup.picture"))
    if rows:
        b.table(rows, shares, _WRITE_MM, tag="gaps", title=b.say("fitup.gaps"))


def _gap_rows(b: Builder, job: Job) -> tuple[list[list[str]], list[float]]:
    """Stations in two or three blocks beside each other, with room to write, and the columns' shares."""
    names = [s[0] for s in gap_stations(job)]
    if not names:
        return [], []
    blocks = 3 if len(names) > 8 else 2
    rows = ceil(len(names) / blocks)
    head = [b.say("fitup.station"), b.say("fitup.measured")] * blocks
    cells = [
        [c for k in range(blocks) for c in ((names[i + k * rows] if i + k * rows < len(names) else ""), "")]
        for i in range(rows)
    ]
    return [head, *cells], [0.8, 1.2] * blocks
