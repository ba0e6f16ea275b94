"""The templates that a job asks for, at full size, before they meet paper."""

from __future__ import annotations

from dataclasses import replace
from math import radians

from cutplan.drawing.model import Stroke, line, outline, ring
from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.own_size import own_size
from cutplan.pattern.directions import view
from cutplan.pattern.job import Job
from cutplan.pattern.opening import opening_line
from cutplan.pattern.plate import Hole
from cutplan.pattern.wishes import Marks
from cutplan.tables.steel import steel_word
from cutplan.templates.drawn.pens import CENTRE, CUT, DATUM, HOLE, TRACE
from cutplan.templates.drawn.work import work_spots, work_strokes
from cutplan.templates.shapes.others import other_templates
from cutplan.templates.shapes.template import Spot, Template, note_rows
from cutplan.texts import Reader, rendered
from cutplan.texts.by_id import told
from cutplan.units import format_length

#: Reach of a centre cross beyond the hole, so that it can still be read when the hole has been punched or cut [mm].
CROSS_BEYOND_MM = 4.0
_OTHER = {"left": "right", "right": "left", "": ""}


def templates_of(job: Job) -> tuple[Template, ...]:
    """Return every template of the job that has a shape; see :func:`templates_and_gaps`."""
    return templates_and_gaps(job)[0]


def templates_and_gaps(job: Job) -> tuple[tuple[Template, ...], tuple[Finding, ...]]:
    """Return every template that the job asks for: plate, opening, holes in the skin, wraps, flat patterns.

    Returns
    -------
    (tuple of Template, tuple of Finding)
        The templates, and an error for each tube or strip that has no shape.

    Raises
    ------
    GeometryError
        When the joint leaves no single opening.
    """
    opening = opening_line(job)
    handed = [_plate(job), _opening(job, opening)]
    through = tuple(h for h in job.plate.holes if h.in_skin)
    if through and job.joint.kind == "butt":
        handed.append(_skin_holes(job, opening, through))
    hand = job.marks.hand
    made = [_named(job, t, hand) for t in handed]
    if job.marks.mirrored_copy:
        made += [_named(job, _other_side(job, t.mirrored()), _OTHER[hand] or "mirrored") for t in handed]
    others, gaps = other_templates(job)
    return (*made, *others), tuple(gaps)


def _named(job: Job, template: Template, hand: str) -> Template:
    """Return the template with its hand, or that it is the mirrored copy, in name, title and heading."""
    if not hand:
        return template
    says = (told(f"paper.{hand}.hand", job.shown.language, heading=template.says[0]), *template.says[1:])
    title = template.shown + told(f"paper.{hand}", job.shown.language)
    return replace(template, name=f"{template.name} {hand}", title=title, says=says)


def _spot(job: Job, hole: Hole) -> Spot:
    across = hole.diameter_mm
    radius = 0.5 * across if across else 0.0
    own = own_size(hole.contour)
    size = (
        f"Ø {format_length(across, job.shown.display, 1)}"
        if across
        else f"{format_length(own.length_mm, job.shown.display, 1).removesuffix(' mm')} × {format_length(own.width_mm, job.shown.display, 1)}"
    )
    rows = note_rows(size, hole.bolt)
    clear = min(radius, 4.0) + CROSS_BEYOND_MM
    return Spot(hole.name, " ".join(rows), hole.centre, radius, clear, hole.contour, note_rows=rows)


def _hole_strokes(holes: tuple[Hole, ...]) -> tuple[Stroke, ...]:
    strokes: list[Stroke] = []
    for hole in holes:
        round_ = hole.contour.as_circle()
        tag = f"hole {hole.name}"
        strokes.append(ring(round_[0], round_[1], HOLE, tag=tag) if round_ else outline(hole.contour, HOLE, tag=tag))
    return tuple(strokes)


def _guides(job: Job, edge: Contour) -> tuple[Stroke, ...]:
    """Datum lines of the job; centre lines of the edge's box where the job names none."""
    if job.marks.datum:
        return tuple(line(a, b, DATUM, "datum") for a, b in job.marks.datum)
    # only the ends and the crossing of each centre line: between them the paper stays free for words
    box, c = edge.box, edge.box.centre
    ends = min(15.0, 0.25 * box.width), min(15.0, 0.25 * box.height)
    spans = [(box.xmin, box.xmin + ends[0]), (c.x - ends[0], c.x + ends[0]), (box.xmax - ends[0], box.xmax)]
    rises = [(box.ymin, box.ymin + ends[1]), (c.y - ends[1], c.y + ends[1]), (box.ymax - ends[1], box.ymax)]
    return (
        *(line((a, c.y), (b, c.y), CENTRE, "centre") for a, b in spans),
        *(line((c.x, a), (c.x, b), CENTRE, "centre") for a, b in rises),
    )


def _directions(job: Job) -> tuple[tuple[str, float], ...]:
    return tuple((name.upper(), radians(deg)) for name, deg in job.marks.arrows)


def stamp(job: Job) -> str:
    """Return title, revision and date of a job in one line."""
    revision = told("paper.revision", job.shown.language, revision=job.about.revision)
    return ", ".join(part for part in (job.about.title, revision, job.about.date) if part)


def side_out(job: Job) -> str:
    """Return the side that faces out: in the user's words, or the usual one in the job's language."""
    return told("paper.out.side", job.shown.language) if job.marks.side_out == Marks().side_out else job.marks.side_out


def seen_from(job: Job, mirrored: bool = False) -> tuple[str, ...]:
    """Return from where on the vehicle the drawn face is looked at, when the marks tell; of the other hand's part too."""
    found = view(job.marks)
    if found is None:
        return ()
    words = found.mirrored.words if mirrored else found.words
    return (rendered(words, Reader(job.shown.language, job.shown.display)),)


def _other_side(job: Job, template: Template) -> Template:
    """Return a mirrored template that says from where the other hand's part is looked at."""
    here, there = seen_from(job), seen_from(job, mirrored=True)
    swap = dict(zip(here, there, strict=True))
    return replace(template, says=tuple(swap.get(s, s) for s in template.says), other_hand=True)


def _says(job: Job, heading: str, line: str, *more: str) -> tuple[str, ...]:
    """What a template says, most important first: the sheet's title repeats the side and the stamp."""
    lang = job.shown.language
    return (
        told(heading, lang),
        told(line, lang),
        told("paper.out", lang, side=side_out(job)),
        *seen_from(job),
        *more,
        told("paper.part", lang),
        stamp(job),
    )


def _plate(job: Job) -> Template:
    edge, flat = job.plate.outline, told("paper.keep_flat", job.shown.language)
    pads = tuple(Spot(p.name, flat, p.centre, 0.5 * p.diameter_mm, 0.5 * p.diameter_mm, cross=False) for p in job.pads)
    sheet = f"{format_length(job.plate.thickness_mm, job.shown.display, 1)} {Reader(job.shown.language)(steel_word(job.plate.steel))}"
    return Template(
        "Plate",
        "plate",
        edge,
        (
            outline(edge, CUT, tag="cut"),
            *_hole_strokes(job.plate.holes),
            *(ring(p.centre, 0.5 * p.diameter_mm, TRACE, tag=f"pad {p.name}") for p in job.pads),
            *_guides(job, edge),
        ),
        (*(_spot(job, h) for h in job.plate.holes), *pads),
        _says(job, "paper.plate", "paper.plate.line", sheet),
        _directions(job),
        told("paper.plate.name", job.shown.language),
    )


def _opening(job: Job, opening: Contour) -> Template:
    if job.joint.kind == "butt":
        return Template(
            "Opening",
            "opening",
            opening,
            (outline(opening, CUT, tag="cut"), *work_strokes(job), *_guides(job, job.plate.outline)),
            work_spots(job),
            says=_says(job, "paper.opening", "paper.work.line" if job.planned.work else "paper.opening.line"),
            arrows=_directions(job),
            title=told("paper.opening.name", job.shown.language),
            whole=job.planned.work is not None,
        )
    # lap: the plate's outline is laid against, the opening inside it is cut, the holes between the two are drilled
    holes = tuple(h for h in job.plate.holes if h.in_skin)
    edge = job.plate.outline
    return Template(
        "Opening",
        "opening",
        edge,
        (
            outline(opening, CUT, tag="cut"),
            outline(edge, TRACE, tag="trace"),
            *_hole_strokes(holes),
            *work_strokes(job),
            *_guides(job, edge),
        ),
        (*(_spot(job, h) for h in holes), *work_spots(job)),
        _says(job, "paper.opening", "paper.work.lap" if job.planned.work else "paper.lap.line"),
        _directions(job),
        told("paper.opening.name", job.shown.language),
        job.planned.work is not None,
    )


def _skin_holes(job: Job, opening: Contour, holes: tuple[Hole, ...]) -> Template:
    return Template(
        "Skin holes",
        "skin holes",
        opening,
        (outline(opening, CUT, tag="cut"), *_hole_strokes(holes), *_guides(job, job.plate.outline)),
        tuple(_spot(job, h) for h in holes),
        _says(job, "paper.holes", "paper.holes.line"),
        _directions(job),
        told("paper.holes.name", job.shown.language),
    )
