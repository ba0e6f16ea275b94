"""Where ribs cross the cuts, what they hold, and how they are parted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from cutplan.geometry.flatten import flatten_segment
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.disc import chord_mm
from cutplan.opening.cuts.edges import Edge
from cutplan.opening.cuts.toolset import Toolset
from cutplan.opening.cuts.waste import Waste
from cutplan.opening.model import RibPart
from cutplan.pattern.job import Job
from cutplan.pattern.skin import Rib
from cutplan.tables.by_hand.drills_opening import CLEAR_BEHIND_MM, PAST_RIB_MM

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry


@dataclass(frozen=True, slots=True)
class Crossing:
    """A place where a rib crosses an edge: which rib, which edge, the two regions it links (-1: skin), and where."""

    rib: int
    edge: int
    at: Point
    direction: Point
    link: tuple[int, int]


def not_seen(rib: Rib) -> bool:
    """Whether a rib must be looked at before the skin over it is cut: suspected, unknown, or its depth not measured."""
    return rib.knowledge != "known" or rib.depth_mm is None


def reaches_back(rib: Rib, job: Job) -> bool:
    """Whether a rib runs to the wall behind, so that its pieces stay fixed after it is parted across."""
    free = job.skin.box_depth_mm
    return free is not None and rib.depth_mm is not None and rib.depth_mm >= free - 1.0


def crossings(job: Job, edges: list[Edge], sections: list[Polygon], tips: list[Polygon]) -> list[Crossing]:
    """Return every place where a rib joined to the skin passes from one region to another, along each rib in turn.

    Parameters
    ----------
    job : Job
        For the ribs.
    edges : list of Edge
        The nearest one is named in the crossing.
    sections, tips : list of shapely.Polygon
        Sections, and the corners of the waste beside holes that stay with the skin.
    """
    from shapely import LineString, get_parts, union_all
    from shapely import Point as GeosPoint

    if not any(rib.joined for rib in job.skin.ribs):
        return []
    kept = union_all(tips)
    cores = [s.difference(kept) for s in sections]
    lines = [LineString([p for s in e.full for p in flatten_segment(s, 0.02)]) for e in edges]
    out: list[Crossing] = []
    for r, rib in enumerate(job.skin.ribs):
        if not rib.joined:
            continue
        path = LineString(rib.path)
        places: list[float] = []
        for core in cores:
            for part in get_parts(path.intersection(core.boundary)):
                if part.geom_type == "Point":
                    places.append(path.project(part))
                elif part.geom_type == "LineString" and not part.is_empty:
                    places += [path.project(GeosPoint(xy)) for xy in (part.coords[0], part.coords[-1])]
        places.sort()
        marks = [0.0, *places, path.length]
        regions = [_region(cores, path.interpolate(0.5 * (a + b))) if b - a > 0.2 else None for a, b in pairwise(marks)]
        last = regions[0]
        for along, region in zip(places, regions[1:], strict=True):
            if region is None:
                continue
            if last is not None and region != last:
                p, q = path.interpolate(max(0.0, along - 0.5)), path.interpolate(min(path.length, along + 0.5))
                spot = path.interpolate(along)
                k = min(range(len(lines)), key=lambda k: round(lines[k].distance(spot), 6))
                out.append(Crossing(r, k, Point(spot.x, spot.y), Point(q.x - p.x, q.y - p.y).unit(), (last, region)))
            last = region
    return out


def _region(sections: Sequence[BaseGeometry], spot: BaseGeometry) -> int:
    return next((k for k, s in enumerate(sections) if s.contains(spot)), -1)


def ribs_behind(job: Job, section: Polygon) -> list[int]:
    """Return the indexes of the ribs that pass behind a section for more than a millimetre."""
    from shapely import LineString

    return [r for r, rib in enumerate(job.skin.ribs) if LineString(rib.path).intersection(section).length > 1.0]


def parting(job: Job, waste: Waste, crossing: Crossing, edge: Edge, kit: Toolset) -> RibPart:
    """Return how a rib is parted at a crossing: with the disc down to its far edge where reach, room behind and the
    length of the slot allow, else with a hacksaw blade through a hole or from the open side.

    Notes
    -----
    The disc must go ``skin + rib depth + 2 mm`` deep; its slot on the face is the exact chord at that depth and must
    stay inside the waste and clear of other ribs.
    """
    rib = job.skin.ribs[crossing.rib]
    depth = None if not_seen(rib) or rib.depth_mm is None else job.skin.thickness_mm + rib.depth_mm + PAST_RIB_MM
    sections = tuple(s for s in crossing.link if s >= 0)
    tool = "hacksaw"
    if depth is not None and kit.main == "cut-off disc" and depth <= kit.reach_mm:
        free = job.skin.box_depth_mm
        deep_enough = free is not None and depth <= job.skin.thickness_mm + free - CLEAR_BEHIND_MM
        if deep_enough and _slot_fits(job, waste, crossing, edge, kit, depth):
            tool = "cut-off disc"
    return RibPart(rib.name, crossing.at, crossing.direction, tool, depth, sections)


def slot_ends(at: Point, along: Point, diameter_mm: float, depth_mm: float) -> tuple[Point, Point]:
    """Return the ends of the slot on the face of a disc plunged over a point, in a direction [mm], exact."""
    half = 0.5 * chord_mm(diameter_mm, depth_mm)
    return at.minus(along.times(half)), at.plus(along.times(half))


def _slot_fits(job: Job, waste: Waste, crossing: Crossing, edge: Edge, kit: Toolset, depth_mm: float) -> bool:
    from shapely import LineString

    if len(edge.full) != 1 or edge.full[0].nearest(crossing.at)[1] > 0.01:
        lines = [s for s in edge.full if s.nearest(crossing.at)[1] <= 0.01]
    else:
        lines = list(edge.full)
    if not lines:
        return False
    u = lines[0].direction_at(lines[0].nearest(crossing.at)[0])
    if abs(u.cross(crossing.direction)) < 0.5:
        return False  # cut and rib nearly in line: a blade follows better
    a, b = slot_ends(crossing.at, u, kit.disc_mm, depth_mm)
    slot = LineString([a, b]).buffer(0.5 * waste.kerf_mm, cap_style="flat")
    if not waste.rough_slack.covers(slot):
        return False
    if not kit.around.clear((Line(a, b),), "cut-off disc", depth_mm, above_only=True):
        return False
    return not any(
        LineString(other.path).distance(slot) < 3.0 for k, other in enumerate(job.skin.ribs) if k != crossing.rib
    )


def along_parts(job: Job, section: Polygon, number: int) -> list[RibPart]:
    """Return the cuts under the skin along ribs that reach the wall behind, for one section (its index)."""
    from shapely import LineString, get_parts

    out: list[RibPart] = []
    for rib in job.skin.ribs:
        if not (rib.joined and reaches_back(rib, job)):
            continue
        for part in get_parts(LineString(rib.path).intersection(section)):
            if part.geom_type != "LineString" or part.length < 1.0:
                continue
            path = tuple(Point(x, y) for x, y in part.coords)
            spot = part.interpolate(0.5, normalized=True)
            out.append(
                RibPart(
                    rib.name,
                    Point(spot.x, spot.y),
                    path[-1].minus(path[0]).unit(),
                    "hacksaw",
                    None,
                    (number,),
                    along=True,
                    path=path,
                )
            )
    return out
