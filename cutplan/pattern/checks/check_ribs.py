"""Hidden ribs against the skin between the walls of the box."""

from __future__ import annotations

from itertools import pairwise

from cutplan.findings import Finding
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.job import Job
from cutplan.texts import name, place, say, size


def rib_findings(job: Job, skin: Box) -> list[Finding]:
    """Return ribs that lie outside the skin, or are stated deeper than the box.

    Parameters
    ----------
    job : Job
        The job.
    skin : Box
        The skin between the box's walls [mm].
    """
    found = []
    for i, rib in enumerate(job.skin.ribs):
        where = say("skin.rib[{i}] {rib}", i=i, rib=name(rib.name))
        if not any(skin.holds(p) for p in rib.path) and not crosses_box(rib.path, skin):
            fix = say(
                "the skin spans {size} from {corner} in the plate's coordinates",
                size=size(skin.width, skin.height),
                corner=place(skin.xmin, skin.ymin),
            )
            message = say("the rib lies outside the skin between the box's walls")
            found.append(Finding("rib-outside", "error", message, where, fix))
        if rib.depth_mm is not None and job.skin.box_depth_mm is not None and rib.depth_mm > job.skin.box_depth_mm:
            message = say("the rib is stated deeper than the box")
            found.append(Finding("rib-deeper-than-box", "warning", message, where, say("check both depths")))
    return found


def crosses_box(path: tuple[Point, ...], box: Box) -> bool:
    """Return whether a polyline meets a box (Liang-Barsky on each piece)."""
    for a, b in pairwise(path):
        t0, t1 = 0.0, 1.0
        dx, dy = b.x - a.x, b.y - a.y
        for p, q in ((-dx, a.x - box.xmin), (dx, box.xmax - a.x), (-dy, a.y - box.ymin), (dy, box.ymax - a.y)):
            if p == 0.0:
                if q < 0.0:
                    t0 = 2.0
            elif p < 0.0:
                t0 = max(t0, q / p)
            else:
                t1 = min(t1, q / p)
        if t0 <= t1:
            return True
    return False
