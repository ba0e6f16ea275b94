"""The report's weld section: joint, settings, the order bead by bead with the displaced shape, and the comparison."""

from __future__ import annotations

from base64 import b64encode
from typing import TYPE_CHECKING

from cutplan.report.figure import figure_page, svg, zoomable
from cutplan.report.html import Raw, bullets, table, tag, text
from cutplan.report.pages import beads_page, waits_page
from cutplan.report.parts import player
from cutplan.report.welding.play import packed_shape, weld_steps, welding_order
from cutplan.sheets.results import Results
from cutplan.sheets.welding.heat_page import heat_picture
from cutplan.sheets.welding.order_chart import flatness_text
from cutplan.sheets.welding.weld_pages import CHOICE_HEADS
from cutplan.texts import Reader, mm, say, span
from cutplan.texts.by_id import told
from cutplan.texts.render import shown as said
from cutplan.units import format_feed, format_gas, format_length
from cutplan.welding.order_words import chance_figure
from cutplan.welding.words import shown as banded

if TYPE_CHECKING:
    from cutplan.welding.result import OrderFigure, WeldPlan

#: Pixels of the canvas that the shape is drawn on.
_CANVAS = (1000, 760)


def weld_section(results: Results, lang: str) -> list[Raw]:
    """Return the section's elements; empty without a weld plan."""
    plan = results.weld
    if plan is None:
        return []
    found = [*_joint_and_settings(results, plan, lang), tag("h3", told("report.weld_order", lang))]
    found += _play(results, plan, lang)
    if plan.order.compared:
        found += _orders(results, plan, lang)
    found += [
        *_brace(plan, Reader(lang, results.job.shown.display)),
        *_waits(results, plan, lang),
        *_keep_away(results, plan, lang),
    ]
    found += [*_maps(results, lang), _beads(results, plan, lang)]
    return found


def _joint_and_settings(results: Results, plan: WeldPlan, lang: str) -> list[Raw]:
    job = results.job
    read = Reader(lang, job.shown.display)
    gap, throat = (format_length(v, job.shown.display) for v in (plan.joint.gap_mm, plan.joint.throat_mm))
    s = plan.settings
    process, gas = told(f"weld.process.{s.process}", lang), told(f"weld.gas.{s.gas}", lang)
    settings = [
        [told("weld.process", lang), f"{process}, {gas}, {format_gas(s.gas_l_per_min, job.shown.display)}"],
        [
            told("weld.wire", lang),
            format_length(s.wire_mm, job.shown.display)
            + (f", {format_feed(s.feed_mm_per_s, job.shown.display)}" if s.feed_mm_per_s else ""),
        ],
        [told("fact.weld.current", lang), said(banded(s.arc.current_A, 0), read)],
        [told("fact.weld.voltage", lang), said(banded(s.arc.voltage_V, 1), read)],
        [told("fact.weld.speed", lang), said(banded(s.arc.speed_mm_per_s, 1), read)],
        [told("fact.weld.heat", lang), said(banded(plan.heat.input_J_per_mm, 0), read)],
    ]
    return [
        tag("p", told(f"weld.joint.{plan.joint.kind}", lang, gap=gap, throat=throat)),
        table(told("weld.settings", lang), [told("cut.setting", lang), told("cut.value", lang)], settings),
        tag("p", told("weld.settings_source", lang, how=read(s.table.how), source=read(s.table.source)), class_="meta"),
        tag("p", told("weld.trial", lang), class_="box"),
    ]


def _brace(plan: WeldPlan, read: Reader) -> list[Raw]:
    lang = read.language
    found = [tag("h3", told("weld.brace", lang)), tag("p", read(plan.order.brace.statement))]
    if plan.order.brace.present:
        found.append(tag("p", told("weld.brace_elastic", lang), class_="meta"))
    if plan.order.brace.candidates:
        found.append(bullets([read(c) for c in plan.order.brace.candidates[:4]]))
    found.append(
        tag(
            "p",
            told("weld.coupon", lang, coupon=read(plan.free.coupon))
            if plan.free.coupon
            else told("weld.no_coupon", lang),
        )
    )
    return found


def _waits(results: Results, plan: WeldPlan, lang: str) -> list[Raw]:
    if not plan.stitches:
        return []
    words = told("heat.waits_lead", lang, interpass=f"{plan.heat.interpass_C:.0f}")
    title = told("heat.waits", lang)
    picture = svg(waits_page(results, plan, lang), "waits", title, words)
    return [tag("h3", title), tag("p", words), zoomable(picture, "wait-figure", title, lang)]


def _keep_away(results: Results, plan: WeldPlan, lang: str) -> list[Raw]:
    read = Reader(lang, results.job.shown.display)
    found: list[Raw] = []
    hot = heat_picture(results)
    if hot is not None:
        title = told("heat.picture", lang)
        picture = zoomable(svg(figure_page(hot[0], lang=lang), "heat", title), "heat-figure", title, lang)
        found += [tag("h3", told("weld.keep_away", lang)), picture]
    if plan.heat.keep_away:
        colours = hot[1] if hot is not None else {}
        rows = [
            [
                Raw(_swatch(colours.get(str(k.thing), "#ffffff")) + text(f" {read(k.thing)} ({k.limit_C:.0f} °C)")),
                said(mm(k.distance_mm.mid), read),
                said(span(k.distance_mm.low, k.distance_mm.high, digits=0), read),
                read(k.consequence),
                read(k.source),
            ]
            for k in plan.heat.keep_away
        ]
        head = [told(k, lang) for k in ("weld.thing", "weld.keep", "report.band", "weld.because", "report.source")]
        found.append(table(told("weld.keep_away", lang), head, rows))
    return found


def _maps(results: Results, lang: str) -> list[Raw]:
    """The colour maps, each with what it shows under it; the words in them are said there once more."""
    from cutplan.report.welding.colour_maps import caption, colour_maps

    read = Reader(lang, results.job.shown.display)
    found = []
    for name, data in colour_maps(results).items():
        words = read(caption(name))
        source = "data:image/png;base64," + b64encode(data).decode("ascii")
        found.append(tag("figure", tag("img", src=source, alt=words, class_="map"), tag("figcaption", words), id=name))
    return found


def _swatch(colour: str) -> Raw:
    """A small patch of a band's colour."""
    return Raw(
        '<svg class="swatch" viewBox="0 0 10 6" aria-hidden="true" focusable="false">'
        f'<rect x=".3" y=".3" width="9.4" height="5.4" fill="{colour}" stroke="#333333" stroke-width=".6"/></svg>'
    )


def _play(results: Results, plan: WeldPlan, lang: str) -> list[Raw]:
    """Slider, map and shape."""
    steps = weld_steps(results)
    title = told("report.weld_map", lang)
    picture = svg(beads_page(results, plan, lang), "weld-map", title, told("weld.stitches_picture", lang))
    found = [
        player("weld", len(steps) - 1, told("report.weld_order", lang), lang),
        tag("div", zoomable(picture, "weld-figure", title, lang), *_shape(results, lang), class_="two"),
    ]
    return found


def _shape(results: Results, lang: str) -> list[Raw]:
    packed = packed_shape(results)
    if packed is None:
        return []
    words = told(
        "report.shape",
        Reader(lang, results.job.shown.display),
        times=f"{packed['times']:.0f}",
        most=mm(packed["most_mm"], 2),
    )
    canvas = tag("canvas", words, id="shape", width=_CANVAS[0], height=_CANVAS[1], role="img", aria_label=words)
    turn = tag(
        "label",
        told("report.turn", lang) + " ",
        tag("input", type="range", min=-90, max=90, value=-28, step=2, id="turn"),
        class_="screen",
    )
    if results.weld is not None and results.weld.order.later is not None:
        words += " " + told("report.shape_later", lang)
    return [tag("figure", canvas, tag("figcaption", tag("span", words), turn), id="shape-figure")]


def _order_row(o: OrderFigure, read: Reader, top: float, limit: float | None, apart: bool) -> Raw:
    """One order of the chart; ``top`` is the end of the bars [mm]."""
    f = o.flatness_mm
    name = f"{read(o.name)}{' ✔' if o.chosen else ''}{' =' if o.equal_to_best and not o.chosen else ''}"
    bar = _bar(f.low / top, f.mid / top, f.high / top, limit / top if limit else None, o.chosen)
    return tag(
        "tr",
        tag("th", name, scope="row"),
        tag("td", bar, class_="bar"),
        tag("td", flatness_text(f, read.units), class_="num"),
        *([tag("td", flatness_text(o.pitch_mm, read.units), class_="num")] if apart else []),
        tag("td", f"{o.total_s / 60.0:.0f} min", class_="num"),
        class_="chosen" if o.chosen else None,
    )


def _orders(results: Results, plan: WeldPlan, lang: str) -> list[Raw]:
    """Bars with bands; a table, so that it can also be read out."""
    limit = min((p.flatness_mm for p in results.job.pads), default=None)
    read = Reader(lang, results.job.shown.display)
    top = max(max(o.flatness_mm.high for o in plan.order.compared), limit or 0.0, 1e-6) * 1.03
    apart = len(results.job.pads) > 1  # one pad has no distance to another
    rows = [_order_row(o, read, top, limit, apart) for o in plan.order.compared]
    scale = told("report.bar_scale", read, top=mm(top, 2))
    pitch = ("fact.weld.pitch",) if apart else ()
    heads = ("report.order", "report.bar", "report.flatness", *pitch, "fact.weld.total_time")
    axis = told("weld.chart_axis", lang, unit=read.units)
    chart = tag(
        "table",
        tag("caption", axis),
        tag("thead", tag("tr", *(tag("th", told(h, lang), scope="col") for h in heads))),
        tag("tbody", *rows),
        class_="chart",
    )
    found = [
        tag("h3", told("weld.why_title", lang)),
        *(tag("p", read(r), class_="box") for r in plan.order.reason),
        _choices(plan, read),
        tag("p", read(plan.order.choice_reason)),
        tag(
            "div",
            chart,
            class_="scroll",
            tabindex=0,
            role="region",
            aria_label=axis,
            id="order-chart",
        ),
        tag(
            "p",
            scale
            + (
                " " + told("report.bar_limit", lang, limit=format_length(limit, results.job.shown.display, 2))
                if limit
                else ""
            ),
            class_="meta",
        ),
        tag("p", told("weld.chart_bands", lang), class_="meta"),
    ]
    return found


def _choices(plan: WeldPlan, read: Reader) -> Raw:
    """Ways to weld the job side by side."""
    rows = [
        [
            read(c.what) + (" ✔" if c.chosen else ""),
            flatness_text(c.flatness_mm, read.units),
            chance_figure(c.chance_within),
            f"{c.minutes:.0f} min",
            read(c.cost),
        ]
        for c in plan.order.choices
    ]
    head = [read(h) for h in CHOICE_HEADS]
    return table(read(say("Choices, with what each gives and costs")), head, rows)


def _bar(low: float, mid: float, high: float, limit: float | None, chosen: bool) -> Raw:
    """A bar from low to high with a tick at the middle, on a scale from 0 to 1."""
    fill = "#0b4f8a" if chosen else "#b5b5b5"
    parts = [
        f'<rect x="{300 * low:.2f}" y="5" width="{max(300 * (high - low), 1.0):.2f}" height="14" fill="{fill}"/>',
        f'<rect x="{300 * mid - 1.2:.2f}" y="1" width="2.4" height="22" fill="#111111"/>',
    ]
    if limit is not None:
        parts.append(f'<path d="M{300 * limit:.2f} 0V24" stroke="#a34700" stroke-width="1.5" stroke-dasharray="3 2"/>')
    return Raw(
        '<svg viewBox="0 0 300 24" preserveAspectRatio="none" aria-hidden="true" focusable="false">'
        + "".join(parts)
        + "</svg>"
    )


def _beads(results: Results, plan: WeldPlan, lang: str) -> Raw:
    """Every bead in the order of welding."""
    ccw = results.job.plate.outline.ccw
    rows = [
        [
            str(n),
            ("t" if b.kind == "tack" else "") + str(b.number),
            b.name,
            format_length(b.length_mm, results.job.shown.display),
            "↻" if b.backward == ccw else "↺",
            f"{b.wait_s:.0f} s",
            f"{b.before_C.mid:.0f} °C ({b.before_C.low:.0f} – {b.before_C.high:.0f})",
        ]
        for n, b in enumerate(welding_order(plan), 1)
    ]
    head = [
        told(k, lang)
        for k in (
            "report.step",
            "weld.number",
            "weld.bead",
            "weld.length",
            "report.travel",
            "weld.wait",
            "report.before",
        )
    ]
    return table(told("report.beads", lang), head, rows, ident="beads")
