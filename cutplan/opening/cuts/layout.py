"""From the waste to drills, sections, edges and the order they fall in: everything before the steps are worded."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, sin
from typing import TYPE_CHECKING

from cutplan.findings import Finding
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.edges import Edge, edges_of, tips
from cutplan.opening.cuts.ribs import Crossing, crossings, not_seen, parting, ribs_behind
from cutplan.opening.cuts.toolset import Toolset
from cutplan.opening.cuts.waste import Waste
from cutplan.opening.cuts.windows import BLADE_HOLES_MM, CAMERA_MM, OPEN_SIDE_MM, blade_hole, look_hole, window_for
from cutplan.opening.model import Drill
from cutplan.opening.parting.bound import Forced
from cutplan.opening.parting.draft import drafted
from cutplan.opening.parting.places import Limits
from cutplan.opening.parting.split import turned_poly
from cutplan.opening.steps.order import Fall, fall_order
from cutplan.pattern.job import Job
from cutplan.tables.steel import CARBON_STEEL
from cutplan.texts import name, place, say

if TYPE_CHECKING:
    from shapely import Polygon


@dataclass(frozen=True, slots=True)
class Layout:
    """One piece of waste laid out: sections are indexes into ``sections``, falls in order."""

    waste: Waste
    drills: tuple[Drill, ...]
    windows: tuple[Drill, ...]
    sections: tuple[Polygon, ...]
    edges: tuple[Edge, ...]
    crossings: tuple[Crossing, ...]
    falls: tuple[Fall, ...]
    axis_rad: float
    limits: Limits
    forced: Forced
    looks: tuple[tuple[str, Point], ...]
    findings: tuple[Finding, ...]


def limits_of(job: Job) -> Limits:
    """Return the limits of a section for a job: length, mass, mass per area, and ribs with their mass per length."""
    density = CARBON_STEEL.density_kg_per_mm3
    ribs = tuple((r.path, density * r.thickness_mm * (r.depth_mm or 0.0) if r.joined else 0.0) for r in job.skin.ribs)
    return Limits(
        job.opening.longest_section_mm, job.opening.heaviest_section_kg, density * job.skin.thickness_mm, ribs
    )


def lay_out(job: Job, waste: Waste, kit: Toolset, attempt: int = 0) -> Layout:
    """Return the layout of one piece of waste.

    Parameters
    ----------
    job : Job
        Skin, ribs and limits.
    waste : Waste
        The piece.
    kit : Toolset
        Tools.
    attempt : int
        How many ways to part the waste are passed over; see :func:`cutplan.opening.parting.draft.drafted`.
    """
    found: list[Finding] = []
    limits = limits_of(job)
    draft = drafted(job, waste, kit, limits, attempt)
    nodes, taken, sections = draft.nodes, draft.taken, draft.sections
    edges = edges_of(waste, nodes, draft.chords, draft.moved, draft.longer, sections, kit)
    over = crossings(job, edges, sections, tips(waste, nodes))
    looks: list[tuple[str, Point]] = []
    windows = _windows(job, sections, taken, looks, found)
    unseen = [any(not_seen(job.skin.ribs[r]) for r in ribs_behind(job, s)) for s in sections]
    axis = _long_axis(waste, draft.angle_rad)
    centres = [Point(s.centroid.x, s.centroid.y) for s in sections]
    falls = fall_order(centres, axis, edges, over, unseen)
    _blade_holes(job, waste, falls, sections, over, edges, kit, taken, windows, found)
    if not windows and not any(d.diameter_mm >= CAMERA_MM for d in taken):
        first = look_hole(job, sections[falls[0].section], taken)
        taken += [first] if first is not None else []
    return Layout(
        waste,
        tuple(taken),
        tuple(windows),
        tuple(sections),
        tuple(edges),
        tuple(over),
        tuple(falls),
        draft.angle_rad,
        limits,
        draft.forced,
        tuple(looks),
        tuple(found),
    )


def _long_axis(waste: Waste, angle_rad: float) -> Point:
    xmin, ymin, xmax, ymax = turned_poly(waste.path_poly, -angle_rad).bounds
    u = Point(cos(angle_rad), sin(angle_rad))
    return u if xmax - xmin >= ymax - ymin else u.left()


def _windows(
    job: Job, sections: list[Polygon], drills: list[Drill], looks: list[tuple[str, Point]], found: list[Finding]
) -> list[Drill]:
    """One window in each section that lies over a rib not seen; where there is no room, a hole to look through."""
    out: list[Drill] = []
    for section in sections:
        behind = [r for r in ribs_behind(job, section) if not_seen(job.skin.ribs[r])]
        if not behind:
            continue
        window = window_for(job, section, behind, drills + out)
        if window is not None:
            out.append(window)
            continue
        for r in behind:
            rib = job.skin.ribs[r]
            spot = Point(section.centroid.x, section.centroid.y)
            near = min(drills + out, key=lambda d: d.centre.distance(spot), default=None)
            found.append(
                Finding(
                    "no-room-for-window",
                    "warning",
                    say("no room for a window beside rib {rib} in one section of the opening", rib=name(rib.name)),
                    say("section at {at}", at=place(spot.x, spot.y, 0)),
                    say("look through the nearest drilled hole with a mirror or a camera before cutting there"),
                )
            )
            if near is not None:
                looks.append((rib.name, near.centre))
    return out


def _blade_holes(
    job: Job,
    waste: Waste,
    falls: list[Fall],
    sections: list[Polygon],
    over: list[Crossing],
    edges: list[Edge],
    kit: Toolset,
    drills: list[Drill],
    windows: list[Drill],
    found: list[Finding],
) -> None:
    """Add a hole beside each rib crossing for a blade, unless a hole or a section already out is near."""
    from shapely import Point as GeosPoint

    turn = {c: k for k, fall in enumerate(falls) for c in fall.crossings}
    for n, c in enumerate(over):
        gone = [sections[f.section] for f in falls[: turn.get(n, 0)]]
        if any(s.distance(GeosPoint(c.at)) < OPEN_SIDE_MM for s in gone):
            continue
        if parting(job, waste, c, edges[c.edge], kit).tool != "hacksaw":
            continue
        if any(
            d.centre.distance(c.at) - d.radius_mm < 25.0 and d.diameter_mm >= BLADE_HOLES_MM[-1]
            for d in drills + windows
        ):
            continue
        region = waste.rough_poly.intersection(GeosPoint(c.at).buffer(50.0))
        hole = blade_hole(job, region, c.at, drills + windows)
        if hole is not None:
            drills.append(hole)
        else:
            found.append(
                Finding(
                    "no-room-for-blade",
                    "warning",
                    say(
                        "no room for a blade hole where rib {rib} is parted",
                        rib=name(job.skin.ribs[c.rib].name),
                    ),
                    say("{all}", all=place(c.at.x, c.at.y, 0)),
                    say("part the rib from the open side after the neighbouring section is out"),
                )
            )
