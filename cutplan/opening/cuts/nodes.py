"""Holes drilled on the kerf's path: corners, turns, ends of section cuts and entries for a blade."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, inf, pi, radians
from typing import TYPE_CHECKING

from cutplan.geometry.contour import Contour
from cutplan.geometry.intersect import meet
from cutplan.geometry.segment import Arc, Line, Segment, circle
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.waste import Waste
from cutplan.opening.model import Drill, DrillPurpose
from cutplan.tables.by_hand.drills_opening import corner_radius_mm
from cutplan.tables.by_hand.hand_tools import DRILLS_MM, TOOLS
from cutplan.texts import Message, say

if TYPE_CHECKING:
    from shapely import Polygon

#: Turn of the path above which a corner is drilled large enough to limit cracking [rad].
CORNER_RAD = radians(30.0)
#: Longest tip of metal left between a corner hole and an acute corner, sawn and filed out afterwards [mm]. Our own.
TIP_MM = 8.0
#: Largest hole drilled to make a rounded corner [mm]; larger corners are sawn. Common practice, no source.
LARGEST_CORNER_MM = 32.0
#: Least metal left between two drilled holes [mm]. Our own.
WEB_MM = 4.0
#: Least metal left between a hole and a slot that it does not belong to [mm]. Our own.
NECK_MM = 2.0


@dataclass(frozen=True, slots=True)
class Node:
    """A hole on the path; the path needs no cut from ``enter_mm`` to ``leave_mm`` along its length.

    ``at_mm`` is the corner, turn or foot itself, distances along the path from its start [mm]. ``drill`` None: a bare
    point without hole (finished with a blade).
    """

    at_mm: float
    enter_mm: float
    leave_mm: float
    drill: Drill | None
    purpose: DrillPurpose


def starts(path: Contour) -> list[float]:
    """Return the distance along the path at the start of each of its segments [mm]."""
    run, out = 0.0, []
    for s in path.segments:
        out.append(run)
        run += s.length
    return out


def turn_rad(a: Segment, b: Segment) -> float:
    """Return the turn from the end of one segment to the start of the next [rad], positive to the left."""
    d, e = a.end_direction, b.start_direction
    return atan2(d.cross(e), d.dot(e))


def drill_sizes(largest_mm: float, smallest_mm: float = 4.0) -> list[float]:
    """Return the drills between two diameters [mm], largest first."""
    return [d for d in reversed(DRILLS_MM) if smallest_mm - 1e-9 <= d <= largest_mm + 1e-9]


def hole_at(waste: Waste, corner: Point, diameter_mm: float, taken: list[Drill]) -> Point | None:
    """Return the centre [mm] of a hole inside the rough line as near to a point as it goes; None when it has no room.

    A hole that would overlap another has no room; one that would leave a tip of more than 8 mm in an acute corner gives
    way to a smaller one.
    """
    radius = 0.5 * diameter_mm
    room: Polygon = waste.rough_poly.buffer(-(radius + 0.005), quad_segs=16)
    if room.is_empty:
        return None
    from shapely import Point as GeosPoint
    from shapely.ops import nearest_points

    near = nearest_points(room, GeosPoint(corner))[0]
    centre = Point(near.x, near.y)
    if centre.distance(corner) - radius > TIP_MM and diameter_mm > DRILLS_MM[0]:
        return None
    if any(centre.distance(d.centre) < radius + d.radius_mm + WEB_MM for d in taken):
        return None
    return centre


def span_on(waste: Waste, drill: Drill, at_mm: float) -> tuple[float, float] | None:
    """Return where the path enters the hole before ``at_mm`` and leaves it after, unwrapped distances [mm].

    None when it does not, or when the hole leaves no neck of metal beside the slot along the path elsewhere.
    """
    path, clear = waste.path, drill.radius_mm + 0.5 * waste.kerf_mm + NECK_MM
    ring = circle(drill.centre, drill.radius_mm)
    total, before, after = path.length, inf, -inf
    corner, _ = path.point_at_length(at_mm)
    reach = corner.distance(drill.centre) + drill.radius_mm
    for start, segment in zip(starts(path), path.segments, strict=True):
        nearest, gap = segment.nearest(drill.centre)
        if gap > clear:
            continue
        met = [m.ta for m in meet(segment, ring)] if gap <= drill.radius_mm else []
        off = [(start + t * segment.length - at_mm + 0.5 * total) % total - 0.5 * total for t in (*met, nearest)]
        if any(abs(o) > 2.5 * reach for o in off):
            return None  # the hole would cut through a neck
        before, after = min(before, *off[:-1], inf), max(after, *off[:-1], -inf)
    if before > after - 1e-9:
        return None
    return at_mm + min(before, 0.0), at_mm + max(after, 0.0)


def node_for(
    waste: Waste,
    at_mm: float,
    corner: Point,
    sizes: list[float],
    taken: list[Drill],
    purpose: DrillPurpose,
    reason: Message,
    square: bool = False,
) -> Node | None:
    """Return the node with the largest of the drills [mm] that has room at a place of the path, or None."""
    for diameter in sizes:
        centre = hole_at(waste, corner, diameter, taken)
        if centre is None:
            continue
        drill = Drill("", centre, diameter, purpose, reason, square)
        span = span_on(waste, drill, at_mm)
        if span is not None and span[1] - span[0] < 0.5 * waste.path.length:
            taken.append(drill)
            return Node(at_mm, span[0], span[1], drill, purpose)
    return None


def corner_nodes(
    waste: Waste, thickness_mm: float, run_out_mm: float, wanted_mm: float | None, by_saw: list[bool]
) -> tuple[list[Node], list[Drill]]:
    """Return the nodes at corners and turns of the path, and their holes.

    Parameters
    ----------
    waste : Waste
        Piece of waste.
    thickness_mm : float
        Skin thickness [mm].
    run_out_mm : float
        Overcut of the tool on the face [mm].
    wanted_mm : float or None
        Drill that the job asks for at corners [mm].
    by_saw : list of bool
        Segments of the path that a saw follows.

    Notes
    -----
    A corner that turns into the waste by more than 30 degrees gets a hole: as large as its own radius allows when it
    is rounded, else ``max(3 t, 8 mm)`` in radius (from memory). A lesser turn gets a small hole where the run-out
    would leave the allowance.
    """
    path, largest = waste.path, max(LARGEST_CORNER_MM, wanted_mm or 0.0)
    default = wanted_mm or 2.0 * corner_radius_mm(thickness_mm)
    span = min(path.box.width, path.box.height)
    least = 6.0 if span >= 12.0 else 4.0  # a saw blade goes through 6 mm
    nodes: list[Node] = []
    taken: list[Drill] = []
    for at, turn, radius, room, i in _corners(path):
        corner, _ = path.point_at_length(at)
        net = radius + 0.5 * waste.kerf_mm  # radius of the rough line there
        if turn >= CORNER_RAD:
            if radius > 0.0 and 2.0 * net > largest:
                continue  # too large to drill: sawn
            rounded = radius > 0.0 and 2.0 * net >= 4.0
            fits = 2.0 * net if rounded else default
            # in a small opening the holes must leave a piece worth lifting out
            fits = max(least, min(fits, 0.4 * span)) if rounded else max(least, min(fits, 0.5 * room))
            sizes = drill_sizes(min(fits, wanted_mm) if wanted_mm and rounded else fits)
            reason = say("corner radius") if rounded else say("limits cracking")
            node = node_for(waste, at, corner, sizes, taken, "corner", reason, not rounded)
        elif radius == 0.0 and not (by_saw[i - 1] and by_saw[i]) and run_out_mm * abs(turn) > waste.allowance_mm:
            sizes = drill_sizes(max(8.0, run_out_mm + 1.0), 4.0)
            node = node_for(waste, at, corner, sizes, taken, "turn", say("takes the tool's overcut"))
        else:
            continue
        nodes.append(node or Node(at, at, at, None, "corner"))
    # one hole may take two corners of a narrow end: the second needs no place of its own
    held = [n for n in nodes if n.drill]
    return [n for n in nodes if n.drill or node_near(held, n.at_mm, path.length, 0.0) is None], taken


def _corners(path: Contour) -> list[tuple[float, float, float, float, int]]:
    """Corners that turn left: (distance along the path, turn [rad], path radius, 0 for a sharp one, and the shorter of
    the segments that meet there [mm], index of the segment after)."""
    segments, found = path.segments, []
    along = starts(path)
    n = len(segments)
    for i, s in enumerate(segments):
        turn = turn_rad(segments[i - 1], s) if n > 1 else 0.0
        if turn > radians(3.0):
            found.append((along[i], turn, 0.0, min(segments[i - 1].length, s.length), i))
        if isinstance(s, Arc) and s.sweep > 0.0 and not s.is_circle and n > 1:
            before, after = segments[i - 1], segments[(i + 1) % n]
            if not isinstance(before, Arc) and not isinstance(after, Arc):
                room = min(before.length, after.length)
                found.append((along[i] + 0.5 * s.length, min(s.sweep, pi), s.radius, room, i))
    return found


def sawn(path: Contour, slot_mm: float, least_mm: float) -> list[bool]:
    """Return, for each segment of a path, whether a saw must follow it where a disc cannot.

    Parameters
    ----------
    path : Contour
        Path of the kerf's centre.
    slot_mm : float
        Shortest slot of the disc on the face [mm].
    least_mm : float
        Shortest length that the disc cuts right through [mm].

    Notes
    -----
    A disc follows a line, and an arc that stays within 0.3 mm of straight over its slot. A line is sawn when it is
    shorter than one plunge, and when it is a facet of a curve: less than one and a half slots long, with only slight
    turns at both ends of which one at least is there.
    """
    segments = path.segments
    n = len(segments)
    out: list[bool] = []
    for i, s in enumerate(segments):
        if isinstance(s, Line):
            before, after = (abs(turn_rad(segments[i - 1], s)), abs(turn_rad(s, segments[(i + 1) % n])))
            facet = s.length < 1.5 * slot_mm and max(before, after) < CORNER_RAD and before + after > radians(6.0)
            out.append(s.length < least_mm or facet)
        else:
            out.append(slot_mm**2 / (8.0 * s.radius) > 0.3)
    return out


def entry_mm(tool: str) -> float:
    """Return the hole that a tool's blade needs to start [mm]."""
    return TOOLS[tool].entry_mm


def node_near(nodes: list[Node], at_mm: float, total: float, room_mm: float) -> Node | None:
    """Return the node whose stretch, and some room on both sides [mm], holds a distance along the path [mm]."""
    for node in nodes:
        off = (at_mm - node.at_mm + 0.5 * total) % total - 0.5 * total
        if node.enter_mm - node.at_mm - room_mm <= off <= node.leave_mm - node.at_mm + room_mm:
            return node
    return None
