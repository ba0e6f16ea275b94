"""After welding: cool, release, measure, decide."""

from __future__ import annotations

from functools import partial

from cutplan.drawing.model import Figure, Item, Pen, Text, ring, tied
from cutplan.geometry.vector import Box, Point
from cutplan.inspection.form import asked
from cutplan.inspection.limits import length_limit
from cutplan.inspection.named_points import dial_places, dial_way, named_points, pad_at
from cutplan.inspection.readings import Reading
from cutplan.pattern.brace_designs import braces_of
from cutplan.pattern.job import Job
from cutplan.pattern.opening import opening_line
from cutplan.sheets.opening.opening_tables import percent
from cutplan.sheets.page import CELL, CHAPTER_MM, SMALL, Builder
from cutplan.sheets.pictures import place_in
from cutplan.sheets.plate.plate_drawing import LABEL_MM
from cutplan.sheets.results import Results
from cutplan.texts import Reader, say
from cutplan.units import format_length

#: More distances than this stand in two blocks side by side, those with a name of at most so many letters.
_MOST_IN_ONE, _SHORT = 8, 8
#: Height and width of the picture of the pads' dial places [mm], and how many pads it shows.
_DIAL_PICTURE_MM, _DIAL_WIDE_MM, _MOST_PADS = 27.0, 52.0, 4
#: From pad to pad in that picture, how far below the middle their names stand, in pad radii: in turn where there are many.
_PITCH, _NAME, _LOWER_NAME = 5.2, 2.7, 3.5


def after_page(b: Builder, results: Results) -> None:
    """Write the page of what follows the last bead: whole on a page of its own where it would run over to the next one."""
    here, alone = (b.passage(partial(_written, b, results, need)) for need in (CHAPTER_MM, b.full))
    b.put(alone if here.done and len(alone.done) <= len(here.done) else here)


def _written(b: Builder, results: Results, need_mm: float) -> None:
    job = results.job
    b.page("after.title", need_mm=need_mm)
    for n, key in enumerate(after_keys(job), 1):
        b.tick(b.say(f"after.{key}"), f"{n}.", CELL)
    rows = [a for a in asked(job, b.lang) if a.kind in ("distance", "feeler")]
    if rows:
        head = [
            b.say("after.what"),
            b.say("fitup.planned"),
            b.say("after.allowed"),
            b.say("fitup.measured"),
            b.say("after.good"),
        ]
        cells, points = [], named_points(job)
        for a in rows:
            pads = [pad_at(job, n) for n in (a.name, a.to)]
            if a.kind == "feeler":
                allowed = "≤ " + format_length(min(p.flatness_mm for p in pads if p is not None), job.shown.display, 2)
            else:
                limit = length_limit(job, a.name, a.to, points[a.name], points[a.to])
                allowed = "± " + format_length(
                    limit.value_mm, job.shown.display, 1 if limit.source == "ISO 13920-B" else 2
                )
            plan = "0" if a.kind == "feeler" else format_length(a.plan_mm, job.shown.display)
            cells.append([b.read(Reading(a.kind, a.name, a.to, None).said), plan, allowed, "", "☐"])
        title = b.say("after.distances")
        short = [c for c in cells if len(c[0]) <= _SHORT]
        if len(short) > _MOST_IN_ONE:
            b.heading(title)
            _in_blocks(b, head, short)
            cells, title = [c for c in cells if c not in short], ""
        if cells:
            shares = (2.3, 1.0, 1.0, 1.1, 0.5) if job.shown.display == "mm" else (1.5, 1.3, 1.3, 0.9, 0.4)
            b.table([head, *cells], shares, tag="after", title=title)
    if job.pads:
        _flatness(b, job)
    b.para(b.say("after.classes"), SMALL)


def after_keys(job: Job) -> tuple[str, ...]:
    """Return the ids, without ``after.``, of what is done once the last weld is laid: a brace that is off already is not told."""
    braced = any(b.is_on("tacked") for b in braces_of(job, opening_line(job)))
    first = ("cool", "look", "release") if braced else ("cool_clamped", "look", "unclamp")
    return (*first, "measure", "verdict", "protect")


def _flatness(b: Builder, job: Job) -> None:
    """The dial heights of the pads, and beside their table the picture of the dial places where both are narrow enough."""
    head = [b.say("after.pad"), *(str(i) for i in range(1, 7)), b.say("after.allowed"), b.say("after.good")]
    cells = [[p.name, *([""] * 6), format_length(p.flatness_mm, job.shown.display, 2), "☐"] for p in job.pads]
    narrow = (1.6, *([0.75] * 6), 1.5 if job.shown.display == "mm" else 2.4, 0.9)
    caption = b.say("after.dial", way=dial_way(job, b.lang))
    split = b.right - _DIAL_WIDE_MM
    with b.column(b.left, split - 4.0):
        beside = b.table_height([head, *cells], narrow, SMALL) + b.height_of([caption], SMALL)
    tall = max(beside, _DIAL_PICTURE_MM)
    b.heading(b.say("after.flatness"), 14.0 + tall)
    top = b.y
    with b.column(b.left, split - 4.0):
        b.table([head, *cells], narrow, SMALL, tag="flatness")
        b.para(caption, SMALL)
    place_in(b, dial_figure(job), Box(split, top - _DIAL_PICTURE_MM, b.right, top), scale_text=False)
    b.y = top - tall


def worth_rows(results: Results, read: Reader) -> list[list[str]]:
    """Return what the skin is worth at each pad, with a header; empty where nothing was computed."""
    if results.opening is None or not results.opening.worth:
        return []
    head = [read(say("Stiffness after over before")), read(say("in its plane")), read(say("in bending"))]
    rows = [[w.pad, percent(w.flat), percent(w.bent)] for w in results.opening.worth]
    return [head, *rows]


def worth_table(b: Builder, results: Results) -> None:
    """What the modified skin is worth against the unmodified, and what that is not."""
    rows = worth_rows(results, b.read)
    if not rows:
        return
    from cutplan.opening.worth import caution_said

    b.table(rows, (1.6, 1.2, 1.2), tag="worth", title=b.say(say("What the skin is worth at the pads, by a model")))
    b.para(b.say(caution_said()), SMALL)


def dial_figure(job: Job) -> Figure:
    """Return the pads side by side, each with the places where a dial is read, numbered as on the form."""
    pads = job.pads[:_MOST_PADS]
    reach = 0.5 * max(p.diameter_mm for p in pads)
    items: list[Item] = []
    for k, pad in enumerate(pads):
        shift = Point(_PITCH * reach * k, 0.0).minus(pad.centre)
        c = pad.centre.plus(shift)
        items.append(ring(c, 0.5 * pad.diameter_mm, Pen(0.4), tag="pad"))
        for number, at in enumerate(dial_places(job, pad), 1):
            p = at.plus(shift)
            items.append(ring(p, 0.06 * reach, Pen(0.4), "#ffffff", "dial"))
            items.append(
                tied(str(number), p, LABEL_MM, radius_mm=0.3 * reach, away=p.minus(c), bold=True, tag="dial place")
            )
        down = _LOWER_NAME if len(pads) > 2 and k % 2 else _NAME
        items.append(Text(pad.name, Point(c.x, c.y - down * reach), LABEL_MM, "middle", tag="pad-name"))
    wide = _PITCH * reach * (len(pads) - 1)
    low = (_LOWER_NAME if len(pads) > 2 else _NAME) + 0.2
    return Figure(tuple(items), Box(-1.7 * reach, -low * reach, wide + 1.7 * reach, 1.8 * reach))


def _in_blocks(b: Builder, head: list[str], rows: list[list[str]]) -> None:
    """Size and what is allowed in one column, without unit: half a page is narrow."""
    narrow = [[c[0], " ".join(t.split(f" {b.job.shown.display}")[0] for t in c[1:3]), c[3], c[4]] for c in rows]
    top = [head[0], f"{head[1]} [{b.job.shown.display}]", head[3], head[4]]
    shares = (1.8, 3.2, 2.8, 1.2) if b.job.shown.display == "mm" else (1.7, 4.0, 2.2, 1.1)
    b.two_blocks(top, narrow, shares, ("left",) * 4, "after")
