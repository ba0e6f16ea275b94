"""The templates for a machine that cuts foil or card at true size: what is cut, what is scored and what is written, apart."""

from __future__ import annotations

from dataclasses import replace
from math import radians

from cutplan.drawing.font import anchor_shift
from cutplan.drawing.model import Stroke, Text
from cutplan.files.dxf.sketch import Note, SketchLayer
from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.templates.drawn.aids import aids
from cutplan.templates.drawn.decorate import decorate
from cutplan.templates.drawn.slits import PUNCHED_MM
from cutplan.templates.printed.correction import Correction
from cutplan.templates.shapes.build import templates_of
from cutplan.templates.tiling.layout import Layout, Placed, SheetPlace
from cutplan.templates.tiling.sheet import sheet_forms
from cutplan.texts import Reader, every, say
from cutplan.texts.by_id import told

#: Free foil between two templates [mm].
_BETWEEN_MM = 15.0
#: Notes of a printed sheet that speak of its thick line, and what is said instead where the machine cuts that line.
_ON_PAPER = ("plate.line", "opening.line", "lap.line", "holes.line", "flat.cut")
#: Lines of the templates that guide the eye: scored, not cut through.
_SCORED = ("trace", "bend", "datum", "centre", "pad")
#: Marks beside the template's own lines that are worth a score line.
_MARKS = ("cross", "check", "leader", "arrow")


def cutter_layers(job: Job) -> tuple[SketchLayer, ...]:
    """Return every template of a job side by side at 1:1, in layers by what the machine must do.

    Parameters
    ----------
    job : Job
        What is made.

    Returns
    -------
    tuple of SketchLayer
        ``template cut`` (edges, and holes too large to be punched through the foil), ``template score`` (small holes,
        crosses, datum, bend and centre lines), ``template text``; lower left corner of the first template at the origin
        [mm].

    Raises
    ------
    GeometryError
        When the joint leaves no single opening.
    """
    cut: list[Contour] = []
    scored: list[Contour] = []
    chains: list[tuple[Segment, ...]] = []
    notes: list[Note] = []
    known: list[str] = []
    x, crosses = 0.0, 1
    form = sheet_forms(job.paper, Correction())[0]
    lang = job.shown.language
    instead = {told(f"paper.{key}", lang): told(f"cutter.{key}", lang) for key in _ON_PAPER}
    for template in templates_of(job):
        # words change before they are wrapped
        said = replace(template, says=tuple(instead.get(line, line) for line in template.says))
        t = said.moved(x - said.box.xmin, -said.box.ymin)
        x += t.box.width + _BETWEEN_MM
        small = {s.name for s in t.spots if 0.0 < s.radius_mm <= 0.5 * PUNCHED_MM}
        for line in t.lines:
            kind, _, hole = line.tag.partition(" ")
            if line.closed:
                (scored if kind in _SCORED or hole in small else cut).append(Contour(line.segments))
            elif kind in _SCORED:
                chains += [(s,) for s in line.segments]
        whole = t.box.grown(0.5 * _BETWEEN_MM)
        layout = Layout((Placed(t, 0.0, Point(0.0, 0.0)),), (SheetPlace(0, 0, form, whole, whole, whole),), ())
        drawn = decorate(layout, aids(layout), (), 0.0, crosses, Reader(lang, job.shown.display))
        known += [
            told("paper.diagonal", lang, start=c.start, end=c.end, length=f"{c.length_mm:.1f} mm") for c in drawn.checks
        ]
        crosses += len({n for c in drawn.checks for n in (c.start, c.end)})
        for item in drawn.items:
            if isinstance(item, Text) and item.text != told("paper.tape", lang):
                start = item.at.minus(Point(anchor_shift(item), 0.0).turned(radians(item.angle_deg)))
                notes.append(Note(item.text, start, item.height_mm, item.angle_deg))
            elif isinstance(item, Stroke) and item.tag in _MARKS:
                chains += [(s,) for s in item.segments]
    first = Reader(lang)(say("Units mm, 1:1. Measure before you use it: {known}.", known=every(known, "; ")))
    notes.append(Note(first, Point(0.0, -8.0)))
    return (
        SketchLayer("template cut", contours=tuple(cut), colour=1),
        SketchLayer("template score", contours=tuple(scored), chains=tuple(chains), colour=5),
        SketchLayer("template text", notes=tuple(notes), colour=8),
    )
