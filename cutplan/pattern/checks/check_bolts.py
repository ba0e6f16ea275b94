"""Bolt holes against every other hole: the metal between is an edge for the bolt, whatever made it.

EN 1993-1-8 Table 3.3 asks for 1.2 d0 from the centre of a bolt hole to an edge, 1.5 d0 to the centre of a slot's end.
The outline and the pitch of bolts among each other are looked at where the plate is cut.
"""

from __future__ import annotations

from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.tables.bolts import MIN_EDGE, least_edge_mm
from cutplan.texts import mm, name, number, place, plural, say

#: Findings beyond which the rest is counted instead of told.
_TOLD = 6


def bolts_near_holes(job: Job) -> list[Finding]:
    """Return bolt holes whose centre lies nearer to the edge of a hole that is none of a bolt than 1.2 d0."""
    bolts = [(h, h.diameter_mm) for h in job.plate.holes if h.purpose == "bolt" and h.diameter_mm is not None]
    others = [h for h in job.plate.holes if h.purpose != "bolt"]
    close: list[tuple[float, Hole, Hole, float]] = []
    for bolt, d0 in bolts:
        least = least_edge_mm(d0)
        for hole in others:
            if _apart(bolt.centre, hole.contour) >= least:
                continue
            away = hole.contour.nearest(bolt.centre)[1]
            if away < least - 1e-6:
                close.append((away, bolt, hole, d0))
    close.sort(key=lambda c: c[0])
    found = [_finding(*c) for c in close[:_TOLD]]
    if len(close) > _TOLD:
        more = plural(
            "one more bolt hole lies too near another hole",
            "{count} more bolt holes lie too near another hole",
            len(close) - _TOLD,
        )
        found.append(Finding("bolt-edge-distance", "warning", more))
    return found


def _apart(p: Point, contour: Contour) -> float:
    """Distance from a point to a contour's box [mm], a quick lower bound."""
    b = contour.box
    dx, dy = max(b.xmin - p.x, 0.0, p.x - b.xmax), max(b.ymin - p.y, 0.0, p.y - b.ymax)
    return float((dx * dx + dy * dy) ** 0.5)


def _finding(away: float, bolt: Hole, hole: Hole, d0: float) -> Finding:
    message = say(
        "bolt hole {bolt} lies {away} from the edge of hole {hole}; least: {least} ({factor} x {d0}, EN 1993-1-8 "
        "Table 3.3)",
        bolt=name(bolt.name),
        away=mm(away),
        hole=name(hole.name),
        least=mm(least_edge_mm(d0)),
        factor=number(MIN_EDGE),
        d0=mm(d0),
    )
    fix = say("move one of the two, or use a smaller bolt")
    return Finding("bolt-edge-distance", "warning", message, place_of(bolt.centre), fix)


def place_of(p: Point):  # type: ignore[no-untyped-def]
    """Return a place as a message."""
    return say("{at}", at=place(p.x, p.y))
