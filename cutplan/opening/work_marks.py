"""The opening's plan as it is marked out on the skin: for the work template and the table of coordinates."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_segment
from cutplan.geometry.offset.regions import offset_contour
from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Box, Point, box_of
from cutplan.opening.model import Cut, OpeningPlan
from cutplan.pattern.brace import BraceBar
from cutplan.pattern.job import Job
from cutplan.pattern.work_marks import WorkHole, WorkKind, WorkLine, WorkMarks, WorkNote
from cutplan.tables.by_hand.hand_tools import TOOLS

if TYPE_CHECKING:
    from shapely import Polygon

#: Paper kept beyond the datum marks, so that they can be punched through it [mm].
MARGIN_MM = 6.0
#: Cosine from which a bar lies along the paper's edge [1], and how much wider the paper gets for its whole width [mm].
_ALONG, _MORE_MM = 0.98, 60.0


def work_marks(job: Job, plan: OpeningPlan) -> WorkMarks:
    """Return what the work template shows, in the plate's coordinates [mm].

    Parameters
    ----------
    job : Job
        Ribs.
    plan : OpeningPlan
        The plan whose steps are marked out.
    """
    marks = [p for p in plan.datum.points if p.kind == "mark"]
    margin = box_of([p.at for p in marks]).joined(plan.line.box).grown(MARGIN_MM)
    for brace in plan.bracing.fitted:
        for bar in brace.bars if brace.on == "marked" else ():
            margin = _with_whole_width(margin, bar)
    holes = [WorkHole(d.name, d.centre, d.diameter_mm) for d in plan.drills]
    holes += [WorkHole(m.name, m.at, 0.0) for m in marks]
    cuts = [c for s in plan.steps for c in s.cuts]
    lines: list[WorkLine] = []
    if plan.tools.allowance_mm > 0.0:
        rough = [c for c in offset_contour(plan.line, -plan.tools.allowance_mm, join="sharp") if c.ccw]
        lines += [WorkLine("second line", c.segments) for c in rough]
    lines += [WorkLine("across", c.path) for c in cuts if c.kind == "divide"]
    lines += [WorkLine("bridge", _bars(c)) for c in plan.bridges]
    for rib in job.skin.ribs:
        kind: WorkKind = "rib" if rib.knowledge == "known" else "suspected rib"
        lines += [WorkLine(kind, part) for part in _clipped([Line(a, b) for a, b in pairwise(rib.path)], margin)]
    for brace in plan.bracing.fitted:
        for bar in brace.bars if brace.on == "marked" else ():
            shapes: list[Contour] = [bar.footprint(), *bar.foot_contours()]
            lines += [WorkLine("brace", part) for shape in shapes for part in _clipped(shape.segments, margin)]
    # a blade has no depth to be set: only what has a stop is given one
    notes = [WorkNote(c.name, _middle(c.path), c.depth_mm if TOOLS[c.tool].depth_set else None) for c in cuts]
    for rib in job.skin.ribs:
        shown = _clipped([Line(a, b) for a, b in pairwise(rib.path)], margin)
        if shown:
            end = max(shown, key=lambda p: sum(s.length for s in p))[0]
            notes.append(WorkNote(rib.name, end.point_at(min(1.0, 12.0 / max(end.length, 12.0))), None))
    return WorkMarks(tuple(holes), tuple(lines), tuple(notes), margin)


def _with_whole_width(margin: Box, bar: BraceBar) -> Box:
    """The paper with a bar beside the opening that it cuts lengthwise: half a bar is one dashed line, which says nothing."""
    body = bar.footprint().box
    for foot in bar.foot_contours():
        body = body.joined(foot.box)
    body = body.grown(1.0)
    if abs(bar.direction.x) > _ALONG:
        wider = Box(margin.xmin, min(margin.ymin, body.ymin), margin.xmax, max(margin.ymax, body.ymax))
    elif abs(bar.direction.y) > _ALONG:
        wider = Box(min(margin.xmin, body.xmin), margin.ymin, max(margin.xmax, body.xmax), margin.ymax)
    else:
        return margin
    touched = max(body.xmin, margin.xmin) < min(body.xmax, margin.xmax) and max(body.ymin, margin.ymin) < min(
        body.ymax, margin.ymax
    )
    more = wider.width - margin.width + wider.height - margin.height
    return wider if touched and more <= _MORE_MM else margin


def datum_axes(plan: OpeningPlan) -> tuple[Point, Point]:
    """Return where coordinates start, the first datum mark, and the direction of x, along the first datum line."""
    marks = [p.at for p in plan.datum.points if p.kind == "mark"]
    return marks[0], marks[1].minus(marks[0]).unit()


def coordinates(plan: OpeningPlan, at: Point) -> tuple[float, float]:
    """Return the coordinates of a place from the two datum lines: along M1-M2, and square to it [mm]."""
    origin, u = datum_axes(plan)
    off = at.minus(origin)
    return off.dot(u), u.cross(off)


def _bars(cut: Cut) -> tuple[Segment, ...]:
    """Two short bars across the kerf at the ends of a bridge."""
    out: list[Segment] = []
    for p, u in ((cut.path[0].start, cut.path[0].start_direction), (cut.path[-1].end, cut.path[-1].end_direction)):
        side = u.left().times(3.0)
        out.append(Line(p.minus(side), p.plus(side)))
    return tuple(out)


def _middle(run: Sequence[Segment]) -> Point:
    left = 0.5 * sum(s.length for s in run)
    for s in run:
        if left <= s.length:
            return s.point_at(left / s.length)
        left -= s.length
    return run[-1].end


def _clipped(run: Sequence[Segment], box: Box) -> list[tuple[Segment, ...]]:
    """The parts of a chain of segments inside a box, as straight stretches."""
    from shapely import LineString, get_parts
    from shapely import box as rectangle

    frame: Polygon = rectangle(*box)
    points = [run[0].start, *(p for s in run for p in flatten_segment(s, 0.05)[1:])]
    out: list[tuple[Segment, ...]] = []
    for part in get_parts(LineString(points).intersection(frame)):
        if part.geom_type == "LineString" and part.length > 1.0:
            xy = [Point(x, y) for x, y in part.coords]
            out.append(tuple(Line(a, b) for a, b in pairwise(xy)))
    return out
