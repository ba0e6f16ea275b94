"""What stands round and behind the cuts, and whether a tool's body gets past it all along a cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from math import atan2, pi

from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.disc import chord_mm
from cutplan.pattern.brace import FittedBrace
from cutplan.pattern.brace_designs import braces_of
from cutplan.pattern.job import Job
from cutplan.tables.by_hand.drills_opening import TOUCH_MM
from cutplan.tables.by_hand.tool_bodies import SIZES, Part, ToolSize, body, grinder_size, tilts

#: Room kept between a tool and what stands beside it [mm]. Common practice.
ROOM_MM = 2.0
#: A turning tool is looked at every so far along a curve [mm].
_STEP_MM = 6.0
#: Tools that may be held from any side, and from another one at every place.
_ANY_SIDE = ("drilled row", "hand plasma")
#: A rib whose depth was not measured is taken as so deep [mm].
_UNKNOWN_MM = 1000.0


@dataclass(frozen=True, slots=True)
class Obstacle:
    """An upright prism: its corners in order, and its heights over the outer face of the skin [mm]."""

    corners: tuple[Point, ...]
    z0: float
    z1: float
    kind: str
    name: str = ""


@dataclass(frozen=True)
class Surroundings:
    """Everything a tool can run into.

    Parameters
    ----------
    obstacles : tuple of Obstacle
        Bars and posts of the brace above the skin, ribs behind it.
    sizes : dict of str to ToolSize
        The user's own tools, by name.
    disc_mm : float
        Diameter of the cut-off disc [mm].
    skin_mm : float
        Skin thickness [mm].
    free_mm : float or None
        Free depth behind the skin [mm].
    """

    obstacles: tuple[Obstacle, ...]
    disc_mm: float
    skin_mm: float
    free_mm: float | None = None
    sizes: dict[str, ToolSize] = field(default_factory=dict)

    def size(self, tool: str) -> ToolSize:
        """Return the sizes of a tool: the user's own, else middling ones."""
        if tool in self.sizes:
            return self.sizes[tool]
        return grinder_size(self.disc_mm) if tool == "cut-off disc" else SIZES[tool]

    @cached_property
    def above(self) -> tuple[Obstacle, ...]:
        """What stands on the skin."""
        return tuple(o for o in self.obstacles if o.z1 > 0.0)

    @cached_property
    def posts(self) -> tuple[Point, ...]:
        """Middles of the posts that stand on the skin [mm]."""
        tall = [o.corners for o in self.above if o.z0 == 0.0 and o.kind == "brace" and _compact(o.corners)]
        return tuple(Point(sum(p.x for p in c) / len(c), sum(p.y for p in c) / len(c)) for c in tall)

    def clear(self, run: Sequence[Segment], tool: str, depth_mm: float, *, above_only: bool = False) -> bool:
        """Whether the tool gets along a run in at least one way to hold it.

        Parameters
        ----------
        run : sequence of Segment
            What the tool touches on the face: for a disc its slot from end to end [mm].
        tool : str
            Name of the tool.
        depth_mm : float
            How deep it is set below the face [mm].
        above_only : bool
            Leave out what lies behind the skin.
        """
        return self.blocking(run, tool, depth_mm, above_only=above_only) is None

    def blocking(
        self, run: Sequence[Segment], tool: str, depth_mm: float, *, above_only: bool = False
    ) -> Obstacle | None:
        """Return what is in the way in every way to hold the tool; None where there is one that passes."""
        obstacles = self.above if above_only else self.obstacles
        if not obstacles:
            return None
        legs = _legs(run, 0.5 * chord_mm(self.disc_mm, depth_mm) if tool == "cut-off disc" else 0.0)
        if tool in _ANY_SIDE:
            parts = body(tool, self.size(tool), depth_mm)
            return next((o for leg in _legs(run, 0.0, every=True) if (o := _in_all_ways(parts, leg, obstacles))), None)
        first: Obstacle | None = None
        for tilt in tilts(tool):
            parts = body(tool, self.size(tool), depth_mm, self.disc_mm, tilt)
            for side, way in ((1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)):
                hit = next((o for o in obstacles if _hits(parts, legs, o, side, way)), None)
                if hit is None:
                    return None
                first = first or hit
        return first


def surroundings(job: Job, line: Contour) -> Surroundings:
    """Return what stands round the opening of a job while it is cut.

    Parameters
    ----------
    job : Job
        Braces, ribs, tools.
    line : Contour
        Net line of the opening [mm].
    """
    return around(job, [b for b in braces_of(job, line) if b.on == "marked"])


def around(job: Job, braces: Sequence[FittedBrace]) -> Surroundings:
    """Return what stands round an opening with these braces on."""
    found: list[Obstacle] = []
    for brace in braces:
        for bar in brace.bars:
            found.append(Obstacle(bar.footprint().vertices, bar.underside_mm, bar.top_mm, "brace", bar.name))
            if bar.underside_mm > 0.0:
                found += [Obstacle(c.vertices, 0.0, bar.underside_mm, "brace", bar.name) for c in bar.foot_contours()]
    t = job.skin.thickness_mm
    for rib in job.skin.ribs:
        deep = rib.depth_mm if rib.depth_mm is not None else _UNKNOWN_MM
        for a, b in pairwise(rib.path):
            side = b.minus(a).unit().left().times(0.5 * rib.thickness_mm)
            corners = (a.minus(side), b.minus(side), b.plus(side), a.plus(side))
            found.append(Obstacle(corners, -t - deep, -t - TOUCH_MM - 1e-3, "rib", rib.name))
    sizes = {t.name: t.size for t in job.opening.tools}
    return Surroundings(tuple(found), job.opening.disc_diameter_mm, t, job.skin.box_depth_mm, sizes)


Leg = tuple[Point, Point]


def _compact(corners: Sequence[Point]) -> bool:
    """Whether a footprint is about as long as wide."""
    a, b = corners[0].distance(corners[1]), corners[1].distance(corners[2])
    return max(a, b) < 2.0 * min(a, b)


def _in_all_ways(parts: Sequence[Part], leg: Leg, obstacles: Sequence[Obstacle]) -> Obstacle | None:
    """What is in the way at one place whichever side the handle points to: a torch is turned, each hole drilled by itself."""
    first: Obstacle | None = None
    at = leg[0]
    for k in range(8):
        far = at.plus(Point(1e-3, 0.0).turned(k * 0.25 * pi))
        hit = next((o for o in obstacles if _hits(parts, [(at, far)], o, 1.0, 1.0)), None)
        if hit is None:
            return None
        first = first or hit
    return first


def _legs(run: Sequence[Segment], back_mm: float, *, every: bool = False) -> list[Leg]:
    """Straight legs along which the tool's middle travels; ``back_mm`` off either end; ``every``: short ones throughout."""
    points: list[Point] = []
    for s in run:
        count = 1 if isinstance(s, Line) and not every else max(2, int(s.length / _STEP_MM) + 1)
        points += [s.point_at(k / count) for k in range(count)]
    points.append(run[-1].end)
    if back_mm > 0.0:
        points = _shortened(_shortened(points, back_mm)[::-1], back_mm)[::-1]
    return [(a, b) for a, b in pairwise(points) if a.distance(b) > 1e-9] or [(points[0], points[-1])]


def _shortened(points: list[Point], by_mm: float) -> list[Point]:
    """A chain of points less so much of its start; its last leg stays, be it as short as it may."""
    points = list(points)
    while len(points) > 2 and points[0].distance(points[1]) <= by_mm:
        by_mm -= points[0].distance(points[1])
        points.pop(0)
    length = points[0].distance(points[1])
    share = min(by_mm / length, 0.5 if len(points) == 2 else 1.0) if length > 0.0 else 0.0
    points[0] = points[0].plus(points[1].minus(points[0]).times(share))
    return points


def _hits(parts: Sequence[Part], legs: Sequence[Leg], obstacle: Obstacle, side: float, way: float) -> bool:
    for part in parts:
        room = ROOM_MM if obstacle.z1 > 0.0 else 0.0
        covered = part.reach(obstacle.z0 - room, obstacle.z1 + room)
        if covered is None:
            continue
        x0, x1, y0, y1 = covered
        if way < 0.0:
            x0, x1 = -x1, -x0
        if side < 0.0:
            y0, y1 = -y1, -y0
        for a, b in legs:
            length = a.distance(b)
            back = -_heading(a, b, legs)
            local = [corner.minus(a).turned(back) for corner in obstacle.corners]
            if _overlap(local, x0 - room, x1 + length + room, y0 - room, y1 + room):
                return True
    return False


def _heading(a: Point, b: Point, legs: Sequence[Leg]) -> float:
    if a.distance(b) < 1e-9:
        a, b = legs[0][0], legs[-1][1]
    return atan2(b.y - a.y, b.x - a.x)


def _overlap(corners: Sequence[Point], x0: float, x1: float, y0: float, y1: float) -> bool:
    """Whether a convex polygon and a rectangle along the axes share more than a line: separating axes, exact."""
    xs, ys = [p.x for p in corners], [p.y for p in corners]
    if min(xs) >= x1 or max(xs) <= x0 or min(ys) >= y1 or max(ys) <= y0:
        return False
    box = (Point(x0, y0), Point(x1, y0), Point(x1, y1), Point(x0, y1))
    for a, b in pairwise((*corners, corners[0])):
        normal = b.minus(a).left()
        if normal.length() < 1e-12:
            continue
        p, q = [normal.dot(v) for v in corners], [normal.dot(v) for v in box]
        if min(p) >= max(q) or max(p) <= min(q):
            return False
    return True
