"""A lapped plate against what lies under it: plug welds need skin behind them, and its edge must stay on the flat."""

from __future__ import annotations

from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.pattern.skin import WallSide
from cutplan.texts import Message, every, mm, name, plural, say, template

_PAST: dict[WallSide, Message] = {
    "left": template("left {reach}, wall at {wall}"),
    "right": template("right {reach}, wall at {wall}"),
    "bottom": template("bottom {reach}, wall at {wall}"),
    "top": template("top {reach}, wall at {wall}"),
}


def lap_findings(job: Job, opening: Contour) -> list[Finding]:
    """Return the doubts about what a lapped plate lies on; none for a butt joint.

    Parameters
    ----------
    job : Job
        The job.
    opening : Contour
        Net line of the opening [mm].
    """
    if job.joint.kind != "lap":
        return []
    return [*_plugs(job, opening), *_walls(job, opening)]


def _plugs(job: Job, opening: Contour) -> list[Finding]:
    """Plug welds that lie over the opening, all or in part: nothing lies under them to be welded to."""
    bare = [h.name for h in job.plate.holes if h.purpose == "plug weld" and _over(h, opening)]
    if not bare:
        return []
    message = plural(
        "plug weld {names} lies over the opening: there is no skin under it",
        "{count} plug welds lie over the opening: there is no skin under them: {names}",
        len(bare),
        names=every(name(n) for n in bare),
    )
    fix = say(
        "move them onto the overlap of {overlap} or leave them out; on a rib behind the opening say so on the job sheet",
        overlap=mm(job.joint.overlap_mm, None),
    )
    return [Finding("plug-weld-over-opening", "warning", message, "plate.holes", fix)]


def _over(hole: Hole, opening: Contour) -> bool:
    half = 0.5 * min(hole.contour.box.width, hole.contour.box.height)
    return opening.contains(hole.centre) or opening.nearest(hole.centre)[1] < half - 1e-6


def _walls(job: Job, opening: Contour) -> list[Finding]:
    """Sides on which the plate reaches past the bend of the skin."""
    inner, outer = opening.box, job.plate.outline.box
    reach: dict[WallSide, float] = {
        "left": inner.xmin - outer.xmin,
        "right": outer.xmax - inner.xmax,
        "bottom": inner.ymin - outer.ymin,
        "top": outer.ymax - inner.ymax,
    }
    past = [s for s, r in reach.items() if r > job.skin.walls.mm(s) + 1e-6]
    if not past:
        return []
    sides = every(_PAST[s].fill(reach=mm(reach[s], None), wall=mm(job.skin.walls.mm(s), None)) for s in past)
    message = say("the lapped plate reaches past the bend of the skin: {sides}", sides=sides)
    fix = say("measure from the line of the opening to the bend on each side; use a smaller plate or overlap")
    return [Finding("lap-past-wall", "warning", message, "skin.walls", fix)]
