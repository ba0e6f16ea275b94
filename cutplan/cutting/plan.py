"""The plan of a cut: from the job to kerf, holes, torch paths with leads, their order, totals and what to expect."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutplan.cutting.checks import plate_findings
from cutplan.cutting.estimate import totals
from cutplan.cutting.expect import expectations
from cutplan.cutting.holes.choice import choose_holes, drill_entries, listed
from cutplan.cutting.kerf.choice import choose_kerf, is_hand
from cutplan.cutting.order.heat import cooler_order
from cutplan.cutting.order.short import Stops, short_order
from cutplan.cutting.path.starts import Keepout, Setting, contour_starts, round_starts
from cutplan.cutting.path.tabs import with_tabs
from cutplan.cutting.path.torch_line import torch_line
from cutplan.cutting.result import CutPath, CutPlan, Drilled
from cutplan.findings import Finding, by_severity
from cutplan.geometry.contour import Contour
from cutplan.geometry.offset.raw import Join
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.pattern.shop import Shop
from cutplan.tables.holes import lead_rule

#: Room around the plate in which the torch waits [mm] (our own choice).
HOME_MM = 10.0
#: Distance that a start keeps from weld starts and ends of welds [mm] (our own choice).
WELD_START_MM = 15.0


def plan_cut(job: Job, shop: Shop, *, compensate: bool = True, avoid: Sequence[Point] = ()) -> CutPlan:
    """Return the whole plan of cutting the job's plate.

    Parameters
    ----------
    job : Job
        Plate and wishes.
    shop : Shop
        Measured kerfs.
    compensate : bool
        False lets the torch run on the net line itself, for a trial piece that measures the kerf.
    avoid : sequence of Point
        Weld starts that no cut should start near [mm].

    Returns
    -------
    CutPlan
        Never silent about what cannot be cut: such contours are left out of the paths and named in an error finding
        or moved to the drill list.
    """
    kerf, findings_kerf = choose_kerf(job, shop)
    findings = list(findings_kerf)
    cut_holes, drilled, found = choose_holes(job, kerf.value_mm)
    findings.extend(found)
    work = _Work(job, kerf.value_mm if compensate else 0.0, kerf.value_mm, avoid)
    kept, marked = work.add_holes(cut_holes)
    work.add_outline()
    findings.extend(work.findings)
    paths, rapids, ordered = work.in_order()
    findings.extend(ordered)
    net = Region(job.plate.outline, tuple(h.contour for h in kept))
    findings.extend(plate_findings(job, net, kept, kerf.value_mm))
    return CutPlan(
        process=job.cutting.process,
        thickness_mm=job.plate.thickness_mm,
        kerf=kerf,
        net=net,
        cut_holes=kept,
        drilled=(*drilled, *marked),
        paths=paths,
        rapids=rapids,
        totals=totals(job.cutting, job.plate.thickness_mm, paths, rapids),
        expectations=expectations(job, kept),
        findings=by_severity(findings),
        compensated=compensate,
    )


class _Work:
    """Collects the ways to cut each contour, then orders them."""

    def __init__(self, job: Job, offset_kerf_mm: float, kerf_mm: float, avoid: Sequence[Point]) -> None:
        self._job, self._offset_kerf_mm, self._kerf_mm = job, offset_kerf_mm, kerf_mm
        self._hand = is_hand(job.cutting.process)
        self._join: Join = "sharp" if self._hand else "round"
        self._keepouts = _keepouts(job, avoid)
        self._setting = (
            None
            if self._hand
            else Setting(
                lead_rule(job.cutting.process),
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

    def _ways(self, hole: Hole) -> tuple[list[CutPath], str]:
        """Return the ways to cut a hole, or the reason why there is none."""
        name = f"hole {hole.name}"
        found = torch_line(name, hole.contour, self._offset_kerf_mm, inner=True, join=self._join)
        self.findings.extend(found.findings)
        if found.line is None:
            narrow = any(f.code == "slot-narrower-than-kerf" for f in found.findings)
            return [], "it is narrower than the kerf" if narrow else "no torch line was found"
        if self._setting is None:
            return [_hand_path(hole.name, found.line, inner=True)], ""
        forced = hole.cut is True
        round_ = found.line.as_circle()
        if round_ is not None:
            ways = round_starts(hole.name, *round_, self._setting, least_clear=not forced)
        else:
            ways = self._contour_ways(hole, found.line, forced)
        if ways:
            least = self._setting.wishes().clear_mm
            if ways[0].clear_mm < least - 1e-6:
                self.findings.append(
                    Finding(
                        "pierce-near-edge",
                        "warning",
                        f"{name} is pierced only {ways[0].clear_mm:.1f} mm from its finished edge; "
                        f"{least:.1f} mm is wanted",
                        where=_place(ways[0].pierce),
                        fix="drill a start hole there, or drill the whole hole",
                    )
                )
            return ways, ""
        self._without_lead.append(hole)
        return [], "no lead-in fits"

    def _lead_findings(self) -> None:
        """Say once which holes are marked because no lead fits."""
        holes = self._without_lead
        if not holes or self._setting is None:
            return
        one = len(holes) == 1
        self.findings.append(
            Finding(
                "no-lead-fits",
                "warning",
                f"no pierce in {'hole' if one else 'holes'} {listed([h.name for h in holes])} keeps "
                f"{self._setting.wishes().clear_mm:.1f} mm from the edge: {'it is' if one else 'they are'} marked, not cut",
                where=_place(holes[0].centre),
                fix="drill and file, or overrule with hole.cut = true",
            )
        )

    def _contour_ways(self, hole: Hole, line: Contour, forced: bool) -> list[CutPath]:
        """Return the ways for a hole of any shape; holes of one shape are worked out once and moved."""
        assert self._setting is not None
        origin = hole.contour.segments[0].start
        key = (forced, *_shape_key(hole.contour, origin))
        if key not in self._seen:
            ways = contour_starts(hole.name, hole.contour, line, self._setting, inner=True, reduced_clear=forced)
            self._seen[key] = (origin, ways)
            return ways
        first, ways = self._seen[key]
        return [moved_path(w, hole.name, origin.x - first.x, origin.y - first.y) for w in ways]

    def add_outline(self) -> None:
        """Take in the outline, in pieces where tabs are wanted."""
        outline = self._job.plate.outline
        found = torch_line("outline", outline, self._offset_kerf_mm, inner=False, join=self._join)
        self.findings.extend(found.findings)
        if found.line is None:
            return
        if self._setting is None:
            self._outline = [[_hand_path("outline", found.line, inner=False)]]
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
                    "no lead-in fits on the outline, so no path can be cut",
                    "outline",
                    "cut the net file on a table that makes its own leads",
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
        order, said = cooler_order(stops, order, [ways[0] for ways in groups], self._job.plate.thickness_mm)
        paths = tuple(groups[stop][way] for stop, way in order.turns)
        return paths, rapid_moves(home, paths), said


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
    )


def _hand_path(name: str, line: Contour, *, inner: bool) -> CutPath:
    note = "drill a start hole in the waste first" if inner else ""
    return CutPath(name, inner, (), line.segments, (), "none", note=note)


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


def _place(p: Point) -> str:
    return f"{p.x:.1f}, {p.y:.1f} mm"
