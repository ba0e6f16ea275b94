"""What the opening's plan marks out, on its template: holes, cuts across, bridges, ribs, brace and datum marks."""

from __future__ import annotations

from cutplan.drawing.model import Pen, Stroke, ring
from cutplan.pattern.job import Job
from cutplan.pattern.work_marks import WorkKind
from cutplan.templates.drawn.pens import ACROSS, BRACE, CUT, HOLE, RIB, RIB_GUESSED, SECOND
from cutplan.templates.shapes.template import Spot, note_rows
from cutplan.texts import Reader, mm, say
from cutplan.units import format_length

_PENS: dict[WorkKind, Pen] = {
    "second line": SECOND,
    "across": ACROSS,
    "bridge": CUT,
    "rib": RIB,
    "suspected rib": RIB_GUESSED,
    "brace": BRACE,
}
#: Reach of a centre cross beyond its hole [mm].
_CROSS_MM = 3.0


def work_strokes(job: Job) -> tuple[Stroke, ...]:
    """Return the lines that are marked out besides the opening's own; none without a plan."""
    if job.planned.work is None:
        return ()
    lines = [Stroke(line.path, _PENS[line.kind], tag=f"trace {line.kind}") for line in job.planned.work.lines]
    holes = [
        ring(h.centre, 0.5 * h.diameter_mm, HOLE, tag=f"hole {h.name}") for h in job.planned.work.holes if h.diameter_mm
    ]
    return (*lines, *holes)


def work_spots(job: Job) -> tuple[Spot, ...]:
    """Return holes, windows and datum marks with their crosses, and the words beside cuts, bridges and ribs."""
    if job.planned.work is None:
        return ()
    read = Reader(job.shown.language, job.shown.display)
    spots: list[Spot] = []
    for h in job.planned.work.holes:
        radius = 0.5 * h.diameter_mm
        note = f"Ø {format_length(h.diameter_mm, job.shown.display, 0)}" if radius else read(say("punch"))
        rows = note_rows(note, "") if radius else ()
        spots.append(Spot(h.name, note, h.centre, radius, min(radius, 4.0) + _CROSS_MM, note_rows=rows))
    for n in job.planned.work.notes:
        deep = read(say("{depth} deep", depth=mm(n.depth_mm))) if n.depth_mm is not None else ""
        spots.append(Spot(n.name, deep, n.at, 0.0, 0.0, cross=False))
    bars = [line.path for line in job.planned.work.lines if line.kind == "brace"]
    if bars:
        # a broken outline without a word might be taken for a cut
        longest = max((s for path in bars for s in path), key=lambda s: s.length)
        spots.append(Spot(read(say("Brace")), "", longest.point_at(0.25), 0.0, 0.0, cross=False))
    return tuple(spots)
