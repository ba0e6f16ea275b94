"""The tacks in their order: the map, and beside it the list where all tacks are alike."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.drawing.layout import row_heights
from cutplan.geometry.vector import Box
from cutplan.sheets.columns import whole_words
from cutplan.sheets.page import CELL, SMALL, Builder
from cutplan.sheets.pictures import place, place_in
from cutplan.sheets.results import Results
from cutplan.sheets.welding.bead_list import bead_cells, bead_list, map_height
from cutplan.sheets.welding.weld_map import weld_figure
from cutplan.texts import say
from cutplan.units import format_length

if TYPE_CHECKING:
    from cutplan.welding.result import WeldPlan

#: Two tacks lie across from each other from this share of half the outline between them [1] (our own).
ACROSS = 0.7
#: What stands above the tacks [mm].
_TACKS_LEAD_MM = 21.0
#: Width of the list of tacks beside their map, its columns, least and most height of that map [mm], and most tacks.
_LIST_MM, _SHORT, _TACKS_MM, _MOST_BESIDE = 80.0, (0.18, 0.29, 0.4, 0.18), (52.0, 67.0), 28


def tacks_page(b: Builder, results: Results, plan: WeldPlan) -> None:
    """The tacks in their order: the map, and beside it the list where all tacks are alike."""
    short = _alike(b, results, plan)
    split = b.right - _LIST_MM
    # the map gives way where the chapter then stands below the one before
    dials = _dials(b, results, plan)
    lead = _TACKS_LEAD_MM + (b.height_of([dials], CELL) if dials else 0.0)
    spare = b.room - b.title_mm - lead
    tall = min(_TACKS_MM[1], spare) if spare >= _TACKS_MM[0] else _TACKS_MM[1]
    tall = max(tall, _short_height(b, short)) if short else tall
    b.page("weld.tacks_title", need_mm=tall + lead if short else 0.7 * b.full)
    words = [
        b.say(
            "weld.tacks_lead", count=len(plan.tacks), length=format_length(plan.tacking.length_mm, b.job.shown.display)
        )
    ]
    if in_pairs(plan):
        words.append(b.say(say("Each second tack lies across from the one before it.")))
    b.para(" ".join(words), CELL)
    if dials:
        # before the map: left behind it, it would stand on the next page by itself
        b.para(dials, CELL)
    figure, caption = weld_figure(results.job, plan, stitches=False), b.say("weld.tacks_picture")
    if not short:
        place(b, figure, map_height(b, len(plan.tacks)), caption=caption)
        bead_list(b, results, plan.tacks, "tack-beads")
        return
    b.para(b.say("weld.ways"), SMALL)
    b.need(tall)
    top = b.y
    place_in(b, figure, Box(b.left, top - tall, split - 4.0, top), caption=caption)
    with b.column(split, b.right):
        b.two_blocks(_short_head(b), short, _SHORT, ("left", "right", "left", "left"), "tack-beads")
    b.y = top - tall - 1.5


def _dials(b: Builder, results: Results, plan: WeldPlan) -> str:
    """What is read before and after the tacks; nothing where no pads or draws are."""
    if not (results.job.pads and plan.order.draws):
        return ""
    return b.say(
        say(
            "Read the dials on the pads before the first tack and after the last: the form that holds them re-plans the stitches."
        )
    )


def _short_head(b: Builder) -> list[str]:
    return ["", b.say("weld.number"), b.say("weld.bead"), ""]


def _short_height(b: Builder, rows: list[list[str]]) -> float:
    """Return the height of a list of tacks in two blocks [mm]."""
    half = 0.5 * (_LIST_MM - 6.0)
    cells = [_short_head(b), *rows]
    tall = row_heights(cells, whole_words(cells, _SHORT, half, CELL), CELL)
    return tall[0] + sum(tall[1 : 1 + (len(rows) + 1) // 2]) + 4.0


def _alike(b: Builder, results: Results, plan: WeldPlan) -> list[list[str]]:
    """The rows of tacks without length and wait, where all are of one length and none waits; else nothing."""
    lengths = {format_length(t.length_mm, b.job.shown.display) for t in plan.tacks}
    if len(lengths) != 1 or any(t.wait_s >= 0.5 for t in plan.tacks) or len(plan.tacks) > _MOST_BESIDE:
        return []
    return [c[:4] for c in bead_cells(b, results, plan.tacks)]


def in_pairs(plan: WeldPlan) -> bool:
    """Return whether each second tack lies across from the one before it, as near as places allow."""
    whole = plan.joint.line.outline_mm
    middles = [0.5 * (t.span.start_mm + t.span.end_mm) for t in plan.tacks]
    apart = [
        abs((a - b + 0.5 * whole) % whole - 0.5 * whole) for a, b in zip(middles[::2], middles[1::2], strict=False)
    ]
    return plan.joint.line.closed and len(apart) > 1 and min(apart) >= ACROSS * 0.5 * whole
