"""The ways to cut each contour of a plate, gathered, then put in order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cutplan.cutting.holes.choice import drill_entries
from cutplan.cutting.kerf.choice import is_hand
from cutplan.cutting.order.heat import cooler_order
from cutplan.cutting.order.short import Stops, short_order
from cutplan.cutting.path.starts import Keepout, Setting, contour_starts, round_starts
from cutplan.cutting.path.tabs import with_tabs
from cutplan.cutting.path.torch_line import torch_line
from cutplan.cutting.result import CutPath, Drilled
from cutplan.cutting.words import OUTLINE, at, hole_word, names
from cutplan.findings import Finding, errors
from cutplan.geometry.contour import Contour
from cutplan.geometry.offset.raw import Join
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.pattern.shop import Shop
from cutplan.tables.cutting.holes import LeadRule, lead_rule
from cutplan.texts import Message, code, mm, plural, say

#: Room around the plate in which the torch waits [mm] (our own choice).
HOME_MM = 10.0
#: Distance that a start keeps from weld starts and ends of welds [mm] (our own choice).
WELD_START_MM = 15.0


class Work:
    """Collects the ways to cut each contour, then orders them."""

    def __init__(self, job: Job, shop: Shop, offset_kerf_mm: float, kerf_mm: float, avoid: Sequence[Point]) -> None:
        self._job, self._shop, self._offset_kerf_mm, self._kerf_mm = job, shop, offset_kerf_mm, kerf_mm
        self._hand = is_hand(job.cutting.process)
        self._join: Join = "sharp" if self._hand else "round"
        self._keepouts = _keepouts(job, avoid)
        self._setting = (
            None
            if self._hand
            else Setting(
                _rule(job),
                job.plate.thickness_mm,
                kerf_mm,
                0.5 * offset_kerf_mm,
                -1 if job.cutting.reversed_swirl else 1,
            )
        )
        self._holes: list[list[CutPath]] = []
        self._outline: list[list[CutPath]] = []
        self._seen: dict[tuple[object, ...], tuple[Point, list[CutPath]]] = {}
        self._without_lead: list[Hole] = []
        self.findings: list[Finding] = []

    def add_holes(self, holes: tuple[Hole, ...]) -> tuple[tuple[Hole, ...], tuple[Drilled, ...]]:
        """Take in the holes to cut; return those that can be cut and the marks for those that cannot."""
        kept: list[Hole] = []
        marked: list[Drilled] = []
        for hole in holes:
            ways, problem = self._ways(hole)
            if ways:
                self._holes.append(ways)
                kept.append(hole)
            else:
                marked.extend(drill_entries(hole, problem))
        self._lead_findings()
        return tuple(kept), tuple(marked)

    def _ways(self, hole: Hole) -> tuple[list[CutPath], Message]:
        """Return the ways to cut a hole, or the reason why there is none."""
        what = hole_word(hole.name)
        kerf_mm, setting = self._of_hole(hole)
        found = torch_line(what, hole.contour, kerf_mm, inner=True, join=self._join)
        bad = errors(found.findings)
        if found.line is None or (bad and hole.cut is not True):
            # what the kerf does not fit into can still be drilled, sawn and filed
            self.findings.extend(replace(f, severity="warning", fix=self._by_hand(hole)) for f in bad)
            self.findings.extend(f for f in found.findings if f not in bad)
            narrow = any(f.code != "path-not-found" for f in bad)
            return [], say("it is narrower than the kerf") if narrow else say("no torch line was found")
        self.findings.extend(found.findings)
        if setting is None:
            return [_hand_path(hole.name, found.line, 0.5 * self._offset_kerf_mm, inner=True)], Message("")
        forced = hole.cut is True
        round_ = found.line.as_circle()
        if round_ is not None:
            ways = round_starts(hole.name, *round_, setting, least_clear=not forced)
        else:
            ways = self._contour_ways(hole, found.line, forced, setting)
        if ways:
            least = setting.wishes().clear_mm
            if ways[0].clear_mm < least - 1e-6:
                self.findings.append(
                    Finding(
                        "pierce-near-edge",
                        "warning",
                        say(
                            "{what} is pierced only {clear} from its finished edge; {least} is wanted",
                            what=what,
                            clear=mm(ways[0].clear_mm),
                            least=mm(least),
                        ),
                        where=at(ways[0].pierce),
                        fix=say("drill a start hole there, or drill the whole hole"),
                    )
                )
            return ways, Message("")
        self._without_lead.append(hole)
        return [], say("no lead-in fits")

    def _of_hole(self, hole: Hole) -> tuple[float, Setting | None]:
        """Return the kerf of a hole [mm] and its setting: small ones have a kerf of their own where it was measured."""
        if self._setting is None or self._offset_kerf_mm == 0.0:
            return self._offset_kerf_mm, self._setting
        size = min(hole.contour.box.width, hole.contour.box.height)
        thickness = self._job.plate.thickness_mm
        measured = self._shop.hole_kerf(self._job.cutting.process, thickness, size)
        if measured is None or not self._setting.rule.is_slow(size, thickness):
            return self._offset_kerf_mm, self._setting
        return measured, replace(self._setting, kerf_mm=measured, line_mm=0.5 * measured)

    def _by_hand(self, hole: Hole) -> Message:
        """What is done instead of cutting a hole."""
        size = (
            2.0 * round_[1]
            if (round_ := hole.contour.as_circle())
            else min(hole.contour.box.width, hole.contour.box.height)
        )
        return say(
            "it is marked and drilled instead: {size} is too narrow for a kerf of {kerf}",
            size=mm(size),
            kerf=mm(self._kerf_mm, 2),
        )

    def _lead_findings(self) -> None:
        """Say once which holes are marked because no lead fits."""
        holes = self._without_lead
        if not holes or self._setting is None:
            return
        self.findings.append(
            Finding(
                "no-lead-fits",
                "warning",
                plural(
                    "no pierce in hole {names} keeps {clear} from the edge: it is marked, not cut",
                    "no pierce in holes {names} keeps {clear} from the edge: they are marked, not cut",
                    len(holes),
                    names=names([h.name for h in holes]),
                    clear=mm(self._setting.wishes().clear_mm),
                ),
                where=at(holes[0].centre),
                fix=say("drill and file, or overrule with {setting}", setting=code("hole.cut = true")),
            )
        )

    def _contour_ways(self, hole: Hole, line: Contour, forced: bool, setting: Setting) -> list[CutPath]:
        """Return the ways for a hole of any shape; holes of one shape are worked out once and moved."""
        origin = hole.contour.segments[0].start
        key = (forced, setting.line_mm, *_shape_key(hole.contour, origin))
        if key not in self._seen:
            ways = contour_starts(hole.name, hole.contour, line, setting, inner=True, reduced_clear=forced)
            self._seen[key] = (origin, ways)
            return ways
        first, ways = self._seen[key]
        return [moved_path(w, hole.name, origin.x - first.x, origin.y - first.y) for w in ways]

    def add_outline(self) -> None:
        """Take in the outline, in pieces where tabs are wanted."""
        outline = self._job.plate.outline
        found = torch_line(OUTLINE, outline, self._offset_kerf_mm, inner=False, join=self._join)
        self.findings.extend(found.findings)
        if found.line is None:
            return
        if self._setting is None:
            self._outline = [[_hand_path("outline", found.line, 0.5 * self._offset_kerf_mm, inner=False)]]
            return
        if self._job.cutting.tabs > 0:
            pieces, said = with_tabs(outline, found.line, self._job.cutting.tabs, self._setting, self._keepouts)
            self.findings.extend(said)
            self._outline = [[p] for p in pieces]
        if not self._outline:
            ways = contour_starts("outline", outline, found.line, self._setting, inner=False, keepouts=self._keepouts)
            self._outline = [ways] if ways else []
        if not self._outline:
            self.findings.append(
                Finding(
                    "no-lead-fits",
                    "error",
                    say("no lead-in fits on the outline, so no path can be cut"),
                    OUTLINE,
                    say("cut the net file on a table that makes its own leads"),
                )
            )

    def in_order(self) -> tuple[tuple[CutPath, ...], tuple[Line, ...], tuple[Finding, ...]]:
        """Return the cuts in order, the moves between them, and findings about heat."""
        groups = [*self._holes, *self._outline]
        if self._hand or not groups:
            return tuple(ways[0] for ways in groups), (), ()
        box = self._job.plate.outline.box
        home = Point(box.xmin - HOME_MM, box.ymin - HOME_MM)
        first_outer = len(self._holes)
        stops = Stops(
            home,
            tuple(np.array([w.pierce for w in ways]) for ways in groups),
            tuple(np.array([w.end for w in ways]) for ways in groups),
            tuple((a, b) for a in range(first_outer) for b in range(first_outer, len(groups))),
        )
        order = short_order(stops)
        order, said = cooler_order(
            stops, order, [ways[0] for ways in groups], self._job.plate.thickness_mm, self._job.cutting.cool_travel_s
        )
        paths = tuple(groups[stop][way] for stop, way in order.turns)
        return paths, rapid_moves(home, paths), said


def _rule(job: Job) -> LeadRule:
    """Return the process's rule for leads with the job's own lengths."""
    rule, wished = lead_rule(job.cutting.process), job.cutting
    if wished.lead_mm is not None:
        rule = replace(rule, lead_thicknesses=0.0, lead_kerfs=0.0, lead_floor_mm=wished.lead_mm)
    if wished.overburn_mm is not None:
        rule = replace(rule, overburn_mm=wished.overburn_mm)
    return rule


def rapid_moves(home: Point, paths: Sequence[CutPath]) -> tuple[Line, ...]:
    """Return the moves without cutting, from home to the first pierce and from each lift to the next pierce."""
    places = [home, *(p.end for p in paths[:-1])]
    return tuple(Line(a, p.pierce) for a, p in zip(places, paths, strict=True))


def moved_path(path: CutPath, name: str, dx_mm: float, dy_mm: float) -> CutPath:
    """Return the same cut elsewhere under another name."""
    return CutPath(
        name,
        path.inner,
        tuple(s.moved(dx_mm, dy_mm) for s in path.lead_in),
        tuple(s.moved(dx_mm, dy_mm) for s in path.cut),
        tuple(s.moved(dx_mm, dy_mm) for s in path.lead_out),
        path.lead,
        path.speed_share,
        path.clear_mm,
        path.note,
        path.part,
        path.half_mm,
    )


def _hand_path(name: str, line: Contour, half_mm: float, *, inner: bool) -> CutPath:
    note = say("drill a start hole in the waste first") if inner else Message("")
    return CutPath(name, inner, (), line.segments, (), "none", note=note, half_mm=half_mm)


def _keepouts(job: Job, avoid: Sequence[Point]) -> tuple[Keepout, ...]:
    thickness_mm = job.plate.thickness_mm
    places = [Keepout(p.centre, 0.5 * p.diameter_mm + max(10.0, 3.0 * thickness_mm)) for p in job.pads]
    places.extend(Keepout(p, WELD_START_MM) for p in avoid)
    outline = job.plate.outline
    for span in job.joint.unwelded:
        places.extend(Keepout(outline.point_at_length(s)[0], WELD_START_MM) for s in (span.start_mm, span.end_mm))
    return tuple(places)


def _shape_key(contour: Contour, origin: Point) -> tuple[object, ...]:
    return tuple(
        (round(s.start.x - origin.x, 7), round(s.start.y - origin.y, 7), round(getattr(s, "sweep", 0.0), 7))
        for s in contour.segments
    )
