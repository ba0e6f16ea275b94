"""Where each tack and stitch lies, its number in the order of welding and the way the torch travels."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutplan.drawing.layout import arrow
from cutplan.drawing.model import Figure, Item, Pen, Stroke, Text, outline, tied
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.sheets.plate.plate_drawing import pad_items

if TYPE_CHECKING:
    from cutplan.welding.result import PlacedBead, WeldPlan

NUMBER_MM = 4.2
_EDGE = Pen(0.3, "#777777")


def weld_figure(job: Job, plan: WeldPlan, *, tacks: bool = True, stitches: bool = True) -> Figure:
    """Return the map of beads in the plate's coordinates.

    Parameters
    ----------
    job : Job
        The job.
    plan : WeldPlan
        Tacks and stitches in the order of welding.
    tacks, stitches : bool
        What to show: stitches as bars with number and arrow of travel; tacks as bars where they are alone, and where
        both are shown as triangles with t1, t2 ...
    """
    box = job.plate.outline.box
    reach = 0.035 * box.diagonal
    items: list[Item] = [outline(job.plate.outline, _EDGE, "#f7f7f7", "net")]
    items += [outline(h.contour, _EDGE, "#ffffff", f"hole {h.name}") for h in job.plate.holes]
    items += pad_items(job)
    if tacks and not stitches:
        items += _bars(plan.tacks, Pen(2.6, "#000000"), "tack")
    if stitches:
        along = sorted(plan.stitches, key=lambda s: s.span.start_mm)
        items += _bars(along[::2], Pen(1.5, "#000000"), "stitch")
        items += _bars(along[1::2], Pen(1.5, "#8f8f8f"), "stitch")
        for bead in plan.stitches:
            items += _travel(job, bead, reach)
        items += [_number(job, b, f"{b.number}", 1.9 * reach, "stitch-number") for b in plan.stitches]
    if tacks and stitches:
        items += [_wedge(job, b, reach) for b in plan.tacks]
    if tacks and stitches:
        items += [_number(job, b, f"t{b.number}", -1.45 * reach, "tack-number") for b in plan.tacks]
    elif tacks:
        items += [_beside(job, b, reach) for b in plan.tacks]
    return Figure(tuple(items), box.grown(2.6 * reach))


def _bars(beads: Sequence[PlacedBead], pen: Pen, kind: str) -> list[Item]:
    return [Stroke(b.path, pen, tag=f"{kind} {b.number}") for b in beads]


def _outward(job: Job, bead: PlacedBead, away: float) -> Point:
    """Unit vector away from the plate at the bead's middle; towards it in a notch, where texts would meet outside."""
    outline_ = job.plate.outline
    along, _ = outline_.nearest(bead.middle)
    _, direction = outline_.point_at_length(along)
    out = direction.left().times(-1.0 if outline_.ccw else 1.0)
    _, free = outline_.nearest(bead.middle.plus(out.times(away)))
    return out.times(-1.0) if free < 0.85 * away else out


def _number(job: Job, bead: PlacedBead, text: str, away: float, tag: str) -> Text:
    out = _outward(job, bead, 2.6 * abs(away)).times(1.0 if away > 0.0 else -1.0)
    return Text(text, bead.middle.plus(out.times(abs(away))), NUMBER_MM, "middle", bold=True, tag=tag)


def _beside(job: Job, bead: PlacedBead, reach: float) -> Text:
    """The number of a tack outside its bar, whatever the size of the picture: no letter lies on the bar."""
    out = _outward(job, bead, 2.6 * reach)
    return tied(str(bead.number), bead.middle, NUMBER_MM, radius_mm=0.5 * reach, away=out, bold=True, tag="tack-number")


def _wedge(job: Job, bead: PlacedBead, reach: float) -> Stroke:
    """A black triangle that points at the tack from the side of its number: no bar, so that it is no stitch."""
    out = _outward(job, bead, 2.6 * 1.3 * reach).times(-reach)
    tip, base = bead.middle.plus(out.times(0.16)), bead.middle.plus(out.times(0.72))
    half = out.left().times(0.27)
    corners = (tip, base.plus(half), base.minus(half))
    sides = tuple(Line(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True))
    return Stroke(sides, Pen(0.2), "#000000", closed=True, tag=f"tack {bead.number}")


def _travel(job: Job, bead: PlacedBead, reach: float) -> list[Item]:
    """An arrow beside the bead, outside the plate, in the way of travel."""
    out = _outward(job, bead, 2.6 * 1.9 * reach).times(0.75 * reach)
    along = bead.end.minus(bead.start)
    if along.length() < 1e-9:
        return []
    half = along.unit().times(min(0.36 * along.length(), 1.5 * reach))  # a stitch may turn a corner: within the picture
    a, b = bead.middle.minus(half).plus(out), bead.middle.plus(half).plus(out)
    shaft, head = arrow(a, b, Pen(0.45), min(0.45 * reach, 0.6 * a.distance(b)), f"travel {bead.number}")
    tick = out.unit().times(0.25 * reach)
    return [shaft, head, Stroke((Line(a.minus(tick), a.plus(tick)),), Pen(0.45), tag=f"travel {bead.number}")]
