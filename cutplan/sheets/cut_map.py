"""The torch's path as a figure: cuts with direction and order, leads, pierces and rapid moves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.drawing.layout import arrow
from cutplan.drawing.model import Figure, Item, Pen, Stroke, Text, outline, ring
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job

if TYPE_CHECKING:
    from cutplan.cutting.result import CutPlan

_NET, _CUT, _LEAD, _RAPID = Pen(0.2, "#888888"), Pen(0.7), Pen(0.7, "#000000"), Pen(0.25, "#444444", (2.5, 1.5))


def path_map(job: Job, plan: CutPlan, upto: int | None = None) -> Figure:
    """Return the path in the plate's coordinates.

    Parameters
    ----------
    job : Job
        The job.
    plan : CutPlan
        Paths in order.
    upto : int or None
        Show only the first so many cuts; None: all.
    """
    box = job.plate.outline.box
    reach = 0.02 * box.diagonal
    items: list[Item] = [outline(c, _NET, tag="net") for c in plan.net.contours]
    for i, rapid in enumerate(plan.rapids, 1):
        if upto is None or i <= upto:
            items.append(Stroke((rapid,), _RAPID, tag=f"rapid {i}"))
    for n, path in enumerate(plan.paths if upto is None else plan.paths[:upto], 1):
        items.append(Stroke(path.cut, _CUT, tag=f"path {n}"))
        for lead in (path.lead_in, path.lead_out):
            if lead:
                items.append(Stroke(lead, _LEAD, tag=f"lead {n}"))
        if path.lead != "none":
            items.append(ring(path.pierce, 0.4 * reach, None, "#000000", f"pierce {n}"))
        longest = max(path.cut, key=lambda s: s.length)
        middle, way = longest.point_at(0.5), longest.direction_at(0.5)
        items += arrow(
            middle.minus(way.times(0.7 * reach)), middle.plus(way.times(0.7 * reach)), _CUT, 1.2 * reach, f"way {n}"
        )
        away = path.pierce
        items.append(Text(f"{n}", Point(away.x, away.y), 4.2, "middle", bold=True, tag=f"order {n}"))
    for mark in plan.drilled:
        c = mark.centre
        for d in (Point(reach, 0.0), Point(0.0, reach)):
            items.append(Stroke((Line(c.minus(d), c.plus(d)),), Pen(0.5), tag="mark"))
    whole = box
    for path in plan.paths:
        for s in path.segments:
            whole = whole.joined(s.box)
    return Figure(tuple(items), whole.grown(2.0 * reach))
