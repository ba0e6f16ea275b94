"""Fit-up: gap, brace, and the distances to write down before anything is welded."""

from __future__ import annotations

from math import ceil

from cutplan.drawing.layout import arrow
from cutplan.drawing.model import Figure, Item, Pen, Text
from cutplan.geometry.vector import Box
from cutplan.inspection.judge import judge_gap
from cutplan.inspection.named_points import gap_stations
from cutplan.inspection.readings import Reading
from cutplan.pattern.brace_designs import braces_of
from cutplan.pattern.job import Job
from cutplan.pattern.opening import opening_line
from cutplan.sheets.page import CELL, HEADING, Builder
from cutplan.sheets.pictures import place, place_in
from cutplan.sheets.plate.plate_drawing import LABEL_MM, plate_figure
from cutplan.sheets.results import Results
from cutplan.texts import Reader, mm
from cutplan.texts.by_id import told
from cutplan.units import format_length

#: Font size of a table that is written into [mm].
_WRITE_MM = 3.9
#: Width of the table, and least height of the picture beside it [mm].
_LIST_MM, _PICTURE_MM = 92.0, 62.0


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
        return told(f"fitup.{key}", Reader(lang, job.shown.display), **values)

    steps = [say_("clean", clean=mm(25.4, 0))]  # common practice: an inch
    if job.joint.kind == "butt":
        steps.append(say_("gap", gap=format_length(job.joint.gap_mm, job.shown.display)))
    else:
        steps.append(say_("lap", overlap=format_length(job.joint.overlap_mm, job.shown.display)))
    if any(b.on == "tacked" for b in braces_of(job, opening_line(job))):
        steps.append(say_("brace"))
    if job.pads:
        steps.append(say_("pads", pads=", ".join(p.name for p in job.pads)))
    allowed = judge_gap(job, results, Reading("gap", "", "", 0.0))
    least, most = (allowed.plan_mm + off for off in (allowed.low_mm, allowed.high_mm))
    steps += [say_("tack"), say_("write", least=mm(least, 1), most=mm(most, 1))]
    if results.opening is not None and results.opening.datum.lines:
        steps.append(say_("again"))
    return steps


def fitup_page(b: Builder, results: Results) -> None:
    """Write the fit-up page."""
    job = results.job
    steps = fitup_steps(results, b.lang)
    rows, shares = _gap_rows(b, job)
    # the stations and the list to write into lie side by side
    split = b.right - _LIST_MM
    with b.column(split, b.right):
        listed = HEADING + 6.0 + b.table_height(rows, shares, _WRITE_MM) if rows else 0.0
    tall = max(listed, _PICTURE_MM)
    # steps and list are not parted: one writes down what the other asks for
    b.page("fitup.title", need_mm=sum(max(b.height_of([s], CELL), 7.8) for s in steps) + tall + 4.0)
    for n, words in enumerate(steps, 1):
        b.tick(words, f"{n}.", CELL)
    if not rows:
        place(b, gap_figure(job), min(80.0, b.room), caption=b.say("fitup.picture"))
        return
    b.need(tall + 2.0)
    top = b.y
    with b.column(split, b.right):
        b.table(rows, shares, _WRITE_MM, tag="gaps", title=b.say("fitup.gaps"))
    place_in(b, gap_figure(job), Box(b.left, top - tall, split - 4.0, top), caption=b.say("fitup.picture"))
    b.y = top - tall - 1.5


def _gap_rows(b: Builder, job: Job) -> tuple[list[list[str]], list[float]]:
    """Stations in two blocks beside each other, with room to write, and the columns' shares."""
    names = [s[0] for s in gap_stations(job)]
    if not names:
        return [], []
    blocks = 2
    rows = ceil(len(names) / blocks)
    head = [b.say("fitup.station"), b.say("fitup.measured")] * blocks
    cells = [
        [c for k in range(blocks) for c in ((names[i + k * rows] if i + k * rows < len(names) else ""), "")]
        for i in range(rows)
    ]
    return [head, *cells], [1.0, 1.3] * blocks
