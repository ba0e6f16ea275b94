"""Proof by doing: the steps carried out on flattened shapes, each checked before the next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING, Literal

from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_segment, to_shapely
from cutplan.geometry.segment import Arc, Line, Segment
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.disc import chord_mm
from cutplan.opening.cuts.surroundings import Surroundings, around, surroundings
from cutplan.opening.model import Cut, RibPart, Section, Step
from cutplan.pattern.job import Job
from cutplan.tables.by_hand.drills_opening import TOUCH_MM
from cutplan.tables.by_hand.hand_tools import BLADE_REACH_MM, ROW_MM, TOOLS, disc_reach_mm
from cutplan.texts import Message, name, plural, say

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

#: A chip of metal smaller than this may come loose at any time [mm2]: 2 g in 2.5 mm skin. Our own.
CHIP_MM2 = 100.0
#: A saw blade goes into an opening of this area, that of a 6 mm hole [mm2].
BLADE_MM2 = 28.0
#: A slot may pass the line by no more than the chords' own error [mm].
SLACK_MM = 0.05


@dataclass(frozen=True, slots=True)
class Proof:
    """What the simulation found: failures (empty when the plan holds), the number of checks made, and the names of saw
    cuts that found no hole to start at."""

    failures: tuple[Message, ...]
    checks: int
    without_start: tuple[str, ...] = ()

    @property
    def ok(self) -> bool:
        return not self.failures


def simulate(job: Job, line: Contour, kerf_mm: float, steps: Sequence[Step], sections: Sequence[Section]) -> Proof:
    """Carry out the steps on the skin and check every one.

    Parameters
    ----------
    job : Job
        Skin, ribs, tool.
    line : Contour
        Net line of the opening [mm].
    kerf_mm : float
        Kerf [mm].
    steps, sections : sequence
        The plan to prove.

    Returns
    -------
    Proof

    Notes
    -----
    Checked at each step: (1) no hole and no slot on the face, run-out included, outside the net line; (2) the tool can
    do it: the slot is at least the disc's exact chord at that depth, the depth within the disc's reach and the room
    behind, a saw starts at a hole or at an earlier cut, no foot of the brace stands where the tool must; (3) nothing
    comes loose but chips before the step that frees it, and then exactly the section that the step names, which no rib
    holds; (4) the skin outside stays one piece;
    (5) at the end every section is out.
    """
    return _Run(job, line, kerf_mm, sections).through(steps)


class _Run:
    """State of one simulation."""

    def __init__(self, job: Job, line: Contour, kerf_mm: float, sections: Sequence[Section]) -> None:
        from shapely import box

        self.job, self.kerf = job, kerf_mm
        self.sections = {s.number: s for s in sections}
        self.poly = to_shapely(line, 0.005)
        self.allowed = self.poly.buffer(SLACK_MM, quad_segs=4)
        walls, b = job.skin.walls, line.box
        grow = 5.0  # an opening may touch its walls: the skin goes on round the bend [mm]
        self.skin: BaseGeometry = box(
            b.xmin - walls.left_mm - grow,
            b.ymin - walls.bottom_mm - grow,
            b.xmax + walls.right_mm + grow,
            b.ymax + walls.top_mm + grow,
        )
        self.around: Surroundings = around(job, ())  # with the brace from the step that puts it on
        self.line = line
        self.gone: list[BaseGeometry] = []
        self.out: set[int] = set()
        self.open: list[tuple[BaseGeometry, float]] = []  # holes with their diameter, and kerfs, where a saw can start
        self.parts: list[RibPart] = []
        self.failures: list[Message] = []
        self.checks = 0
        self.no_start: list[str] = []

    def fail(self, step: Step, what: Message) -> None:
        self.failures.append(say("step {step}: {fault}", step=step.number, fault=what))

    def check(self, step: Step, good: bool, what: Message) -> None:
        self.checks += 1
        if not good:
            self.fail(step, what)

    def through(self, steps: Sequence[Step]) -> Proof:
        from shapely import Point as GeosPoint
        from shapely import union_all

        for step in steps:
            taken: list[BaseGeometry] = []
            if step.kind == "brace":
                self.around = surroundings(self.job, self.line)
            for drill in step.drills:
                hole = GeosPoint(drill.centre).buffer(drill.radius_mm, quad_segs=16)
                self.check(
                    step, self.allowed.covers(hole), say("hole {hole} reaches outside the line", hole=name(drill.name))
                )
                taken.append(hole)
                self.open.append((hole, drill.diameter_mm))
            waiting = self._by_access(step.cuts)
            while waiting:
                cut = next((c for c in waiting if self._can_start(c)), waiting[0])
                waiting.remove(cut)
                taken.append(self._cut(step, cut))
            for part in step.parts:
                self._part(step, part)
            if taken:
                self.skin = self.skin.difference(union_all(taken))
            self._loose(step)
        if steps:
            self.check(steps[-1], self.out == set(self.sections), say("not every section is out at the end"))
        return Proof(tuple(self.failures), self.checks, tuple(self.no_start))

    def _by_access(self, cuts: Sequence[Cut]) -> list[Cut]:
        """Discs first: a saw may start at a disc's slot of the same step."""
        return sorted(cuts, key=lambda c: c.tool != "cut-off disc")

    def _can_start(self, cut: Cut) -> bool:
        """Whether a saw finds a hole large enough or an earlier cut to start at; discs and torches need none."""
        entry = TOOLS[cut.tool].entry_mm
        if entry == 0.0:
            return True
        slot = _kerf(cut.path, self.kerf, "square")
        return any(slot.intersects(o) for o, wide in self.open if wide >= entry - 1e-9)

    def _cut(self, step: Step, cut: Cut) -> BaseGeometry:
        label = name(cut.name)
        wide = ROW_MM if cut.tool == "drilled row" else self.kerf
        reach = _kerf(cut.reach, wide, "flat")
        self.check(step, self.allowed.covers(reach), say("cut {cut} reaches outside the line", cut=label))
        self._body(step, cut)
        slot = _kerf(cut.path, self.kerf, "square")
        t = self.job.skin.thickness_mm
        free = self.job.skin.box_depth_mm
        self.check(step, cut.depth_mm > t, say("cut {cut} does not come through the skin", cut=label))
        if step.depth_limit_mm is not None:
            self.check(
                step,
                step.depth_limit_mm <= cut.depth_mm + 1e-9,
                say("cut {cut} is told deeper than it goes", cut=label),
            )
        if free is not None:
            self.check(step, cut.depth_mm <= t + free, say("cut {cut} goes into what is behind", cut=label))
        self._ribs(step, cut, slot)
        if cut.tool == "cut-off disc":
            self._disc(step, cut)
        elif TOOLS[cut.tool].entry_mm > 0.0:
            starts = self._can_start(cut)
            self.no_start += [] if starts else [cut.name]
            self.check(step, starts, say("cut {cut} has no hole to start at", cut=label))
        self.open.append((slot, inf))
        return slot

    def _body(self, step: Step, cut: Cut) -> None:
        """The tool's body along the whole cut, past the brace; and the curves that it cannot turn."""
        hit = self.around.blocking(cut.reach, cut.tool, cut.depth_mm, above_only=True)
        label, tool = name(cut.name), TOOLS[cut.tool].said
        self.check(step, hit is None, say("the brace stands in the way of cut {cut} ({tool})", cut=label, tool=tool))
        tight = TOOLS[cut.tool].tightest_mm
        turns = cut.tool == "cut-off disc" or all(
            s.radius >= tight - 1e-6 for s in cut.path if isinstance(s, Arc) and s.length > 2.0
        )
        self.check(step, turns, say("cut {cut} turns tighter than its tool ({tool})", cut=label, tool=tool))

    def _ribs(self, step: Step, cut: Cut, slot: BaseGeometry) -> None:
        from shapely import LineString

        touch = self.job.skin.thickness_mm + TOUCH_MM + 1e-9
        for rib in self.job.skin.ribs:
            if LineString(rib.path).distance(slot) < 5.0:
                good = TOOLS[cut.tool].depth_set and cut.depth_mm <= touch
                self.check(step, good, say("cut {cut} goes into rib {rib}", cut=name(cut.name), rib=name(rib.name)))

    def _disc(self, step: Step, cut: Cut) -> None:
        d, t = self.job.opening.disc_diameter_mm, self.job.skin.thickness_mm
        label = name(cut.name)
        face = sum(s.length for s in cut.reach)
        self.check(step, cut.depth_mm <= disc_reach_mm(d), say("cut {cut} is deeper than the disc reaches", cut=label))
        slot_mm = chord_mm(d, cut.depth_mm)
        self.check(step, face >= slot_mm - 0.01, say("cut {cut} is shorter than the disc's slot", cut=label))
        through = 0.5 * (face - cut.length_mm)
        least = 0.5 * (slot_mm - chord_mm(d, cut.depth_mm - t))
        self.check(step, through >= least - 0.01, say("cut {cut} leaves no run-out", cut=label))

    def _part(self, step: Step, part: RibPart) -> None:
        from shapely import LineString
        from shapely import Point as GeosPoint

        rib = next(r for r in self.job.skin.ribs if r.name == part.rib)
        spot = GeosPoint(part.at)
        self.check(
            step,
            LineString(rib.path).distance(spot) < 0.1,
            say("rib {rib} does not run where it is parted", rib=name(part.rib)),
        )
        if part.tool == "cut-off disc":
            depth = part.depth_mm or 0.0
            self.check(
                step,
                depth <= disc_reach_mm(self.job.opening.disc_diameter_mm),
                say("rib {rib} is deeper than the disc reaches", rib=name(part.rib)),
            )
            seen = any(k.distance(spot) < self.kerf for k, _ in self.open)
            self.check(step, seen, say("rib {rib} is parted where the skin is not cut", rib=name(part.rib)))
        else:
            reach = min((k.distance(spot) for k in self._wide_open()), default=1e9)
            self.check(step, reach <= BLADE_REACH_MM, say("no blade reaches rib {rib}", rib=name(part.rib)))
        self.parts.append(part)

    def _wide_open(self) -> list[BaseGeometry]:
        return [o for o, _ in self.open if o.area > BLADE_MM2] + self.gone

    def _loose(self, step: Step) -> None:
        from shapely import get_parts, union_all

        pieces = sorted(get_parts(self.skin), key=lambda g: -_spread(g))
        loose = [p for p in pieces[1:] if p.area > CHIP_MM2]
        self.skin = pieces[0]
        if step.kind != "drop":
            self.check(
                step,
                not loose,
                plural("{count} piece comes loose too early", "{count} pieces come loose too early", len(loose)),
            )
            return
        section = self.sections[step.section]
        shape = to_shapely(section.contour, 0.01).difference(union_all([o for o, _ in self.open]))
        if not loose:  # holes may have left no more than a chip of a small section
            loose = [p for p in pieces[1:2] if shape.area < 2.0 * CHIP_MM2 and p.intersects(shape)]
        self.check(step, len(loose) == 1, say("{count} pieces come loose instead of one", count=len(loose)))
        for piece in loose:
            common = piece.intersection(shape).area
            self.check(
                step,
                common > 0.9 * piece.area and common > 0.9 * shape.area - CHIP_MM2,
                say("another piece than section {section} comes loose", section=step.section),
            )
            self.check(step, not self._held(piece), say("a rib still holds section {section}", section=step.section))
            self.gone.append(piece)
        self.out.add(step.section)

    def _held(self, piece: BaseGeometry) -> bool:
        """Whether a rib piece that is joined to a loose section is still joined to the skin or the wall behind."""
        from shapely import LineString, get_parts, union_all
        from shapely import Point as GeosPoint

        free = self.job.skin.box_depth_mm
        for rib in self.job.skin.ribs:
            if not rib.joined:
                continue
            here = [p for p in self.parts if p.rib == rib.name]
            path: BaseGeometry = LineString(rib.path)
            marks = [GeosPoint(p.at).buffer(0.5 * self.kerf + 0.3, quad_segs=2) for p in here if not p.along]
            off = [LineString(p.path).buffer(0.5, cap_style="flat") for p in here if p.along]
            if marks:
                path = path.difference(union_all(marks))
            for part in get_parts(path):
                joined = part.intersection(piece)
                if off:
                    joined = joined.difference(union_all(off))
                if joined.length < 2.0:
                    continue
                back = free is not None and rib.depth_mm is not None and rib.depth_mm >= free - 1.0
                if back or part.intersection(self.skin).length > 2.0:
                    return True
        return False


def _spread(shape: BaseGeometry) -> float:
    x0, y0, x1, y1 = shape.bounds
    return float((x1 - x0) * (y1 - y0))


def _kerf(run: Sequence[Segment], width_mm: float, cap: Literal["flat", "square"]) -> Polygon:
    from shapely import LineString

    if len(run) == 1 and isinstance(run[0], Line):
        points: list[Point] = [run[0].start, run[0].end]
    else:
        points = [run[0].start]
        for s in run:
            points.extend(flatten_segment(s, 0.02)[1:])
    result: Polygon = LineString(points).buffer(0.5 * width_mm, cap_style=cap, join_style="mitre", quad_segs=4)
    return result
