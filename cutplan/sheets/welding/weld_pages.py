"""Welding on paper: symbol and settings, tack map, stitch map with the order, waits, and why this order."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.drawing.layout import paragraph
from cutplan.drawing.model import Figure, moved
from cutplan.geometry.vector import Box, Point
from cutplan.sheets.fitup_page import fitup_page
from cutplan.sheets.page import CELL, SMALL, Builder, sentence
from cutplan.sheets.pictures import place
from cutplan.sheets.results import Results
from cutplan.sheets.welding.bead_list import MANY, bead_list, large_map, map_height, map_need
from cutplan.sheets.welding.heat_page import heat_page
from cutplan.sheets.welding.later_table import later_table, plug_ticks
from cutplan.sheets.welding.order_chart import flatness_text, order_chart
from cutplan.sheets.welding.symbols import Form, WeldShape, WeldSymbol, draw_symbol
from cutplan.sheets.welding.tacks_page import tacks_page
from cutplan.sheets.welding.weld_map import weld_figure
from cutplan.sheets.welding.weld_practice import practice, wire_words
from cutplan.texts import Message, every, say, template
from cutplan.texts.render import shown as said
from cutplan.units import format_feed, format_gas, format_length, format_travel
from cutplan.welding.order_words import chance_figure
from cutplan.welding.settings.by_position import TABLED
from cutplan.welding.words import shown as banded

if TYPE_CHECKING:
    from cutplan.pattern.job import Job
    from cutplan.welding.result import WeldPlan

#: Heads of the table of choices.
CHOICE_HEADS = (say("way to weld"), say("pads out of flat"), say("chance"), say("time"), say("costs besides"))
#: Font size of the settings [mm].
_SETTINGS_MM = 3.3
_SHAPES: dict[str, WeldShape] = {"square butt": "square butt", "single V butt": "single V", "lap fillet": "fillet"}


def weld_symbols(job: Job, plan: WeldPlan) -> tuple[WeldSymbol, ...]:
    """Return the symbol of the joint and, with plug welds, one for them."""
    joint = plan.joint
    shape = _SHAPES[joint.kind]
    size = joint.throat_mm if shape == "fillet" else min(joint.thin_mm, joint.throat_mm)
    main = WeldSymbol(
        shape,
        size,
        all_round=joint.line.closed,
        process=plan.settings.process,
        quality="ISO 5817-C",
        root_gap_mm=joint.gap_mm,
    )
    if not joint.plugs:
        return (main,)
    sizes = sorted({p.diameter_mm for p in joint.plugs})
    plugs = tuple(
        WeldSymbol("plug", d, count=sum(1 for p in joint.plugs if p.diameter_mm == d), process=plan.settings.process)
        for d in sizes
    )
    return (main, *plugs)


def weld_pages(b: Builder, results: Results, form: Form = "ISO") -> None:
    """Write the weld pages in the order of the work: settings, what gets hot, fit-up, tacks, stitches."""
    plan = results.weld
    if plan is None:
        fitup_page(b, results)
        return
    b.page("weld.title", need_mm=0.55 * b.full)
    _joint(b, results, plan, form)
    _settings(b, results, plan)
    heat_page(b, results)
    fitup_page(b, results)
    tacks_page(b, results, plan)
    other = untabled(plan)
    words = " ".join([b.say(_positions(plan)), *([b.say(other)] if other else [])])
    above = (
        b.say("weld.stitches_lead", count=len(plan.stitches), interpass=f"{plan.heat.interpass_C:.0f}"),
        b.say(say("Measure with a contact thermometer or a temperature crayon, not by hand.")),
    )
    figure, caption = weld_figure(results.job, plan, tacks=False), b.say("weld.stitches_picture")
    if len(plan.stitches) > MANY:
        tall = large_map(b, figure, above)
        b.page("weld.stitches_title", need_mm=tall + b.height_of(above, CELL))
        for text in above:
            b.para(text, CELL)
    else:
        b.page("weld.stitches_title", need_mm=map_need(b, len(plan.stitches), above, [words]))
        for text in above:
            b.para(text, CELL)
        tall = map_height(b, len(plan.stitches), [words])
    place(b, figure, tall, caption=caption)
    b.para(words, CELL)
    bead_list(b, results, plan.stitches, "stitch-beads")
    plug_ticks(b, plan)
    later_table(b, plan)


def _len(b: Builder, mm: float) -> str:
    return format_length(mm, b.job.shown.display)


def _joint(b: Builder, results: Results, plan: WeldPlan, form: Form) -> None:
    words = b.say(f"weld.joint.{plan.joint.kind}", gap=_len(b, plan.joint.gap_mm), throat=_len(b, plan.joint.throat_mm))
    b.para(f"{words} {b.say('weld.symbol_form', form='ISO 2553' if form == 'ISO' else 'AWS A2.4')}", CELL)
    for symbol in weld_symbols(results.job, plan):
        b.need(17.0)
        y = b.y - 8.0
        items, wide = draw_symbol(
            symbol, Point(b.left + 16.0, y), Point(b.left + 4.0, y - 8.0), form, 4.2, b.job.shown.display
        )
        b.add(*items)
        words = (
            b.say("weld.symbol_around" if symbol.all_round else "weld.symbol_plain")
            if symbol.shape != "plug"
            else b.say("weld.symbol_plug")
        )
        x = b.left + 16.0 + wide + 8.0
        text, _ = paragraph(words, x, y + 3.5, b.right - x, CELL)
        b.add(*text)
        b.y = y - 9.0


def _settings(b: Builder, results: Results, plan: WeldPlan) -> None:
    s = plan.settings
    process, gas = b.say(f"weld.process.{s.process}"), b.say(f"weld.gas.{s.gas}")
    pairs = [
        [b.say("weld.process"), f"{process}, {gas}, {format_gas(s.gas_l_per_min, b.job.shown.display)}"],
        [
            b.say("weld.wire"),
            _wire(b, s.wire_mm) + (f", {format_feed(s.feed_mm_per_s, b.job.shown.display)}" if s.feed_mm_per_s else ""),
        ],
        [b.say("fact.weld.current"), said(banded(s.arc.current_A, 0), b.read)],
        [b.say("fact.weld.voltage"), said(banded(s.arc.voltage_V, 1), b.read)],
        [
            b.say("fact.weld.speed"),
            f"{said(banded(s.arc.speed_mm_per_s, 1), b.read)} = "
            + format_travel(s.arc.speed_mm_per_s.mid, b.job.shown.display),
        ],
        [b.say("fact.weld.heat"), said(banded(plan.heat.input_J_per_mm, 0), b.read)],
        [b.say("weld.runs"), str(plan.runs)],
        [b.say("fact.weld.interpass"), f"{plan.heat.interpass_C:.0f} °C"],
    ]
    half = (len(pairs) + 1) // 2
    rows = [[*a, *c] for a, c in zip(pairs[:half], [*pairs[half:], ["", ""]], strict=False)]
    head = [b.say("cut.setting"), b.say("cut.value")] * 2
    b.table([head, *rows], (0.2, 0.26, 0.21, 0.33), _SETTINGS_MM, tag="settings")
    b.para(b.say("weld.trial"), CELL, bold=True)
    b.heading(b.say(say("At the bench (common practice)")))
    for words in practice(results.job, plan):
        b.para(f"• {b.say(words)}", SMALL)


def settings_reasons(b: Builder, plan: WeldPlan) -> None:
    """Write how the settings were found, and what the wire is for: for the annex."""
    b.heading(b.say("weld.settings"))
    b.para(b.say("weld.settings_how", how=b.read(plan.settings.table.how)), CELL)
    wire = wire_words(plan)
    if wire:
        b.para(b.say(wire), CELL)
    b.para(f"{b.say('fact.weld.wire')}: {said(banded(plan.uses.wire_kg, 3), b.read)}", CELL)
    times = b.say("weld.times_value", arc=_minutes(plan.uses.arc_time_s), total=_minutes(plan.total_time_s))
    b.para(f"{b.say('weld.times')}: {times}", CELL)


def _wire(b: Builder, mm: float) -> str:
    return format_length(mm, b.job.shown.display, 1)


def _minutes(seconds: float) -> str:
    return f"{seconds / 60.0:.0f} min" if seconds >= 90.0 else f"{seconds:.0f} s"


def why_page(b: Builder, results: Results, plan: WeldPlan) -> None:
    """Why this order: the comparison, its certainty, the brace."""
    b.page("weld.why_title")
    for n, words in enumerate(plan.order.reason):
        b.para(sentence(b.read(words)), bold=n == 0)
    limit = min((p.flatness_mm for p in results.job.pads), default=None)
    chart = order_chart(
        plan.order.compared,
        b.say("weld.chart_axis", unit=b.job.shown.display),
        b.wide,
        limit,
        b.say("weld.chart_limit", limit=_len(b, limit)) if limit is not None else "",
        units=b.job.shown.display,
    )
    items, top = chart.items, chart.box.height
    b.need(top + 4.0)
    b.add(*(moved(i, 1.0, b.left, b.y - top) for i in items))
    b.y -= top + 3.0
    b.para(b.say("weld.chart_bands"), CELL)
    _choices(b, plan)
    b.heading(b.say("weld.brace"))
    b.para(b.read(plan.order.brace.statement))
    if plan.order.brace.present:
        b.para(b.say("weld.brace_elastic"), CELL)
    if plan.order.brace.candidates:
        b.para(b.say("weld.candidates"), CELL, bold=True)
    for words in plan.order.brace.candidates[:4]:
        b.para(f"• {b.read(words)}", CELL)
    b.para(b.say("weld.coupon", coupon=b.read(plan.free.coupon)) if plan.free.coupon else b.say("weld.no_coupon"))
    b.para(sentence(b.read(plan.free.buckling.statement)), CELL)
    b.para(sentence(b.read(plan.free.restraint.statement)), CELL)


#: What a position of ISO 6947 means.
_MEANING = {
    "PA": template("PA: flat"),
    "PB": template("PB: fillet, from above"),
    "PC": template("PC: level on an upright face"),
    "PD": template("PD: fillet, from below"),
    "PE": template("PE: overhead"),
    "PF": template("PF: upward"),
    "PG": template("PG: downward"),
}


def untabled(plan: WeldPlan) -> Message:
    """Return that settings, heat and stitch length are for flat work, where stitches lie otherwise; empty where none does."""
    if not any(f.code == "no-table-for-position" for f in plan.findings):
        return Message("")
    others = sorted({s.position for s in plan.stitches} - TABLED)
    return say(
        "No table for {positions}: settings, heat and stitch length are for flat work, so make the trial piece in that position.",
        positions=every(others),
    )


def _positions(plan: WeldPlan) -> Message:
    """The positions of the stitches, with their meaning."""
    found = sorted({s.position for s in plan.stitches})
    return say("Positions by ISO 6947: {positions}.", positions=every([_MEANING[p] for p in found]))


def _choices(b: Builder, plan: WeldPlan) -> None:
    """Ways to weld the job side by side."""
    if len(plan.order.choices) < 2:
        return
    head = [b.read(h) for h in CHOICE_HEADS]
    rows = [
        [
            b.read(c.what) + (" ✔" if c.chosen else ""),
            flatness_text(c.flatness_mm, b.job.shown.display),
            chance_figure(c.chance_within),
            f"{c.minutes:.0f} min",
            b.read(c.cost),
        ]
        for c in plan.order.choices
    ]
    title = b.say(say("Choices, with what each gives and costs"))
    b.table([head, *rows], (0.3, 0.26, 0.13, 0.11, 0.3), tag="choices", title=title)
    b.para(sentence(b.read(plan.order.choice_reason)))


def chart_figure(results: Results, axis: str, limit_text: str, width_mm: float = 180.0, size_mm: float = 3.8) -> Figure:
    """Return the chart of orders for the report, its texts of one size [mm]."""
    plan = results.weld
    if plan is None:
        return Figure((), Box(0.0, 0.0, 1.0, 1.0))
    limit = min((p.flatness_mm for p in results.job.pads), default=None)
    text = limit_text if limit is not None else ""
    return order_chart(plan.order.compared, axis, width_mm, limit, text, size_mm, results.job.shown.display)
