"""Where a brace can stand: each design laid out on the skin round the opening, or what room it lacks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil

from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_array
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.brace import DESIGNS, BraceBar, BraceDesign, BraceFoot, FittedBrace, Stage
from cutplan.pattern.job import Job
from cutplan.tables.brace_sections import NARROW, USUAL, BraceSection
from cutplan.tables.by_hand.tool_bodies import SIZES, ToolSize, grinder_size

#: Least room between what is cut or welded and a bar or foot, a tack and its fillet; and the room for a welding nozzle
#: that is kept where the skin allows it [mm]. Common practice.
CLEAR_MM, NOZZLE_MM = 10.0, 25.0
#: Room between a tool and a bar above it or beside it [mm]. Common practice.
UNDER_MM, BESIDE_MM = 10.0, 6.0
#: A tool higher than this is not worth a brace to pass under: a grinder does its cuts there [mm]. Our own.
MOST_UNDER_MM = 220.0
#: How far a bar reaches beyond the opening where the skin allows it [mm]; least that a tack needs. Common practice.
BEYOND_MM, LEAST_BEYOND_MM = 40.0, 15.0
#: Room between a bar or foot and the bend of the skin at its walls [mm]. Common practice.
WALL_MM = 3.0
#: Longest stretch of a bar flat on the skin without a tack; length of a tacked place [mm]. Common practice.
TACK_EVERY_MM, TACK_MM = 150.0, 20.0


@dataclass(frozen=True, slots=True)
class Laid:
    """A design laid out: the brace, or None and how much room it lacks [mm]."""

    design: BraceDesign
    section: BraceSection
    brace: FittedBrace | None
    lacks_mm: float = 0.0


def tool_size(job: Job, tool: str) -> ToolSize:
    """Return the sizes of a tool in this job: the user's own, else middling ones."""
    own = next((t.size for t in job.opening.tools if t.name == tool), None)
    return own or (grinder_size(job.opening.disc_diameter_mm) if tool == "cut-off disc" else SIZES[tool])


def under_mm(job: Job) -> float:
    """Return the height of the posts of a bar across the opening [mm]: grinder, angle drill and the job's tool pass."""
    tools = [tool_size(job, t).height_mm for t in (job.opening.tool, "cut-off disc", "drilled row")]
    return max(h for h in tools if h <= MOST_UNDER_MM) + UNDER_MM


def skin_box(job: Job, line: Contour) -> Box:
    """Return the skin between the walls of its box [mm]."""
    b, w = line.box, job.skin.walls
    return Box(b.xmin - w.left_mm, b.ymin - w.bottom_mm, b.xmax + w.right_mm, b.ymax + w.top_mm)


def wished_section(job: Job) -> BraceSection:
    """Return the section that the job names, the usual one where it names none or the real part."""
    wish = job.brace
    if wish is None or wish.kind == "part":
        return USUAL
    return BraceSection(wish.kind, wish.size_mm, wish.wall_mm)


def brace_axis(job: Job, line: Contour) -> tuple[Point, Point]:
    """Return a point of the line that the brace is to keep straight, and its direction.

    The job's own line; else through the two pads farthest apart; else through the pad, or the middle, along the
    opening's longer side.
    """
    wish = job.brace
    if wish is not None and wish.start.distance(wish.end) > 1.0:
        return wish.start, wish.end.minus(wish.start).unit()
    centres = [p.centre for p in job.pads]
    pairs = [(a, b) for i, a in enumerate(centres) for b in centres[i + 1 :]]
    far = max(pairs, key=lambda ab: round(ab[0].distance(ab[1]), 6), default=None)
    if far is not None and far[0].distance(far[1]) > 1.0:
        return far[0], far[1].minus(far[0]).unit()
    box = line.box
    return (centres[0] if centres else box.centre), (Point(1.0, 0.0) if box.width >= box.height else Point(0.0, 1.0))


def laid_out(
    job: Job, line: Contour, design: BraceDesign, section: BraceSection, height_mm: float = 0.0, until: Stage = "cold"
) -> Laid:
    """Return a design laid out on the skin.

    Parameters
    ----------
    job : Job
        Walls, pads and the wish.
    line : Contour
        Net line of the opening [mm].
    design : BraceDesign
        What to lay out.
    section : BraceSection
        Of its bars.
    height_mm : float
        Height of the feet of the design ``across`` [mm].
    until : Stage
        When it comes off; ``open``: it may stand where a lapped plate comes to lie.
    """
    frame = _Frame(job, line, section, under_lap=until == "open")
    given = job.brace is not None
    if design == "part":
        return Laid(design, section, _part(job))
    if design in ("across", "flush"):
        bar = frame.across(0.0 if design == "flush" else height_mm)
        bars: list[BraceBar | float] = [bar]
    elif design == "single":
        first, second = frame.beside(1, "bar 1"), frame.beside(-1, "bar 1")
        near = frame.nearer_side()
        chosen = first if near > 0 else second
        bars = [(second if near > 0 else first) if isinstance(chosen, float) else chosen]
    else:
        bars = [frame.beside(1, "bar 1"), frame.beside(-1, "bar 2")]
        if design == "frame":
            bars += [frame.end(1, "bar 3"), frame.end(-1, "bar 4")]
    lacks = max((b for b in bars if isinstance(b, float)), default=0.0)
    made = tuple(b for b in bars if isinstance(b, BraceBar))
    if lacks > 0.0:
        return Laid(design, section, None, lacks)
    return Laid(design, section, FittedBrace(design, made, off=until, given=given))


def layouts(job: Job, line: Contour, height_mm: float) -> tuple[Laid, ...]:
    """Return every design laid out with the wished section, or with a bar on edge where that one has no room.

    Round a lapped plate that leaves no room beside it, a brace may stand where the plate comes to lie; it comes off
    before that goes on.

    Parameters
    ----------
    job : Job
        Walls, pads and the wish.
    line : Contour
        Net line of the opening [mm].
    height_mm : float
        Height that the tool needs under a bar across [mm].
    """
    out: list[Laid] = []
    wished = wished_section(job)
    for design in DESIGNS:
        if design == "part":
            continue
        stages: tuple[Stage, ...] = ("cold",) if job.joint.kind == "butt" else ("cold", "open")
        sections = (wished, NARROW) if design in ("pair", "single", "frame") else (wished,)
        tried = [laid_out(job, line, design, s, height_mm, stage) for stage in stages for s in sections]
        out.append(next((t for t in tried if t.brace is not None), tried[0]))
    return tuple(out)


def braces_of(job: Job, line: Contour) -> tuple[FittedBrace, ...]:
    """Return the braces of a job in the order in which they go on: those chosen, else the first design with room.

    Empty for a job without pads and brace. The real part is bolted to the plate's pads once that is tacked; until then
    another brace holds the skin.
    """
    if job.planned.braces is not None:
        return job.planned.braces
    if not (job.pads or job.brace):
        return ()
    wanted = job.brace.design if job.brace is not None else None
    height = under_mm(job)
    laid = [x for x in layouts(job, line, height) if x.brace is not None and x.design != "flush"]
    laid.sort(key=lambda x: (x.design != wanted, x.design != "across"))
    first = laid[0] if laid else None
    return with_part(job, first.brace if first else None)


def with_part(job: Job, opening: FittedBrace | None) -> tuple[FittedBrace, ...]:
    """Return the brace of the opening, followed by the real part where the job names that."""
    braces = (opening,) if opening is not None else ()
    return (*braces, _part(job)) if job.brace is not None and job.brace.kind == "part" else braces


def _part(job: Job) -> FittedBrace:
    """The real part, bolted to the pads of the plate once that is tacked."""
    wish = job.brace
    assert wish is not None
    section = BraceSection("part", wish.size_mm, wish.wall_mm)
    size = min(wish.size_mm, 40.0)
    feet = tuple(BraceFoot(p, size, size, 0.0, "pad") for p in (wish.start, wish.end))
    bar = BraceBar("part", wish.start, wish.end, section, 0.0, feet)
    return FittedBrace("part", (bar,), on="tacked", off="cold", given=True)


class _Frame:
    """The opening and its skin in the axes of the brace: u along it, v across."""

    def __init__(self, job: Job, line: Contour, section: BraceSection, under_lap: bool) -> None:
        self.job, self.line, self.section = job, line, section
        self.origin, self.u = brace_axis(job, line)
        self.v = self.u.left()
        # a lapped plate covers the skin round the opening: nothing may stand where it comes to lie
        self.rims = (line,) if job.joint.kind == "butt" or under_lap else (line, job.plate.outline)
        off = [Point(float(x), float(y)).minus(self.origin) for rim in self.rims for x, y in flatten_array(rim, 0.1)]
        self.us = [p.dot(self.u) for p in off]
        self.vs = [p.dot(self.v) for p in off]
        self.skin = skin_box(job, line)

    @property
    def least_mm(self) -> float:
        """Room that a tool needs between the line and what stands on the skin [mm]: the job's own, or a grinder's, which
        every shop has."""
        sides = [tool_size(self.job, t).side_mm for t in (self.job.opening.tool, "cut-off disc")]
        return max(CLEAR_MM, min(sides) + BESIDE_MM)

    def at(self, u: float, v: float) -> Point:
        return self.origin.plus(self.u.times(u)).plus(self.v.times(v))

    def lack(self, spots: list[Point]) -> float:
        """How far the farthest of some points lies outside the skin less what its bend takes [mm]; 0: inside."""
        s = self.skin
        return max(
            0.0,
            *(
                max(s.xmin + WALL_MM - p.x, p.x - s.xmax + WALL_MM, s.ymin + WALL_MM - p.y, p.y - s.ymax + WALL_MM)
                for p in spots
            ),
        )

    def nearer_side(self) -> int:
        """The side of the opening that the pads are nearer to: 1 or -1."""
        mid = sum(p.centre.minus(self.origin).dot(self.v) for p in self.job.pads) / max(1, len(self.job.pads))
        return 1 if max(self.vs) - mid <= mid - min(self.vs) else -1

    def beside(self, side: int, name: str) -> BraceBar | float:
        """A bar flat on the skin along one side, or how much room it lacks."""
        return self.outward(self.vs, side, lambda v: self.flat(name, min(self.us), max(self.us), v, along=True))

    def end(self, side: int, name: str) -> BraceBar | float:
        """A bar flat on the skin across one end, between the bars beside, or how much room it lacks."""
        low, high = min(self.vs) - CLEAR_MM, max(self.vs) + CLEAR_MM
        return self.outward(self.us, side, lambda u: self.flat(name, low, high, u, along=False, beyond=0.0))

    def outward(self, rim: list[float], side: int, made: Callable[[float], BraceBar | float]) -> BraceBar | float:
        """A bar beside a rim, as far from it as a nozzle needs and the skin allows, or how much room it lacks."""
        half = 0.5 * self.section.width_mm
        least = self.least_mm
        clear = max(NOZZLE_MM, least)
        while True:
            bar = made(max(rim) + clear + half if side > 0 else min(rim) - clear - half)
            if isinstance(bar, BraceBar) or clear <= least:
                return bar
            clear = max(least, clear - 1.0)

    def flat(
        self, name: str, low: float, high: float, off: float, *, along: bool, beyond: float = BEYOND_MM
    ) -> BraceBar | float:
        w = self.section.width_mm

        def corners(extra: float) -> list[Point]:
            ends = (low - extra, high + extra)
            sides = (off - 0.5 * w, off + 0.5 * w)
            return [self.at(a, b) if along else self.at(b, a) for a in ends for b in sides]

        extra = beyond
        while extra > LEAST_BEYOND_MM and self.lack(corners(extra)) > 0.0:
            extra = max(LEAST_BEYOND_MM, extra - 1.0)
        missing = self.lack(corners(extra))
        if missing > 0.0:
            return missing
        a, b = low - extra, high + extra
        count = max(2, ceil((b - a) / TACK_EVERY_MM) + 1)
        step = (b - a - TACK_MM) / (count - 1)
        places = [a + 0.5 * TACK_MM + k * step for k in range(count)]
        feet = tuple(BraceFoot(self.at(p, off) if along else self.at(off, p), TACK_MM, w) for p in places)
        start, end = (self.at(a, off), self.at(b, off)) if along else (self.at(off, a), self.at(off, b))
        return BraceBar(name, start, end, self.section, 0.0, feet)

    def across(self, height_mm: float) -> BraceBar | float:
        """A bar across the opening on two feet beyond it, or how much room they lack."""
        size = max(self.section.width_mm, self.section.size_mm if height_mm > 0.0 else TACK_MM)
        half = 0.5 * size
        wish = self.job.brace
        if wish is not None and wish.start.distance(wish.end) > 1.0:
            low, high = 0.0, wish.end.minus(wish.start).dot(self.u)
        else:
            low, high = min(self.us), max(self.us)
        a = _moved_out(self.at(low, 0.0), self.u.times(-1.0), self.rims, half, self.least_mm)
        b = _moved_out(self.at(high, 0.0), self.u, self.rims, half, self.least_mm)
        spots = [
            p.plus(self.u.times(i * half)).plus(self.v.times(k * half))
            for p in (a, b)
            for i in (-1, 1)
            for k in (-1, 1)
        ]
        missing = self.lack(spots)
        if missing > 0.0:
            return missing
        feet = tuple(BraceFoot(p, size, size, height_mm) for p in (a, b))
        start, end = a.minus(self.u.times(half)), b.plus(self.u.times(half))
        return BraceBar("bar 1", start, end, self.section, height_mm, feet)


def _moved_out(p: Point, step: Point, rims: tuple[Contour, ...], half_mm: float, clear_mm: float) -> Point:
    """The first place along a unit step where a square foot leaves the tool its room beside the line."""
    u, v = step.times(half_mm), step.left().times(half_mm)
    rim = [u.times(i).plus(v.times(k)) for i in (-1.0, 0.0, 1.0) for k in (-1.0, 0.0, 1.0)]

    def stands_clear(at: Point) -> bool:
        spots = [at.plus(off) for off in rim]
        return all(not rim.contains(q) and rim.nearest(q)[1] >= clear_mm for q in spots for rim in rims)

    far, most = 0.0, max(rim.box.diagonal for rim in rims) + 4.0 * half_mm
    while far < most and not stands_clear(p):
        inside = [rim.nearest(p)[1] for rim in rims if rim.contains(p)]
        jump = max(2.0, *inside, 0.0)
        p, far = p.plus(step.times(jump)), far + jump
    return p
