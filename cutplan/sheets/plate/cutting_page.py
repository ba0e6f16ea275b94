"""How the plate is cut: net plate with sizes, hole and drill list, the torch's path and what the process can hold."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.cutting.proof.faults import proof_text
from cutplan.drawing.layout import wrap_text
from cutplan.geometry.own_size import OwnSize, own_size
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.job import Job
from cutplan.sheets.page import CELL, HEADING, SMALL, Builder, sentence
from cutplan.sheets.pictures import place, place_in
from cutplan.sheets.plate.cut_map import path_map
from cutplan.sheets.plate.plate_drawing import plate_figure
from cutplan.sheets.results import Results
from cutplan.tables.cutting.cut_process import process_word
from cutplan.tables.steel import steel_word
from cutplan.texts import Reader, say, span
from cutplan.texts.by_id import told
from cutplan.units import format_length
from cutplan.welding.words import shown as banded

if TYPE_CHECKING:
    from cutplan.cutting.result import CutPlan

#: Height of a picture, and the least that can be read [mm].
_PICTURE_MM, _LEAST_MM = 105.0, 62.0
#: The same beside each other, and with how many holes such a picture can still be read.
_BESIDE_MM, _MOST_BESIDE = 50.0, 12
#: Widths of the columns of holes and of the drill list.
_HOLES = {"mm": (0.4, 1.0, 1.0, 1.2, 1.0, 1.1), "in": (0.3, 1.07, 1.03, 1.0, 0.68, 0.92)}
_ORDERS = {"mm": (0.1, 0.22, 0.24, 0.16, 0.4), "in": (0.1, 0.2, 0.3, 0.14, 0.36)}
_DRILLS = {"mm": (1.75, 0.75, 0.85, 1.55, 1.65), "in": (1.4, 1.2, 1.3, 1.3, 1.3)}
#: Font size of these lists [mm]: an inch with its millimetres stays on one line.
_LIST = {"mm": CELL, "in": SMALL}


def cutting_pages(b: Builder, results: Results) -> None:
    """Write the cutting pages; the path only when a cut was planned."""
    job = results.job
    b.page("cut.title")
    b.para(
        b.say(
            "cut.net",
            thickness=format_length(job.plate.thickness_mm, job.shown.display),
            steel=b.read(steel_word(job.plate.steel)),
            count=job.plates_to_cut,
        )
    )
    plan = results.cut
    if plan is not None and _on_one_page(b, results, plan):
        return
    place(b, plate_figure(job), _picture_height(b, results), caption=b.say("cut.net_picture"))
    _holes(b, results)
    if plan is None:
        return
    b.page("cut.path_title")
    b.box(b.say(_which_file(plan)), bold=True)
    b.table([[b.say("cut.setting"), b.say("cut.value")], *_settings(b, job, plan)], (0.35, 0.65))
    orders = _order_table(b, job, plan)
    spare = b.room - b.table_height(orders, _ORDERS[job.shown.display], _LIST[job.shown.display]) - 4.0
    place(b, path_map(job, plan, read=b.read), min(max(spare, 62.0), _PICTURE_MM), caption=b.say("cut.path_picture"))
    b.table(orders, _ORDERS[job.shown.display], _LIST[job.shown.display], tag="cut-order")


def _on_one_page(b: Builder, results: Results, plan: CutPlan) -> bool:
    """Shape and path side by side, their lists below them; False, and nothing written, where a page does not hold that."""
    job = results.job
    holes, drills, orders = _hole_table(b, results), _drill_table(b, plan), _order_table(b, job, plan)
    display, heading = job.shown.display, HEADING + 6.0
    shares, size = (_HOLES[display], _DRILLS[display], _ORDERS[display]), _LIST[display]
    words = " ".join(f"{k}: {v}." for k, v in _settings(b, job, plan))
    tall = 1.3 * CELL * len(wrap_text(b.say(_which_file(plan)), b.wide - 6.0, CELL, bold=True)) + 10.0
    tall += b.height_of([words], CELL)
    tall += b.table_height(orders, shares[2], size)
    if job.plate.holes:
        tall += heading + b.table_height(holes, shares[0], size)
    if plan.drilled:
        tall += b.table_height(drills, shares[1], size)
        tall += b.height_of([f"• {words}" for words in drill_reasons(plan)], CELL)
    box = job.plate.outline.box
    half = 0.5 * (b.wide - 6.0)
    picture = min(b.room - tall - 4.0, 75.0)
    if picture < min(_BESIDE_MM, half * box.height / box.width) or len(job.plate.holes) > _MOST_BESIDE:
        return False
    for x, figure, caption in (
        (b.left, plate_figure(job), b.say("cut.net_picture")),
        (b.left + half + 6.0, path_map(job, plan, read=b.read), b.say("cut.path_picture")),
    ):
        place_in(b, figure, Box(x, b.y - picture, x + half, b.y), caption=caption, scale_text=False)
    b.skip(picture + 1.5)
    _holes(b, results, titled=False)
    b.box(b.say(_which_file(plan)), CELL, bold=True)
    b.para(words, CELL)
    b.table(orders, shares[2], size, tag="cut-order")
    return True


def _which_file(plan: CutPlan) -> str:
    """The id of what is said of the files: a hand follows the scribed line."""
    return "cut.by_hand" if plan.by_hand else "cut.once"


def _settings(b: Builder, job: Job, plan: CutPlan) -> list[list[str]]:
    """What the table is set to; times, lengths and the proof stand in the annex."""
    measured = (
        ""
        if plan.kerf.measured
        else " — " + b.say("cut.kerf_unmeasured_hand" if plan.by_hand else "cut.kerf_unmeasured")
    )
    band = b.say("cut.kerf_band", kerf=span(plan.kerf.band.low, plan.kerf.band.high, digits=2))
    return [
        [b.say("cut.process"), b.read(process_word(plan.process))],
        [b.say("fact.cut.kerf"), f"{format_length(plan.kerf_mm, job.shown.display, 2)}; {band}{measured}"],
    ]


def cut_figures(b: Builder, results: Results) -> None:
    """Write lengths, times and the proof of the path; nothing without a cut."""
    plan, job = results.cut, results.job
    if plan is None:
        return
    b.heading(b.say("cut.path_title"))
    moves = [
        [b.say("fact.cut.pierces"), str(plan.totals.pierces)],
        [b.say("fact.cut.rapid"), format_length(plan.totals.rapid_mm, job.shown.display, 0)],
    ]
    rows = [
        [b.say("fact.cut.length"), format_length(plan.totals.cut_mm, job.shown.display, 0)],
        *([] if plan.by_hand else moves),
        [b.read(say("Proof")), sentence(b.read(proof_text(plan.proof)))],
        [b.say("fact.cut.time"), b.say(say("{time}", time=banded(plan.totals.time_s, 0)))],
    ]
    b.table([[b.say("cut.setting"), b.say("cut.value")], *rows], (0.35, 0.65))


def _order_table(b: Builder, job: Job, plan: CutPlan) -> list[list[str]]:
    """The paths in their order, with a header."""
    head = [b.say("cut.order"), b.say("cut.what"), b.say("fact.cut.length"), b.say("cut.lead"), b.say("cut.note")]
    return [
        head,
        *(
            [
                str(n),
                b.read(p.called),
                format_length(p.length_mm, job.shown.display, 0),
                b.say(f"cut.lead.{p.lead}"),
                b.read(p.note),
            ]
            for n, p in enumerate(plan.paths, 1)
        ),
    ]


def hold_section(b: Builder, results: Results) -> None:
    """Write what the cutting process can hold, by standard; nothing without a cut."""
    if results.cut is None or not results.cut.expectations:
        return
    words = [f"• {t}" for t in expectation_lines(results, b.lang)]
    b.heading(b.say("cut.hold"), 16.0 + b.height_of(words[:1], CELL))
    for text in words:
        b.para(text, CELL)


def _hole_table(b: Builder, results: Results) -> list[list[str]]:
    head = [b.say("cut.hole"), "X", "Y", b.say("cut.size"), b.say("cut.purpose"), b.say("cut.done")]
    return [head, *hole_rows(results, b)]


def _drill_table(b: Builder, plan: CutPlan) -> list[list[str]]:
    head = [b.say(f"cut.{k}") for k in ("hole", "pilot", "finish", "for", "how")]
    return [head, *drill_rows(plan, b.job)]


def _picture_height(b: Builder, results: Results) -> float:
    """Height of the net plate's picture that leaves room for both lists, else for the holes alone [mm]."""
    display, plan, heading = results.job.shown.display, results.cut, HEADING + 6.0
    if not results.job.plate.holes:
        return _PICTURE_MM
    left = b.room - heading - b.table_height(_hole_table(b, results), _HOLES[display], _LIST[display]) - 4.0
    if plan is not None and plan.drilled:
        reasons = [f"• {words}" for words in drill_reasons(plan)]
        lists = (
            heading
            + b.table_height(_drill_table(b, plan), _DRILLS[display], _LIST[display])
            + b.height_of(reasons, CELL)
        )
        if left - lists > _LEAST_MM:
            left -= lists
    return min(left, _PICTURE_MM) if left > _LEAST_MM else _PICTURE_MM


def drill_rows(plan: CutPlan, job: Job) -> list[list[str]]:
    """Return one row for all holes that are drilled alike, with a box to tick for each."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for d in plan.drilled:
        row = (
            format_length(d.pilot_mm, job.shown.display) if d.pilot_mm else "–",
            format_length(d.diameter_mm, job.shown.display),
            str(d.fit or d.bolt or "–"),
            sentence(d.how),
        )
        alike.setdefault(row, []).append(f"☐{d.name}")
    return [["  ".join(names), *row] for row, names in alike.items()]


def drill_reasons(plan: CutPlan) -> list[str]:
    """Return why holes are not cut, each reason once with its holes."""
    holes: dict[str, list[str]] = {}
    for d in plan.drilled:
        if d.reason:
            holes.setdefault(str(d.reason), []).append(d.name)
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
        lines.append(
            told(
                "cut.not_covered",
                lang,
                which="; ".join(dict.fromkeys(str(r) for r in rest)),
                source=Reader(lang)(source),
            )
        )
    return lines


def hole_rows(results: Results, b: Builder) -> list[list[str]]:
    """Return name, place, size, purpose and what is done, for each hole; places from the datum corner."""
    job = results.job
    corner = Point(job.plate.outline.box.xmin, job.plate.outline.box.ymin)
    drilled = {d.name for d in results.cut.drilled} if results.cut else set()
    rows = []
    for hole in job.plate.holes:
        at = hole.centre.minus(corner)
        size = (
            format_length(hole.diameter_mm, job.shown.display)
            if hole.diameter_mm
            else _extent(job, own_size(hole.contour))
        )
        rows.append(
            [
                hole.name,
                _short(at.x, job),
                _short(at.y, job),
                size,
                b.say(f"purpose.{hole.purpose}") + (f" {hole.bolt}" if hole.bolt else ""),
                _done(b, drilled, hole.name) if results.cut else "",
            ]
        )
    return rows


def _extent(job: Job, size: OwnSize) -> str:
    """Length and width along the hole's own axes, and its angle where it lies askew."""
    long = format_length(size.length_mm, job.shown.display).removesuffix(" mm")
    askew = f", {size.angle_deg:.1f}°" if min(size.angle_deg % 90.0, -size.angle_deg % 90.0) > 0.05 else ""
    return f"{long} × {format_length(size.width_mm, job.shown.display)}{askew}"


def _short(mm: float, job: Job) -> str:
    return format_length(mm, job.shown.display)


def _done(b: Builder, drilled: set[str], name: str) -> str:
    """What is done with a hole: cut, or marked and drilled (a slot at both its ends, a and b)."""
    return b.say("cut.drilled") if drilled & {name, f"{name}a", f"{name}b"} else b.say("cut.cut")


def _holes(b: Builder, results: Results, *, titled: bool = True) -> None:
    job = results.job
    if not job.plate.holes:
        b.para(b.say("cut.no_holes"))
        return
    b.heading(b.say("cut.holes"))
    display = job.shown.display
    b.table(_hole_table(b, results), _HOLES[display], _LIST[display], tag="holes")
    if results.cut is None or not results.cut.drilled:
        return
    rows = _drill_table(b, results.cut)
    title = b.say("cut.drill_list") if titled else ""
    b.table(rows, _DRILLS[display], _LIST[display], tag="drills", title=title)
    for words in drill_reasons(results.cut):
        b.para(f"• {words}", CELL)
