"""Where a cut may start: a few good places per contour, each with its whole path, best first."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, replace
from math import ceil, cos, pi

from cutplan.cutting.path.along import started_along, stretch
from cutplan.cutting.path.leads import Lead, LeadFinder, Wishes, round_lead
from cutplan.cutting.result import CutPath
from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Arc, Line, arc_from_centre, circle
from cutplan.geometry.vector import Point
from cutplan.tables.cutting.holes import LeadRule
from cutplan.texts import Message, number, say

#: Directions in which a round hole may be entered.
ANGLES = 8
#: Sides shorter than this may be pieces of a curve [mm]; a turn above this is a corner [rad] (our own choice).
FINE_MM = 2.0
CORNER_RAD = 0.1
#: Start places kept per contour for the search of a short order.
KEPT = 8
#: Places tried along an outline and along a hole.
TRIED, TRIED_INSIDE = 60, 24


@dataclass(frozen=True, slots=True)
class Keepout:
    """A place that no cut should start near: centre and distance to keep [mm]."""

    centre: Point
    distance_mm: float


@dataclass(frozen=True, slots=True)
class Setting:
    """What is the same for every cut of the plate: process rule, thickness and kerf [mm], side of the waste.

    ``line_mm`` is the distance of the torch lines from the net edges [mm].
    """

    rule: LeadRule
    thickness_mm: float
    kerf_mm: float
    line_mm: float
    side: int

    def wishes(self, clear_mm: float | None = None, *, small: bool = False) -> Wishes:
        """Return what a lead should have; a small hole gets no lead-out."""
        return Wishes(
            self.rule.lead_mm(self.thickness_mm, self.kerf_mm),
            self.rule.clear_mm(self.thickness_mm, self.kerf_mm) if clear_mm is None else clear_mm,
            self.kerf_mm,
            self.line_mm,
            0.0 if small else self.rule.lead_out_mm,
            self.side,
        )

    def slow_note(self, small: bool) -> Message:
        """Return what the person at the table must know about the speed of a small hole."""
        if not small:
            return Message("")
        return say("at {share} of the feed", share=number(100.0 * self.rule.slow_speed, "%", 0))

    def travel_ccw(self, *, inner: bool) -> bool:
        """Whether a contour is run counter-clockwise: holes are, with the waste on the left, and outlines are not."""
        return inner == (self.side > 0)


def round_starts(
    name: str, centre: Point, line_radius_mm: float, setting: Setting, *, least_clear: bool
) -> list[CutPath]:
    """Return the ways to cut a round hole, one for each of eight directions; empty when no lead is clear enough.

    ``least_clear`` False accepts the hole whatever clearance its centre gives.
    """
    hole_mm = 2.0 * (line_radius_mm + setting.line_mm)
    small = setting.rule.is_slow(hole_mm, setting.thickness_mm)
    wishes = setting.wishes(small=small)
    ccw = setting.travel_ccw(inner=True)
    paths: list[CutPath] = []
    for k in range(ANGLES):
        cut = circle(centre, line_radius_mm, 2.0 * pi * k / ANGLES, ccw=ccw)
        lead = round_lead(centre, line_radius_mm, cut.start, cut.start_direction, wishes)
        if least_clear and lead.clear_mm < wishes.clear_mm - 1e-6:
            return []
        out = () if small else _round_out(cut, setting)
        paths.append(
            CutPath(
                name,
                True,
                lead.segments,
                (cut,),
                out,
                lead.kind,
                setting.rule.slow_speed if small else 1.0,
                lead.clear_mm,
                setting.slow_note(small),
                half_mm=setting.line_mm,
            )
        )
    return paths


def _round_out(cut: Arc, setting: Setting) -> tuple[Arc, ...]:
    """Overburn along a large hole and an arc into its waste."""
    over_mm, out_mm = setting.rule.overburn_mm, setting.rule.lead_out_mm
    ccw = 1.0 if cut.sweep > 0.0 else -1.0
    over = arc_from_centre(cut.centre, cut.radius, cut.start_angle, ccw * over_mm / cut.radius)
    if out_mm <= 0.0:
        return (over,)
    radius = min(1.2 * out_mm, 0.6 * cut.radius)
    middle = over.end.plus(over.centre.minus(over.end).unit().times(radius))
    out = arc_from_centre(middle, radius, over.end_angle, ccw * out_mm / radius)
    return (over, replace(out, start=over.end))


def contour_starts(
    name: str,
    edge: Contour,
    line: Contour,
    setting: Setting,
    *,
    inner: bool,
    keepouts: tuple[Keepout, ...] = (),
    reduced_clear: bool = False,
) -> list[CutPath]:
    """Return good ways to cut a contour of any shape, best first; empty when no lead fits.

    Parameters
    ----------
    name : str
        Name of the cut.
    edge, line : Contour
        Net contour, and its torch line.
    setting : Setting
        Process and kerf.
    inner : bool
        Whether it is a hole.
    keepouts : tuple of Keepout
        Pads and weld starts.
    reduced_clear : bool
        Accept a pierce as clear as the waste allows when the wanted clearance finds no room.

    Notes
    -----
    A start lies on a straight edge, away from corners and keepouts, as far as there is one; then on the longest arcs.
    """
    line = line.oriented(ccw=setting.travel_ccw(inner=inner))
    box = edge.box
    small = inner and setting.rule.is_slow(min(box.width, box.height), setting.thickness_mm)
    wishes = setting.wishes(small=small)
    places = start_places(line, setting, keepouts, TRIED_INSIDE if inner else TRIED)
    paths = _with_leads(name, edge, line, setting, wishes, places, inner, small, None)
    if not paths and inner:
        pole, clear_mm = deepest_point(edge)
        if clear_mm >= wishes.clear_mm - 1e-6:
            paths = _with_leads(name, edge, line, setting, wishes, places, inner, small, pole)
        elif reduced_clear:
            wishes = setting.wishes(0.98 * clear_mm, small=small)
            paths = _with_leads(name, edge, line, setting, wishes, places, inner, small, pole)
    return paths


def _with_leads(
    name: str,
    edge: Contour,
    line: Contour,
    setting: Setting,
    wishes: Wishes,
    places: list[tuple[float, float]],
    inner: bool,
    small: bool,
    pole: Point | None,
) -> list[CutPath]:
    finder = LeadFinder(edge, wishes)
    found: list[tuple[float, float, Lead]] = []
    best: float | None = None
    for merit, along in places:
        at, direction = line.point_at_length(along)
        # places come best first: once enough good ones are known, clearly worse ones are not wanted
        if best is not None and (len(found) >= KEPT or merit < 0.8 * best):
            break
        lead = finder.find(at, direction, pole)
        if lead is not None:
            best = merit if best is None else best
            found.append((merit, along, lead))
    return [_path(name, line, along, lead, finder, setting, inner, small) for _, along, lead in found]


def _path(
    name: str,
    line: Contour,
    along_mm: float,
    lead: Lead,
    finder: LeadFinder,
    setting: Setting,
    inner: bool,
    small: bool,
) -> CutPath:
    over_mm = 0.0 if small else setting.rule.overburn_mm
    over = stretch(line, along_mm, over_mm) if over_mm > 0.0 else ()
    out = finder.leave(over[-1].end, over[-1].end_direction) if over else ()
    return CutPath(
        name,
        inner,
        lead.segments,
        started_along(line, along_mm),
        (*over, *out),
        lead.kind,
        setting.rule.slow_speed if small else 1.0,
        lead.clear_mm,
        setting.slow_note(small),
        half_mm=setting.line_mm,
    )


def start_places(
    line: Contour, setting: Setting, keepouts: tuple[Keepout, ...], tried: int = TRIED
) -> list[tuple[float, float]]:
    """Return candidate start places as (merit 0 to 2, distance along [mm]), best first and spread over the contour."""
    wanted = max(3.0 * setting.thickness_mm, 10.0, 2.0 * setting.rule.overburn_mm)
    step = max(line.length / tried, 0.5)
    rows: list[tuple[float, float]] = []
    corners = _corners(line)
    run, last = 0.0, -step
    for s in line.segments:
        n = max(1, ceil(s.length / step))
        n += 1 - n % 2  # the middle is always tried
        for k in range(n):
            part = (k + 0.5) / n
            corner = min(part, 1.0 - part) * s.length
            if s.length < FINE_MM:
                # of a curve drawn in many short sides a few places are enough, and its joints are no corners
                if run - last < step:
                    continue
                last = run
                k = bisect_left(corners, run + part * s.length)
                corner = min((abs(c - run - part * s.length) for c in corners[max(0, k - 1) : k + 1]), default=wanted)
            if corner < 0.15:
                continue
            merit = min(1.0, corner / wanted) + (1.0 if isinstance(s, Line) and corner > 0.5 * wanted else 0.0)
            at = s.point_at(part)
            for keepout in keepouts:
                gap = at.distance(keepout.centre)
                if gap < keepout.distance_mm:
                    merit *= 0.5 * gap / keepout.distance_mm
            rows.append((round(merit, 6), run + part * s.length))
        run += s.length
    return _spread(rows, line.length)


def _corners(line: Contour) -> list[float]:
    """Distances along a line at which it really turns [mm]."""
    found: list[float] = []
    run = 0.0
    for s, after in zip(line.segments, (*line.segments[1:], line.segments[0]), strict=True):
        run += s.length
        if s.end_direction.dot(after.start_direction) < cos(CORNER_RAD):
            found.append(run)
    return found


def _spread(rows: list[tuple[float, float]], length_mm: float) -> list[tuple[float, float]]:
    """Order places by merit, but so that among equally good ones the first few lie far apart."""
    rows.sort(key=lambda r: (-r[0], r[1]))
    ordered: list[tuple[float, float]] = []
    i = 0
    while i < len(rows):
        j = i
        while j < len(rows) and rows[j][0] == rows[i][0]:
            j += 1
        group = rows[i:j]
        while group:
            if ordered:
                taken = [a for _, a in ordered[-KEPT:]]
                k = max(range(len(group)), key=lambda g: (min(gap_along(group[g][1], a, length_mm) for a in taken), -g))
            else:
                k = len(group) // 2
            ordered.append(group.pop(k))
            if len(ordered) >= 3 * KEPT:
                ordered.extend(group)
                break
        i = j
    return ordered


def gap_along(a: float, b: float, length_mm: float) -> float:
    """Return the way between two distances along a closed contour, the shorter way round [mm]."""
    gap = abs(a - b)
    return min(gap, length_mm - gap)


def deepest_point(edge: Contour) -> tuple[Point, float]:
    """Return the place inside a contour farthest from it, and that distance [mm], within 0.01 mm."""
    from shapely import get_coordinates, maximum_inscribed_circle

    from cutplan.geometry.flatten import to_shapely

    radius_line = maximum_inscribed_circle(to_shapely(edge, 0.005), tolerance=0.005)
    (x, y), _ = get_coordinates(radius_line)
    pole = Point(float(x), float(y))
    return pole, edge.nearest(pole)[1]
