"""From a job to its printed templates: built, tiled or packed, registered, labelled, and put on pages."""

from __future__ import annotations

from dataclasses import replace
from math import degrees

import numpy as np

from cutplan.drawing.model import Page
from cutplan.errors import JobError
from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop
from cutplan.tables.paper import LEAST_OVERLAP_MM
from cutplan.templates.doubts import template_doubts
from cutplan.templates.dressed import Dressed, dressed
from cutplan.templates.printed.correction import Correction, correction
from cutplan.templates.printed.map_sheet import map_page
from cutplan.templates.printed.page import Titles, boxed, scale_words, sheet_page
from cutplan.templates.result import Joined, TemplateSet, Tile
from cutplan.templates.shapes.build import seen_from, side_out, stamp, templates_and_gaps
from cutplan.templates.shapes.others import not_made
from cutplan.templates.shapes.template import Template
from cutplan.templates.tiling.cells import Cell, Content, Tiling
from cutplan.templates.tiling.cells import cut_through as count_cut
from cutplan.templates.tiling.content import angles_worth_trying, content_of
from cutplan.templates.tiling.layout import Layout, SheetPlace, numbered
from cutplan.templates.tiling.search import best_tiling, plain_grid
from cutplan.templates.tiling.shared import Small
from cutplan.templates.tiling.sheet import SheetForm, sheet_forms, shortened
from cutplan.templates.tiling.stack import Large, stacked
from cutplan.texts import Reader, mm, name, say
from cutplan.texts.by_id import told

#: A template of more sheets than this is refused: a larger paper or a roll is the sane way.
MOST_SHEETS = 400


def plan_templates(job: Job, shop: Shop) -> TemplateSet:
    """Return the printed templates of a job.

    Parameters
    ----------
    job : Job
        What is made, and the paper wished.
    shop : Shop
        Its printer calibration is used when the job's printer was measured.

    Returns
    -------
    TemplateSet
        Pages at 1:1 and all that is known about them.

    Raises
    ------
    JobError
        When the paper cannot carry any template: too small, overlap below 10 mm, over 400 sheets.
    GeometryError
        When the joint leaves no single opening.

    Notes
    -----
    A single template that has no shape, or needs more sheets than that, is left out with an error of its own.
    """
    wish = job.paper
    if wish.overlap_mm < LEAST_OVERLAP_MM:
        raise JobError(
            say("an overlap of {overlap} leaves no room for registration marks", overlap=mm(wish.overlap_mm, None)),
            "paper.overlap",
            say("use {least} or more", least=mm(LEAST_OVERLAP_MM, None)),
        )
    printer = shop.printer(wish.printer)
    correct = correction(printer)
    forms = sheet_forms(wish, correct)
    templates, gaps = templates_and_gaps(job)
    doubts = template_doubts(job, templates)
    fitting, too_large = _on_paper(templates, forms, wish.overlap_mm)
    large, small, plain = _sorted(fitting, forms, wish.overlap_mm)
    read = Reader(job.shown.language, job.shown.display)
    layouts = dressed(stacked(large, forms, wish.overlap_mm), small, forms, wish.overlap_mm, read)
    made = _printed(job, layouts, forms, correct, plain, measured=printer.length_mm > 0.0)
    return replace(made, findings=gaps + too_large + doubts + made.findings)


def _sorted(
    templates: list[tuple[Template, Content]], forms: tuple[SheetForm, ...], overlap: float
) -> tuple[list[Large], list[Small], int]:
    """Templates of several sheets and of one, in page order, and the plain grid's sheets."""
    rooms = tuple((f.live.width, f.live.height) for f in forms)
    large: list[Large] = []
    small: list[Small] = []
    plain = 0
    images = {t.kind: content for t, content in templates if t.other_hand}
    known: dict[str, tuple[Tiling, tuple[float, ...]]] = {}
    for template, content in templates:
        plain += plain_grid(content.box, rooms[0], overlap)
        if template.other_hand and template.kind in known:
            # the mirror image lies as its original does, in its mirror: found by itself it could take another sheet
            original, tried = known[template.kind]
            tiling, angles = original.mirrored(), tuple(-a for a in tried)
        else:
            angles = angles_worth_trying(content)
            tiling = best_tiling(content, rooms, overlap, angles)
            if template.kind in images and tiling.sheets > 1:
                seen = images[template.kind]
                other = best_tiling(seen, rooms, overlap, angles_worth_trying(seen)).mirrored()
                tiling = min(tiling, other, key=lambda t: (t.cut_through > 0, t.sheets, t.cut_through, t.along))
            known[template.kind] = tiling, angles
        if tiling.sheets == 1:
            small.append((template, content, tiling.angle_rad, angles))
        else:
            large.append(Large(template, content, tiling))
    return large, small, plain


def _on_paper(
    templates: tuple[Template, ...], forms: tuple[SheetForm, ...], overlap: float
) -> tuple[list[tuple[Template, Content]], tuple[Finding, ...]]:
    """The templates that this paper carries, and an error for each that it does not; none is left: refused."""
    room = forms[0].live.width, forms[0].live.height
    fitting: list[tuple[Template, Content]] = []
    too_large: list[JobError] = []
    gaps: list[Finding] = []
    for template in templates:
        content = content_of(template)
        grid = plain_grid(content.box, room, overlap)
        if grid <= MOST_SHEETS:
            fitting.append((template, content))
            continue
        said = say("{template} would take {count} sheets of this paper", template=name(template.name), count=grid)
        too_large.append(JobError(said, "paper", say("use a larger paper or a roll")))
        gaps.append(not_made(say("the template {name}", name=name(template.shown)), "paper", too_large[-1]))
    if not fitting:
        raise too_large[0]
    return fitting, tuple(gaps)


def holes_on_seams(layout: Layout) -> int:
    """Return how many holes and pads of a layout lie on more than one sheet's part."""
    discs = [
        (s.centre.x, s.centre.y, s.radius_mm or (0.5 * s.contour.box.diagonal if s.contour else s.clear_mm))
        for p in layout.placed
        for s in p.template.spots
    ]
    cells = [Cell(s.row, s.column, s.cell, 0) for s in layout.sheets]
    return count_cut(cells, np.array(discs, dtype=np.float64).reshape(-1, 3))


def _printed(
    job: Job,
    layouts: list[Dressed],
    forms: tuple[SheetForm, ...],
    correct: Correction,
    plain: int,
    *,
    measured: bool,
) -> TemplateSet:
    total = sum(len(d.layout.sheets) for d in layouts)
    first = 2 if total > 1 else 1
    pages: list[Page] = []
    joined: list[Joined] = []
    tiles: list[Tile] = []
    for d in layouts:
        layout, decor = numbered(d.layout, first + len(pages)), d.decor
        joined.append(Joined(layout, d.marks, decor.checks, first + len(pages)))
        items = boxed((*(s for p in layout.placed for s in p.template.lines), *decor.items))
        for sheet, own in zip(layout.sheets, decor.by_sheet, strict=True):
            number = first + len(pages)
            titles, label, mark = _titles(job, layout, sheet, number, total + first - 1, measured)
            pages.append(sheet_page(sheet, items, own, titles, label, mark))
            for p in layout.placed:
                tiles.append(
                    Tile(
                        number,
                        sheet.row,
                        sheet.column,
                        sheet.origin.plus(p.shift),
                        degrees(p.angle_rad),
                        (sheet.form.width_mm, sheet.form.height_mm),
                        p.template.name,
                    )
                )
    made = TemplateSet(
        (),
        job.paper.name,
        job.paper.overlap_mm,
        tuple(tiles),
        tuple(joined),
        sum(holes_on_seams(d.layout) for d in layouts),
        correct,
        plain,
        tuple(f for d in layouts for f in d.decor.findings),
        job.shown.language,
    )
    if total > 1:
        pages.insert(0, map_page(job, made, tuple(_map_form(f) for f in forms), measured))
    return replace(made, pages=tuple(pages))


def _titles(
    job: Job, layout: Layout, sheet: SheetPlace, number: int, pages: int, measured: bool
) -> tuple[Titles, str, str]:
    """Title lines, page label and bookmark of a sheet."""
    lang, title = job.shown.language, layout.title
    hands = {p.template.other_hand for p in layout.placed}
    # a sheet that both hands share has two views: each template says its own
    seen = seen_from(job, mirrored=True in hands) if len(hands) == 1 else ()
    use = told("paper.use", lang, side=", ".join((side_out(job), *seen)))
    scale = scale_words(sheet.form.correct, measured, lang)
    if len(layout.sheets) == 1:
        what = told("paper.page", lang, name=title, n=number, total=pages)
        return Titles(what, stamp(job), use, scale, lang, job.shown.display == "in"), str(number), title
    what = told("paper.sheet", lang, name=title, row=sheet.row + 1, column=sheet.column + 1, n=number, total=pages)
    return Titles(what, stamp(job), use, scale, lang, job.shown.display == "in"), str(number), f"{title} {sheet.name}"


def _map_form(form: SheetForm) -> SheetForm:
    """A roll's map takes a short piece of it."""
    return shortened(form, 1.3 * form.live.width) if form.rolls else form


__all__ = ["TemplateSet", "plan_templates"]
