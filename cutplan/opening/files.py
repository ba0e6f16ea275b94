"""The layers of ``opening.dxf``: the net cut line, what is drilled, and the cuts across."""

from __future__ import annotations

from cutplan.files.dxf.sketch import Note, SketchLayer
from cutplan.geometry.contour import circle_contour
from cutplan.geometry.vector import Point
from cutplan.opening.model import OpeningPlan
from cutplan.pattern.job import Job
from cutplan.texts import Reader, inch_or_mm, name, say


def opening_layers(job: Job, plan: OpeningPlan) -> tuple[SketchLayer, ...]:
    """Return the layers of ``opening.dxf``, in the plate's coordinates [mm].

    Parameters
    ----------
    job : Job
        For the title.
    plan : OpeningPlan
        The plan; its ``line`` is written as it is, lines and arcs exact.

    Notes
    -----
    ``opening line`` is net: the cut stays inside it by the allowance. Only that layer is meant for a machine; the
    others are for the bench.
    """
    read = Reader(job.shown.language, job.shown.display)
    drilled = [d for d in plan.drills if d.purpose != "window"]
    windows = [d for d in plan.drills if d.purpose == "window"]
    cuts = [c for s in plan.steps for c in s.cuts]
    box = plan.line.box
    step = max(4.0, 0.02 * box.diagonal)
    notes = [
        Note(text, Point(box.xmin, box.ymin - (k + 2) * step), 0.6 * step)
        for k, text in enumerate(
            (
                read(say("{title}: opening in the skin", title=name(job.about.title))),
                read(say("Units mm, 1:1. The opening line is net: cut inside it, dress to it.")),
                read(
                    say(
                        "Hand cut: leave {allowance}, kerf {kerf} inside that.",
                        allowance=inch_or_mm(plan.tools.allowance_mm, None),
                        kerf=inch_or_mm(plan.tools.kerf_mm, 2),
                    )
                ),
            )
        )
    ]
    notes += [Note(d.name, Point(d.centre.x + d.radius_mm + 0.2 * step, d.centre.y), 0.5 * step) for d in plan.drills]
    notes += [Note(str(s.number), s.label_at, step) for s in plan.sections]
    layers = [SketchLayer("opening line", contours=(plan.line,), colour=1)]
    for layer, holes, colour in (("opening drill", drilled, 3), ("opening window", windows, 4)):
        if holes:
            rings = tuple(circle_contour(d.centre, d.radius_mm) for d in holes)
            layers.append(SketchLayer(layer, rings, points=tuple(d.centre for d in holes), colour=colour, cross_mm=4.0))
    across = tuple(c.path for c in cuts if c.kind == "divide")
    if across:
        layers.append(SketchLayer("opening cuts across", chains=across, colour=5))
    layers.append(SketchLayer("opening notes not cut", notes=tuple(notes), colour=8))
    return tuple(layers)
