"""From a job to its printed templates: built, tiled or packed, registered, labelled, and put on pages."""

from __future__ import annotations

from dataclasses import replace
from math import degrees, pi

from cutplan.drawing.model import Page
from cutplan.errors import JobError
from cutplan.findings import Finding
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop
from cutplan.templates.aids import aids
from cutplan.templates.build import side_out, stamp, templates_of
from cutplan.templates.cells import Content, Tiling
from cutplan.templates.content import angles_worth_trying, content_of, smallest_box_angle, stroke_points
from cutplan.templates.correction import Correction, correction
from cutplan.templates.decorate import decorate
from cutplan.templates.doubts import template_doubts
from cutplan.templates.layout import Layout, SheetPlace, place, tiled
from cutplan.templates.map_sheet import map_page
from cutplan.templates.pack import pack
from cutplan.templates.page import Titles, boxed, scale_words, sheet_page
from cutplan.templates.registration import LEAST_OVERLAP_MM, registrations
from cutplan.templates.result import Joined, TemplateSet, Tile
from cutplan.templates.search import best_tiling, plain_grid
from cutplan.templates.sheet import SheetForm, sheet_forms, shortened
from cutplan.templates.template import Template
from cutplan.texts.by_id import told

#: A template of more sheets than this is refused: a larger paper or a roll is the sane way.
MOST_SHEETS = 400
_PREFIXES = "DEFGHJKLMNPQRSTUVWXYZ"


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
        When the paper cannot carry the templates: too small, overlap below 10 mm, over 400 sheets.
    GeometryError
        When the joint leaves no single opening, or a wrap or flange has no shape.
    """
    wish = job.paper
    if wish.overlap_mm < LEAST_OVERLAP_MM:
        raise JobError(
            f"an overlap of {wish.overlap_mm:g} mm leaves no room for registration marks",
            "paper.overlap",
            f"use {LEAST_OVERLAP_MM:g} mm or more",
        )
    printer = shop.printer(wish.printer)
    correct = correction(printer)
    forms = sheet_forms(wish, correct)
    templates = templates_of(job)
    doubts = template_doubts(job, templates)
    layouts, cut_through, plain = _layouts(templates, forms, wish.overlap_mm)
    made = _printed(job, layouts, forms, correct, cut_through, plain, measured=printer.length_mm > 0.0)
    return replace(made, findings=doubts + made.findings)


def _layouts(
    templates: tuple[Template, ...], forms: tuple[SheetForm, ...], overlap: float
) -> tuple[list[Layout], int, int]:
    """Layouts in page order, seams that could not miss a cross or pad, and the plain grid's sheets."""
    rooms = tuple((f.live.width, f.live.height) for f in forms)
    large: list[Layout] = []
    small: list[tuple[Template, Content, float]] = []
    cut_through = plain = 0
    for template in templates:
        content = content_of(template)
        angles = angles_worth_trying(content)
        grid = plain_grid(content.box, rooms[0], overlap)
        plain += grid
        if grid > MOST_SHEETS:
            raise JobError(
                f"{template.name} would take {grid} sheets of this paper", "paper", "use a larger paper or a roll"
            )
        tiling = best_tiling(content, rooms, overlap, angles)
        if tiling.sheets == 1:
            small.append((template, content, _fitting_angle(content, tiling, rooms, angles)))
            continue
        cut_through += tiling.cut_through
        large.append(tiled((place(template, tiling.angle_rad, Point(0.0, 0.0)),), tiling, forms, overlap))
    return large + _shared(small, forms, rooms), cut_through, plain


def _fitting_angle(
    content: Content, tiling: Tiling, rooms: tuple[tuple[float, float], ...], angles: tuple[float, ...]
) -> float:
    """The angle with the smallest box, if it fits a sheet either way; else the angle that was found to fit."""
    snug = smallest_box_angle(content, angles)
    box = content.turned(snug).box
    w, h = box.width, box.height
    fits = any((w <= a and h <= b) or (h <= a and w <= b) for a, b in rooms)
    return snug if fits else tiling.angle_rad


def _shared(
    small: list[tuple[Template, Content, float]], forms: tuple[SheetForm, ...], rooms: tuple[tuple[float, float], ...]
) -> list[Layout]:
    """One-sheet layouts, several templates on each where they fit."""
    if not small:
        return []
    boxes = [content.turned(angle).box for _, content, angle in small]
    puts, used = pack([(b.width, b.height) for b in boxes], rooms)
    layouts: list[Layout] = []
    for sheet, number in enumerate(used):
        placed = []
        reach = Box(0.0, 0.0, 1.0, 1.0)
        for put in sorted((p for p in puts if p.sheet == sheet), key=lambda p: p.index):
            template, content, angle = small[put.index]
            angle += 0.5 * pi if put.turned else 0.0
            box = content.turned(angle).box
            placed.append(place(template, angle, Point(put.x - box.xmin, put.y - box.ymin)))
            reach = reach.joined(Box(put.x, put.y, put.x + box.width, put.y + box.height))
        form = shortened(forms[number], reach.height)
        # the used part in the middle of the sheet
        x, y = 0.5 * (reach.width - form.live.width), 0.5 * (reach.height - form.live.height)
        window = Box(x, y, x + form.live.width, y + form.live.height)
        layouts.append(Layout(tuple(placed), (SheetPlace(0, 0, form, reach, window, window),), ()))
    return layouts


def _printed(
    job: Job,
    layouts: list[Layout],
    forms: tuple[SheetForm, ...],
    correct: Correction,
    cut_through: int,
    plain: int,
    *,
    measured: bool,
) -> TemplateSet:
    total = sum(len(layout.sheets) for layout in layouts)
    first = 2 if total > 1 else 1
    pages: list[Page] = []
    joined: list[Joined] = []
    tiles: list[Tile] = []
    findings: list[Finding] = []
    next_mark = 1
    for k, layout in enumerate(layouts):
        drawn = aids(layout)
        points = stroke_points([s for p in layout.placed for s in p.template.lines] + list(drawn), 1.0)
        marks = registrations(layout.seams, points, next_mark)
        next_mark += len(marks)
        decor = decorate(layout, drawn, marks, job.paper.overlap_mm, _PREFIXES[k % len(_PREFIXES)], job.language)
        findings += decor.findings
        joined.append(Joined(layout, marks, decor.diagonals, first + len(pages)))
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
        cut_through,
        correct,
        plain,
        tuple(findings),
        job.language,
    )
    if total > 1:
        pages.insert(0, map_page(job, made, tuple(_map_form(f) for f in forms), measured))
    return replace(made, pages=tuple(pages))


def _titles(
    job: Job, layout: Layout, sheet: SheetPlace, number: int, pages: int, measured: bool
) -> tuple[Titles, str, str]:
    """Title lines, page label and bookmark of a sheet."""
    lang, name = job.language, layout.title
    use = told("paper.use", lang, side=side_out(job))
    scale = scale_words(sheet.form.correct, measured, lang)
    if len(layout.sheets) == 1:
        what = told("paper.page", lang, name=name, n=number, total=pages)
        return Titles(what, stamp(job), use, scale, lang), str(number), name
    row = sheet.name.rstrip("0123456789")
    what = told(
        "paper.sheet", lang, name=name, sheet=sheet.name, row=row, column=sheet.column + 1, n=number, total=pages
    )
    return Titles(what, stamp(job), use, scale, lang), f"{name} {sheet.name}", f"{name} {sheet.name}"


def _map_form(form: SheetForm) -> SheetForm:
    """A roll's map takes a short piece of it."""
    return shortened(form, 1.3 * form.live.width) if form.rolls else form


__all__ = ["TemplateSet", "plan_templates"]
