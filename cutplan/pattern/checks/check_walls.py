"""Whether somebody measured how far the skin reaches to the walls of its box."""

from __future__ import annotations

from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.texts import every, mm, say, template

_SIDES = {
    "left": template("left {distance}"),
    "right": template("right {distance}"),
    "bottom": template("bottom {distance}"),
    "top": template("top {distance}"),
}


def wall_findings(job: Job) -> list[Finding]:
    """Return a warning where the distance to a side wall of the box is a usual one that nobody measured.

    Parameters
    ----------
    job : Job
        The job.
    """
    walls = job.skin.walls
    if not walls.assumed:
        return []
    taken = every(_SIDES[side].fill(distance=mm(walls.mm(side), 0)) for side in walls.assumed)
    message = say(
        "how far the skin reaches from the opening to the walls of its box was not measured: {taken} taken", taken=taken
    )
    fix = say(
        "the room for brace and marks, the heat and the flatness rest on it: measure from the line of the opening to "
        "the bend of the skin on each side"
    )
    return [Finding("walls-assumed", "warning", message, "skin.walls", fix)]
