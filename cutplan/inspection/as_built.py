"""The as-built page: verdict, class reached, each value against its limit, and what to do next."""

from __future__ import annotations

from cutplan.drawing.layout import arrow
from cutplan.drawing.model import Document, Figure, Item, Pen, ring, tied
from cutplan.inspection.datum_loop import DatumLoop, stage_said, told_said
from cutplan.inspection.readings import STAGES
from cutplan.inspection.verdict import Inspection
from cutplan.sheets.page import CELL, SMALL, Builder, sentence
from cutplan.sheets.pictures import place
from cutplan.sheets.plate.plate_drawing import LABEL_MM, plate_figure
from cutplan.sheets.results import Results
from cutplan.sheets.sign_off import signoff
from cutplan.texts import Message, code, mm, say
from cutplan.units import MM_PER, format_length

#: The largest deviation is drawn as this share of the part's diagonal.
_DRAWN_SHARE = 0.06


def as_built_document(results: Results, found: Inspection, lang: str | None = None) -> Document:
    """Return the as-built pages as a document."""
    b = Builder(results.job, results.shop, lang or results.job.shown.language)
    as_built_pages(b, results, found)
    signoff(b)
    job = results.job
    title = b.say("built.document", title=job.about.title, revision=job.about.revision)
    return Document(b.pages(), title, b.say("built.title"), language=b.lang)


def as_built_pages(b: Builder, results: Results, found: Inspection) -> None:
    """Write the as-built pages."""
    b.page("built.title")
    b.box(b.say(f"built.{found.verdict}"), 6.5, bold=True)
    classes = [b.say("built.linear", letter=found.linear_class)] if found.linear_class else []
    classes += [b.say("built.flat", letter=found.flatness_class)] if found.flatness_class else []
    if classes:
        b.para(" ".join(classes))
    b.heading(b.say("built.next"))
    for words in found.advice:
        b.tick(words)
    for f in found.findings:
        b.para("• " + " ".join(sentence(t) for t in (f.message, f.fix) if t), CELL)
    if found.points and found.fit is not None:
        figure, times = deviation_figure(results, found)
        caption = b.say("built.picture", times=f"{times:.0f}", unit=b.job.shown.display, rms=mm(found.fit.rms_mm, 2))
        place(b, figure, 95.0, caption=caption, scale_text=False)
    if found.loop is not None:
        _moved_table(b, found.loop)
    keys = ("after.what", "fitup.planned", "fitup.measured", "built.off", "after.allowed", "after.good")
    head = [b.say(k) for k in keys]
    rows = [
        [
            b.read(c.label),
            _len(b, c.plan_mm),
            _len(b, c.measured_mm),
            _signed(b, c.deviation_mm),
            f"{_signed(b, c.low_mm, unit=False)} … {_signed(b, c.high_mm)}",
            b.say("built.ok") if c.ok else b.say("built.bad"),
        ]
        for c in found.checked
    ]
    if rows:
        b.table([head, *rows], (1.6, 1.2, 1.2, 0.9, 1.5, 0.8), tag="checked", title=b.say("built.values"))
    sources = dict.fromkeys(_source(b, c.source) for c in found.checked)
    if sources:
        b.para(b.say("built.sources", sources="; ".join(sources)), CELL)


def _moved_table(b: Builder, loop: DatumLoop) -> None:
    """How far each pad went, with its standard error, and the marks that went so far that the tape tells."""
    head = [b.say(k) for k in (say("Stage"), say("Point"), say("Across"), say("Up"), say("Moved by"), say("Told"))]
    rows = [
        [
            b.say(stage_said(m.stage)),
            m.point,
            _signed(b, m.dx_mm, 1, unit=False),
            _signed(b, m.dy_mm, 1, unit=False),
            f"{_plain(b, m.distance_mm)} ± {_plain(b, m.error_mm)}",
            b.say(say("yes") if m.told else say("no")),
        ]
        for m in sorted(loop.moved, key=lambda m: (STAGES.index(m.stage), not m.is_pad))
        if m.is_pad or m.told
    ]
    if rows:
        since = say("since before cutting") if loop.since else say("against the plan")
        title = b.say(
            say(
                "How far the datum points moved, {since}, in {unit} with the standard error",
                since=since,
                unit=code(b.job.shown.display),
            )
        )
        b.table([head, *rows], (1.3, 1.2, 0.8, 0.8, 1.2, 0.6), tag="moved", title=title)
        b.para(b.say(told_said()), SMALL)


def _source(b: Builder, source: Message | str) -> str:
    return b.say(f"built.source.{source}") if source in ("pitch_mm", "flatness_mm") else b.read(source)


def _len(b: Builder, length_mm: float) -> str:
    return format_length(length_mm, b.job.shown.display, 2)


def _signed(b: Builder, length_mm: float, digits: int = 2, *, unit: bool = True) -> str:
    """A difference with its sign in the units of the job: decimals, since it is read with caliper or dial."""
    inch = b.job.shown.display == "in"
    text = f"{length_mm / MM_PER[b.job.shown.display]:+.{digits + inch}f}"
    return f"{text} {b.job.shown.display}" if unit else text


def _plain(b: Builder, length_mm: float) -> str:
    return _signed(b, length_mm, 1, unit=False).lstrip("+-")


def deviation_figure(results: Results, found: Inspection) -> tuple[Figure, float]:
    """Return the plate with an arrow from each planned point to where it is, drawn larger; and how much larger [1]."""
    base = plate_figure(results.job, sizes=False)
    diagonal = results.job.plate.outline.box.diagonal
    most = max((p.deviation_mm for p in found.points), default=0.0)
    times = float(f"{_DRAWN_SHARE * diagonal / most:.2g}") if most > 1e-6 else 1.0
    items: list[Item] = list(base.items)
    for p in found.points:
        end = p.plan.plus(p.found.minus(p.plan).times(times))
        if p.deviation_mm * times > 0.004 * diagonal:
            items += arrow(p.plan, end, Pen(0.6), 0.015 * diagonal, f"deviation {p.name}")
        else:
            items.append(ring(p.plan, 0.008 * diagonal, Pen(0.5), tag=f"deviation {p.name}"))
        items.append(tied(_deviation(results, p.deviation_mm), end, LABEL_MM, tag="deviation-value"))
    return Figure(tuple(items), base.box.grown(_DRAWN_SHARE * diagonal)), times


def _deviation(results: Results, length_mm: float) -> str:
    """A deviation without its unit, which the caption names."""
    display = results.job.shown.display
    return f"{length_mm / MM_PER[display]:.{2 if display == 'mm' else 3}f}"
