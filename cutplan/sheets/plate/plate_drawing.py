"""The net plate as a figure: outline, holes with their names, pads, brace, datum corner and overall sizes."""

from __future__ import annotations

from cutplan.drawing.layout import arrow
from cutplan.drawing.model import Figure, Item, Pen, Stroke, Text, Tie, line, outline, ring, tied
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point, middle
from cutplan.pattern.job import Job
from cutplan.units import format_length, inch_text

_FIRM, _THIN, _CENTRE = Pen(0.6), Pen(0.25), Pen(0.2, dash_mm=(4.0, 1.0, 0.8, 1.0))
_PAD = Pen(0.35, "#444444", (2.0, 1.2))
#: Holes beyond which only some get their name: the table has them all.
NAMED = 80
#: Font size of labels [mm].
LABEL_MM = 3.6
#: Below this share of the other side a side's length is told in inches alone: both would be longer than its line [1].
_SHORT_SIDE = 0.5


def plate_figure(
    job: Job,
    *,
    sizes: bool = True,
    pads: bool = True,
    names: bool = True,
    fill: str = "#f2f2f2",
    short: bool = False,
) -> Figure:
    """Return the plate in its own coordinates; text heights are paper millimetres.

    Parameters
    ----------
    job : Job
        The job.
    sizes, pads, names : bool
        Overall sizes with the datum corner, pads and brace, names of the holes.
    short : bool
        Overall sizes of an inch job without the millimetre beside them: a small picture has no room for it.
    fill : str
        Colour of the plate's face; empty for none.
    """
    plate, box = job.plate, job.plate.outline.box
    away = 0.09 * box.diagonal  # a size finds room between its line and the outline
    items: list[Item] = [outline(plate.outline, _FIRM, fill, "net")]
    for hole in plate.holes:
        items.append(outline(hole.contour, _FIRM, "#ffffff", f"hole {hole.name}"))
        c, reach = hole.centre, 0.5 * max(hole.contour.box.width, hole.contour.box.height) + 0.01 * box.diagonal
        items.append(line((c.x - reach, c.y), (c.x + reach, c.y), _CENTRE, "centre"))
        items.append(line((c.x, c.y - reach), (c.x, c.y + reach), _CENTRE, "centre"))
    if pads:
        items += pad_items(job)
    if names:
        for hole in plate.holes[:: 1 + len(plate.holes) // NAMED]:
            b = hole.contour.box
            radius = 0.5 * min(b.width, b.height)
            items.append(tied(hole.name, b.centre, LABEL_MM, radius_mm=radius, bold=True, tag="hole-name"))
    if sizes:
        items += _width(job, away, short) + _height(job, away, short)
    return Figure(tuple(items), box.grown(1.35 * away if sizes else 0.03 * box.diagonal))


def pad_items(job: Job) -> list[Item]:
    """Return pads as dashed rings with their names, and the brace as a dashed bar."""
    items: list[Item] = []
    for pad in job.pads:
        items.append(ring(pad.centre, 0.5 * pad.diameter_mm, _PAD, tag=f"pad {pad.name}"))
        radius, below = 0.5 * pad.diameter_mm, Point(0.0, -1.0)
        items.append(tied(pad.name, pad.centre, LABEL_MM, radius_mm=radius, away=below, bold=True, tag="pad-name"))
    if job.brace is not None and job.brace.kind == "part":
        items.append(brace_bar(job))
    return items


def brace_bar(job: Job) -> Stroke:
    """Return the brace's outline over the plate."""
    assert job.brace is not None
    a, b = job.brace.start, job.brace.end
    side = b.minus(a).unit().left().times(0.5 * job.brace.size_mm)
    corners = (a.plus(side), a.minus(side), b.minus(side), b.plus(side))
    sides = tuple(Line(p, q) for p, q in zip(corners, corners[1:] + corners[:1], strict=True))
    return Stroke(sides, Pen(0.45, "#444444", (5.0, 2.0)), closed=True, tag="brace")


def _width(job: Job, away: float, short: bool) -> list[Item]:
    box = job.plate.outline.box
    y = box.ymin - 0.75 * away
    a, b = Point(box.xmin, y), Point(box.xmax, y)
    text = _long(job, box.width, short or box.width < _SHORT_SIDE * box.height)
    return _size(a, b, Point(box.xmin, box.ymin), Point(box.xmax, box.ymin), away, text)


def _height(job: Job, away: float, short: bool) -> list[Item]:
    box = job.plate.outline.box
    x = box.xmin - 0.75 * away
    a, b = Point(x, box.ymin), Point(x, box.ymax)
    text = _long(job, box.height, short or box.height < _SHORT_SIDE * box.width)
    return _size(a, b, Point(box.xmin, box.ymin), Point(box.xmin, box.ymax), away, text)


def _long(job: Job, length_mm: float, short: bool) -> str:
    """A length as it is written along its line."""
    inches = short and job.shown.display == "in"
    return f"{inch_text(length_mm)} in" if inches else format_length(length_mm, job.shown.display)


def _size(a: Point, b: Point, from_a: Point, from_b: Point, away: float, text: str) -> list[Item]:
    """A size line with two arrows, its witness lines, and what is written along it."""
    mid = middle(a, b)
    out = a.minus(from_a).times(1.15)
    return [
        line(from_a, from_a.plus(out), _THIN, "size"),
        line(from_b, from_b.plus(out), _THIN, "size"),
        *arrow(mid, a, _THIN, 0.16 * away, "size"),
        *arrow(mid, b, _THIN, 0.16 * away, "size"),
        Text(text, mid, LABEL_MM, "middle", tag="size", tie=Tie(mid, along=b.minus(a))),
    ]
