"""The weld page after readings on the way: what they mean, and the stitches that are left in their order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from cutplan.drawing.model import Document, Figure, Item, Pen, Stroke, moved
from cutplan.sheets.cautions import cautions
from cutplan.sheets.localised import localised_orders
from cutplan.sheets.page import CELL, SMALL, Builder, sentence
from cutplan.sheets.pictures import place
from cutplan.sheets.results import Results
from cutplan.sheets.welding.bead_list import bead_list, map_height
from cutplan.sheets.welding.later_table import later_table
from cutplan.sheets.welding.order_chart import order_chart
from cutplan.sheets.welding.weld_map import weld_figure
from cutplan.tables.band import Band
from cutplan.texts import code, every, name, number, say
from cutplan.units import MM_PER, MM_PER_INCH, UnitName, format_length
from cutplan.welding.bench.words import headline

if TYPE_CHECKING:
    from cutplan.welding.bench.result import BenchPlan

#: Beads that are welded, on the map.
_DONE = Pen(1.0, "#c8c8c8")
#: Readings in the table at most; those that stand out come first.
_MOST_READINGS = 12


def bench_document(results: Results, bench: BenchPlan, lang: str | None = None, advice: Sequence[str] = ()) -> Document:
    """Return the weld pages after readings as a document; ``advice`` is what to do first, as the readings imply."""
    b = Builder(results.job, results.shop, lang or results.job.shown.language)
    bench_pages(b, results, bench, advice)
    title = b.say(say("{job}: the stitches that are left", job=name(results.job.about.title)))
    return Document(b.pages(), title, b.say(say("Re-planned at the bench")), language=b.lang)


def bench_pages(b: Builder, results: Results, bench: BenchPlan, advice: Sequence[str] = ()) -> None:
    """Write the weld pages after readings."""
    b.page(say("Re-planned at the bench"))
    b.box(b.say(headline(bench)), 6.0, bold=True)
    for first in advice:
        b.para("• " + first, bold=True)
    for words in bench.reason:
        b.para(b.read(words))
    for f in bench.findings:
        words_ = [sentence(b.read(w)) for w in (f.message, f.fix) if w]
        b.para("• " + " ".join(words_), CELL, bold=f.severity == "warning")
    _left(b, results, bench)
    if results.weld is not None:
        later_table(b, replace(results.weld, later=bench.later), alone=True)
    _readings(b, bench)
    _lessons(b, bench)
    if len(bench.orders) > 1:
        _chart(b, results, bench)
    safe = " ".join(cautions(b.job, b.lang))
    b.need(b.height_of([safe], SMALL))
    b.cautions_here()
    b.para(safe, SMALL)


def _left(b: Builder, results: Results, bench: BenchPlan) -> None:
    """Map and table of what is left; what is welded is light grey."""
    plan = results.weld
    if plan is None or not bench.left:
        return
    tacks = tuple(x for x in bench.left if x.kind == "tack")
    stitches = tuple(x for x in bench.left if x.kind == "stitch")
    numbers = {x.name: x.number for x in plan.stitches}
    whole = weld_figure(results.job, replace(plan, tacks=tacks, stitches=stitches), tacks=bool(tacks))
    done: list[Item] = [Stroke(x.path, _DONE, tag=f"done {x.name}") for x in bench.done if x.kind == "stitch"]
    figure = Figure((*whole.items, *done), whole.box)
    words = (
        say("Bars with a number are left, in their order of welding; a thin line without one is welded already.")
        if all(x.number == numbers[x.name] for x in stitches)
        else say(
            "Bars with a number are left; the numbers are new: cross out the old ones. A thin line is welded already."
        )
    )
    place(b, figure, map_height(b, len(bench.left)), caption=b.say(words))
    bead_list(b, results, bench.left, "left-beads")
    minutes = number(bench.time_s / 60.0, "min", 0)
    b.para(
        b.say(say("{time} from the next arc to the last, with waits; waits count from the arc before.", time=minutes)),
        CELL,
    )


def _readings(b: Builder, bench: BenchPlan) -> None:
    """Each reading against what was and what is expected."""
    if not bench.readings:
        return
    far = sorted(bench.readings, key=lambda r: (not r.odd, -_outside(r.read_mm, r.before)))[:_MOST_READINGS]
    shown = [r for r in bench.readings if r in far]
    head = [
        b.say(say("reading [{unit}]", unit=code(b.job.shown.display))),
        b.say(say("on the form")),
        b.say(say("counts as")),
        b.say(say("the plan expected")),
    ]
    head.append(b.say(say("expected now")) if bench.agrees else "")
    unit = b.job.shown.display
    rows = [
        [
            b.read(r.what) + (" ✗" if r.odd else ""),
            _zero(r.form_mm, unit),
            _zero(r.read_mm, unit),
            _band(r.before, unit),
            _band(r.after, unit) if bench.agrees else "",
        ]
        for r in shown
    ]
    title = b.say(say("The readings against the plan"))
    what = say("A gap counts as how far it has closed, a dial as the height over the plane of its round.")
    b.table([head, *rows], (2.2, 0.7, 0.7, 1.5, 1.5), CELL if unit == "mm" else SMALL, tag="readings", title=title)
    b.para(b.say(what), CELL)
    if len(shown) < len(bench.readings):
        b.para(b.say(say("The {count} readings farthest from the plan are shown.", count=len(shown))), CELL)


def _outside(value: float, band: Band) -> float:
    """How far a value lies from the middle, in half widths of the band [1]."""
    return abs(value - band.mid) / max(0.5 * (band.high - band.low), 1e-3)


def _lessons(b: Builder, bench: BenchPlan) -> None:
    """What the readings said of what was uncertain; the rest is named."""
    told = [x for x in bench.lessons if x.told]
    if not told:
        return
    head = [b.say(w) for w in (say("uncertain"), say("before"), say("after the readings"))]
    rows = [[b.read(x.what), _unit(x.before, b.job.shown.display), _unit(x.after, b.job.shown.display)] for x in told]
    b.table([head, *rows], (2.2, 1.7, 1.7), tag="lessons", title=b.say(say("What the readings said")))
    rest = [x.what for x in bench.lessons if not x.told]
    if rest:
        b.para(b.say(say("Of the rest they say nothing: {quantities}.", quantities=every(rest))), CELL)
    b.para(
        b.say(
            say(
                "Median and what holds four fifths of {draws} draws. By weight alone the readings leave {effective} of the "
                "first draws; the others were moved to where the readings are.",
                draws=bench.draws,
                effective=number(bench.effective, "", 0),
            )
        ),
        CELL,
    )


def _chart(b: Builder, results: Results, bench: BenchPlan) -> None:
    limit = min((p.flatness_mm for p in results.job.pads), default=None)
    text = b.say("weld.chart_limit", limit=format_length(limit, b.job.shown.display)) if limit is not None else ""
    axis = b.say("weld.chart_axis", unit=b.job.shown.display)
    orders = localised_orders(bench.orders, b.lang)
    chart = order_chart(orders, axis, b.wide, limit, text, units=b.job.shown.display)
    b.heading(b.say(say("Orders of what is left, compared")), chart.box.height + 12.0)
    b.need(chart.box.height + 4.0)
    b.add(*(moved(i, 1.0, b.left, b.y - chart.box.height) for i in chart.items))
    b.y -= chart.box.height + 3.0
    b.para(b.say("weld.chart_bands"), CELL)


def _band(band: Band, unit: UnitName) -> str:
    return f"{_zero(band.mid, unit)} ({_zero(band.low, unit)} / {_zero(band.high, unit)})"


def _zero(length_mm: float, unit: UnitName) -> str:
    """Two digits of a millimetre, three of an inch, never a negative zero."""
    digits = 2 if unit == "mm" else 3
    return f"{round(length_mm / MM_PER[unit], digits) + 0.0:.{digits}f}"


def _unit(band: Band, units: UnitName) -> str:
    """A band with its unit; a length in the reader's, in ten-thousandths of an inch where it is small."""
    if band.unit == "mm" and units == "in":
        low, mid, high = (v / MM_PER_INCH for v in (band.low, band.mid, band.high))
        digits = 2 if abs(mid) >= 1.0 else 3 if abs(mid) >= 0.1 else 4
        return f"{mid:.{digits}f} ({low:.{digits}f} / {high:.{digits}f}) in"
    digits = 0 if band.mid >= 100.0 else 1 if band.mid >= 10.0 else 2
    unit = "" if band.unit == "1" else f" {band.unit.replace('mm2', 'mm²')}"
    return f"{band.mid:.{digits}f} ({band.low:.{digits}f} / {band.high:.{digits}f}){unit}"
