"""The first sheet: what to do with the others, which goes where, what to measure before cutting."""

from __future__ import annotations

from cutplan.drawing.layout import paragraph
from cutplan.drawing.model import Item, Page, placed
from cutplan.drawing.placer.picture import set_texts
from cutplan.geometry.vector import Box
from cutplan.pattern.job import Job
from cutplan.tables.paper import GROWTH_ACROSS_GRAIN, GROWTH_ALONG_GRAIN, STABLE_HUMIDITY, humidity_growth_mm
from cutplan.templates.printed.correction import corrected
from cutplan.templates.printed.figures import map_figure
from cutplan.templates.printed.page import Titles, frame_items, scale_words
from cutplan.templates.result import TemplateSet
from cutplan.templates.shapes.build import stamp
from cutplan.templates.tiling.layout import Layout
from cutplan.templates.tiling.sheet import SheetForm
from cutplan.texts.by_id import told
from cutplan.units import format_length

_READ_MM = 4.2


def map_page(job: Job, made: TemplateSet, forms: tuple[SheetForm, ...], measured: bool) -> Page:
    """Return the map sheet, upright or lying, whichever shows the map larger; its rulers prove the scale first."""
    rooms = [_map_room(job, made, form) for form in forms]
    figures = [map_figure(made, max(r.width, 40.0), max(r.height, 40.0)) for r in rooms]
    scales = [min(r.width / f.box.width, r.height / f.box.height) for r, f in zip(rooms, figures, strict=True)]
    k = max(range(len(forms)), key=lambda i: (scales[i], -i))
    form, room = forms[k], rooms[k]
    lang = job.shown.language
    titles = Titles(
        told("paper.map", lang, count=made.sheets),
        stamp(job),
        told("paper.map.caution", lang),
        scale_words(form.correct, measured, lang),
        lang,
        job.shown.display == "in",
    )
    items: list[Item] = frame_items(form, titles)
    words, _ = _words(made, job, room.xmin, room.width, room.ymin - 2.0)
    items += words
    if room.height > 20.0:
        drawn, _ = placed(figures[k], room)
        items += set_texts(drawn, room)
    return Page(
        form.width_mm,
        form.height_mm,
        tuple(corrected(i, form.correct, form.centre) for i in items),
        told("paper.map.label", lang),
        told("paper.map.bookmark", lang),
    )


def _map_room(job: Job, made: TemplateSet, form: SheetForm) -> Box:
    """What the steps, set along the lower edge, leave of a sheet."""
    live = form.live
    width = live.width - 4.0
    _, below = _words(made, job, 0.0, width, 0.0)
    return Box(live.xmin + 2.0, live.ymin + 4.0 - below, live.xmin + 2.0 + width, live.ymax - 2.0)


def _lower_left(layout: Layout) -> int:
    """The page of the sheet that the joining begins with: it lies on no other, so none has to be slid under another one."""
    above = {seam.over for seam in layout.seams}
    first = min(
        (k for k in range(len(layout.sheets)) if k not in above),
        key=lambda k: (layout.sheets[k].cell.ymin, layout.sheets[k].cell.xmin),
    )
    return layout.sheets[first].page


def _steps(made: TemplateSet, job: Job) -> list[str]:
    lang = job.shown.language
    steps = [told("paper.step.print", lang)]
    several = [j for j in made.joined if len(j.layout.sheets) > 1]
    if several:
        corners = ", ".join(told("paper.start", lang, page=_lower_left(j.layout), name=j.layout.title) for j in several)
        steps.append(told("paper.step.join", lang, corners=corners))
    if made.checks:
        lengths = (
            told(
                "paper.diagonal",
                lang,
                start=d.start,
                end=d.end,
                length=format_length(d.length_mm, job.shown.display, 1),
            )
            for d in made.checks
        )
        limit = format_length(0.5, job.shown.display, 1)
        steps.append(told("paper.step.measure", lang, limit=limit, diagonals="; ".join(lengths)))
    longest = max(max(p.template.box.width, p.template.box.height) for j in made.joined for p in j.layout.placed)
    steps += [
        told("paper.step.cut", lang),
        told(
            "paper.step.damp",
            lang,
            low=100 * GROWTH_ALONG_GRAIN[0],
            high=100 * GROWTH_ACROSS_GRAIN[1],
            driest=100 * STABLE_HUMIDITY[0],
            dampest=100 * STABLE_HUMIDITY[1],
            most=format_length(humidity_growth_mm(longest)[1], job.shown.display, 1),
        ),
    ]
    return [f"{n}  {step}" for n, step in enumerate(steps, 1)]


def _words(made: TemplateSet, job: Job, left: float, width: float, top: float) -> tuple[list[Item], float]:
    items: list[Item] = []
    y = top
    for step in _steps(made, job):
        texts, y = paragraph(step, left, y, width, _READ_MM, tag="map words")
        items += texts
        y -= 1.2
    return items, y
