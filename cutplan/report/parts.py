"""Sections of the report: head, cautions, templates, cutting, opening, fit-up, after welding, and every figure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.cutting.result import CutPlan
from cutplan.findings import by_severity
from cutplan.inspection.form import asked
from cutplan.inspection.readings import Reading
from cutplan.report.facts import UNIT_TEXT, Fact, facts
from cutplan.report.figure import figure_page, svg, zoomable
from cutplan.report.html import Raw, bullets, table, tag
from cutplan.report.key_figures import key_figures
from cutplan.report.pages import overview_page, path_page, plate_page, step_pages, tiles_page
from cutplan.sheets.cautions import cautions
from cutplan.sheets.fitup_page import fitup_steps, gap_figure
from cutplan.sheets.opening.opening_tables import brace_rows, choice_said
from cutplan.sheets.page import sentence
from cutplan.sheets.plate.cutting_page import drill_reasons, expectation_lines
from cutplan.sheets.plate.parts import parts_rows, set_rows
from cutplan.sheets.plate.template_page import template_steps
from cutplan.sheets.results import Results
from cutplan.sheets.welding.after_page import after_keys, worth_rows
from cutplan.texts import Reader, say
from cutplan.texts.by_id import told
from cutplan.units import format_length

if TYPE_CHECKING:
    from cutplan.opening.model import OpeningPlan


def head_section(results: Results, lang: str) -> list[Raw]:
    """Title, key figures, the plate, and what to look at first."""
    job = results.job
    meta = [
        t
        for t in (
            job.about.area,
            told("page.revision", lang, revision=job.about.revision),
            job.about.date,
            job.origin.source,
            job.origin.drawing,
        )
        if t
    ]
    shop = told("page.shop", lang, shop=results.shop.source) if results.shop.source else told("page.no_shop", lang)
    keys = [
        tag("div", tag("dt", label), tag("dd", *_whole(value), class_="big"), tag("dd", more))
        for label, value, more in key_figures(results, lang)
    ]
    found = [tag("h1", job.about.title), tag("p", " · ".join(meta), class_="meta"), tag("p", shop, class_="meta")]
    if job.about.note:
        found.append(tag("p", job.about.note))
    if keys:
        found.append(tag("dl", *keys, class_="keys"))
    return found


def _whole(value: str) -> list[Raw | str]:
    """An inch and its millimetres, each unbroken on its line."""
    inches, bracket, metric = value.partition(" (")
    if not bracket:
        return [value]
    return [tag("span", inches, class_="num"), " ", tag("span", f"({metric}", class_="num")]


def cautions_section(results: Results, lang: str) -> Raw:
    """Cautions, then findings, worst first."""
    items = []
    for words in cautions(results.job, lang, results.opening):
        name, _, rest = words.partition(": ")
        items.append(tag("li", tag("strong", name + ": "), rest))
    box = tag("section", tag("h2", told("caution.title", lang)), tag("ul", *items), class_="cautions", id="cautions")
    if not results.findings:
        return box
    listed = [
        tag(
            "li",
            tag("strong", told(f"severity.{f.severity}", lang) + ": "),
            sentence(f.message),
            *([" " + sentence(f.fix)] if f.fix else []),
            *([tag("span", f" [{f.where}]", class_="meta")] if f.where else []),
        )
        for f in by_severity(results.findings)
    ]
    title = tag("h2", told("report.findings", lang))
    return Raw(box + tag("section", title, tag("ul", *listed, class_="findings"), id="findings"))


def template_section(results: Results, lang: str) -> list[Raw]:
    """How to print and join the paper; nothing without templates."""
    if results.templates is None:
        return []
    title = told("template.map", lang)
    steps = template_steps(results, lang)
    tiles = svg(tiles_page(results, lang), "tiles", title, steps[0])
    return [bullets(steps, ordered=True), zoomable(tiles, "tiles-figure", title, lang)]


def cutting_section(results: Results, lang: str) -> list[Raw]:
    """Net plate, holes, and the path step by step."""
    plan = results.cut
    title = told("cut.net_picture", lang)
    found = [
        zoomable(
            svg(plate_page(results, lang), "plate", title, _plate_words(results, lang)), "plate-figure", title, lang
        ),
        table(
            told("parts.title", lang),
            [told("parts.what", lang), told("parts.much", lang), told("parts.for", lang)],
            parts_rows(results, lang) + set_rows(lang),
        ),
    ]
    if plan is None:
        return found
    found += [*_path(results, plan, lang), *_drilled(results, plan, lang)]
    if plan.expectations:
        found += [tag("h3", told("cut.hold", lang)), bullets(expectation_lines(results, lang))]
    return found


def _path(results: Results, plan: CutPlan, lang: str) -> list[Raw]:
    """The path of the torch, to play through, and its contours in order."""
    job, read = results.job, Reader(lang, results.job.shown.display)
    title = told("report.path", lang)
    return [
        tag("p", told("cut.once", lang), class_="box"),
        tag("h3", title),
        player("cut", len(plan.paths), title, lang),
        zoomable(
            svg(path_page(results, plan, lang), "path", title, told("cut.path_picture", lang)),
            "cut-figure",
            told("cut.path_picture", lang),
            lang,
        ),
        table(
            told("report.cut_order", lang),
            [
                told("cut.order", lang),
                told("cut.what", lang),
                told("fact.cut.length", lang),
                told("cut.lead", lang),
                told("cut.note", lang),
            ],
            [
                [
                    str(n),
                    read(p.called),
                    format_length(p.length_mm, job.shown.display, 0),
                    told(f"cut.lead.{p.lead}", lang),
                    read(p.note),
                ]
                for n, p in enumerate(plan.paths, 1)
            ],
            ident="cut-order",
        ),
    ]


def _drilled(results: Results, plan: CutPlan, lang: str) -> list[Raw]:
    """What is drilled after cutting, and why."""
    job = results.job
    if not plan.drilled:
        return []
    list_ = table(
        told("cut.drill_list", lang),
        [
            told("cut.hole", lang),
            told("cut.pilot", lang),
            told("cut.finish", lang),
            told("cut.for", lang),
            told("cut.how", lang),
        ],
        [
            [
                d.name,
                format_length(d.pilot_mm, job.shown.display) if d.pilot_mm else "–",
                format_length(d.diameter_mm, job.shown.display),
                str(d.fit or d.bolt or "–"),
                sentence(d.how),
            ]
            for d in plan.drilled
        ],
    )
    return [list_, bullets(drill_reasons(plan))]


def _plate_words(results: Results, lang: str) -> str:
    """The plate in a sentence, for people who do not see it."""
    job = results.job
    box = job.plate.outline.box
    return told(
        "report.plate_words",
        lang,
        width=format_length(box.width, job.shown.display),
        height=format_length(box.height, job.shown.display),
        holes=len(job.plate.holes),
    )


def player(ident: str, last: int, label: str, lang: str) -> Raw:
    """A slider with back, play and forward, and the line that says what is shown."""
    return tag(
        "div",
        tag(
            "div",
            tag("button", "◀", type="button", data_do="back", aria_label=told("play.back", lang)),
            tag("button", told("play.play", lang), type="button", data_do="play", aria_pressed="false"),
            tag("input", type="range", min=0, max=last, value=last, step=1, id=f"{ident}-slider", aria_label=label),
            tag("button", "▶", type="button", data_do="next", aria_label=told("play.next", lang)),
            class_="player",
            id=f"{ident}-player",
        ),
        tag("p", "", class_="said screen", id=f"{ident}-said", role="status"),
    )


def opening_section(results: Results, lang: str) -> list[Raw]:
    """The opening: overview and every step with its picture."""
    plan = results.opening
    if plan is None:
        return []
    display = results.job.shown.display
    read = Reader(lang, display)
    lead = told(
        "opening.lead" if len(plan.sections) != 1 else "opening.lead_one",
        lang,
        count=len(plan.sections),
        tool=read(plan.tools.said),
        perimeter=format_length(plan.perimeter_mm, display, 0),
    )
    title = told("opening.picture", lang)
    found = [tag("p", lead)]
    if plan.bracing.text:
        found.append(tag("p", read(plan.bracing.text), class_="box"))
    found.append(zoomable(svg(overview_page(results, lang), "opening-svg", title, lead), "opening-figure", title, lang))
    items = []
    for step, page in zip(plan.steps, step_pages(results, plan, lang), strict=True):
        name = f"{step.number}. {read(step.title)}"
        wide = step.kind == "measure"
        picture = tag("figure", svg(page, f"step-{step.number}", name, " ".join(read(t) for t in step.text)))
        items.append(
            tag(
                "li",
                tag(
                    "details",
                    tag("summary", tag("h4", name)),
                    picture,
                    *(tag("p", read(t)) for t in step.text),
                    *(tag("p", read(t), class_="meta") for t in step.holds),
                    open=True,
                ),
                class_="wide" if wide else None,
            )
        )
    found += _braces(plan, read)
    found += [tag("h3", told("opening.steps_title", lang)), tag("ol", *items, class_="steps")]
    return found


def _braces(plan: OpeningPlan, read: Reader) -> list[Raw]:
    """The braces compared, what by, and what the figures are not."""
    rows = brace_rows(read, plan)
    if not rows:
        return []
    from cutplan.opening.brace.choose import method_said

    return [
        table(read(say("Braces compared")), rows[0], rows[1:], ident="braces"),
        tag("p", f"{read(choice_said())} {read(method_said())}", class_="meta"),
    ]


def fitup_section(results: Results, lang: str) -> list[Raw]:
    """Where the gap is measured and what to write down."""
    job = results.job
    title = told("fitup.picture", lang)
    steps = fitup_steps(results, lang)
    return [
        bullets(steps, ordered=True),
        zoomable(svg(figure_page(gap_figure(job), lang=lang), "gaps", title, steps[1]), "gap-figure", title, lang),
    ]


def after_section(results: Results, lang: str) -> list[Raw]:
    """What follows the last bead and what is measured."""
    job = results.job
    rows = [
        [
            Reader(lang)(Reading(a.kind, a.name, a.to, None).said),
            format_length(a.plan_mm, job.shown.display, 2),
            a.note,
        ]
        for a in asked(job, lang)
        if a.kind != "dial"
    ]
    found = [bullets([told(f"after.{k}", lang) for k in after_keys(job)], ordered=True)]
    if rows:
        found.append(
            table(
                told("report.to_measure", lang),
                [told("after.what", lang), told("fitup.planned", lang), told("cut.note", lang)],
                rows,
            )
        )
    worth = worth_rows(results, Reader(lang, job.shown.display))
    if worth:
        from cutplan.opening.worth import METHOD, caution_said

        read = Reader(lang, job.shown.display)
        title = read(say("What the skin is worth at the pads, by a model"))
        found += [table(title, worth[0], worth[1:], ident="worth")]
        found += [tag("p", f"{read(caution_said())} {sentence(read(METHOD))}", class_="meta")]
    return found


def figures_section(results: Results, lang: str) -> list[Raw]:
    """Every figure with unit, band and source."""
    head = [told(f"report.{k}", lang) for k in ("figure", "value", "unit", "band", "source")]
    rows = [
        [f.label, _value(f, results), _unit(f, lang), f.band or told("report.no_band", lang), f.source]
        for f in facts(results, lang)
    ]
    return [
        tag("p", told("report.figures_lead", lang)),
        table(told("report.figures", lang), head, rows, ident="all-figures"),
    ]


def _value(fact: Fact, results: Results) -> str:
    text = fact.text(results.job.shown.display)
    return text if "in" in text.split() else fact.number


def _unit(fact: Fact, lang: str) -> str:
    if fact.unit == "1":
        return told("unit.count" if fact.digits == 0 else "unit.ratio", lang)
    return UNIT_TEXT.get(fact.unit, fact.unit)
