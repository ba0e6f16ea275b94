"""Leads: where the torch pierces, how it comes onto the line and how it leaves, clear of every finished edge.

A torch line is handed over in its direction of travel with the waste on a known side (+1 left, -1 right). A lead is
an arc that touches the line, with a straight run before it where the pierce must lie farther off, or a plain straight
run where an arc finds no room.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi, sqrt

import numpy as np

from cutplan.cutting.result import LeadKind
from cutplan.geometry.clearance import Clearance
from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_segment
from cutplan.geometry.offset.proved import keeps_distance
from cutplan.geometry.segment import Arc, Line, Segment
from cutplan.geometry.segment_table import SegmentTable
from cutplan.geometry.vector import Point
from cutplan.tolerance import SHORTEST_CUT_MM

#: How far a lead may come nearer to an edge than half the kerf, where it touches the line [mm].
TOUCH_MM = 0.002
#: Chord error of leads and edges when their distance is asked of GEOS [mm].
CHORDS_MM = 0.0005
#: Least radius of an arc lead that a table follows smoothly [mm] (our own choice).
LEAST_RADIUS_MM = 1.0


@dataclass(frozen=True, slots=True)
class Lead:
    """A lead-in that fits: kind, segments in travel order, and the pierce's distance to finished edges [mm]."""

    kind: LeadKind
    segments: tuple[Segment, ...]
    clear_mm: float

    @property
    def pierce(self) -> Point:
        return self.segments[0].start


@dataclass(frozen=True, slots=True)
class Wishes:
    """What a lead should have: length, pierce clearance, kerf and lead-out [mm], and the side of the waste.

    ``line_mm`` is the distance of the torch line from the net edge: half the kerf, or zero for a trial piece [mm].
    """

    lead_mm: float
    clear_mm: float
    kerf_mm: float
    line_mm: float
    lead_out_mm: float
    side: int


def arc_lead(at: Point, direction: Point, side: int, radius_mm: float, run_mm: float = 0.0) -> tuple[Segment, ...]:
    """Return a quarter arc that comes from the waste and touches the line at a point, with a straight run before it.

    Parameters
    ----------
    at : Point
        Touch-down on the torch line [mm].
    direction : Point
        Unit direction of travel there.
    side : int
        Side of the waste: +1 left, -1 right.
    radius_mm, run_mm : float
        Radius of the arc and length of the straight run [mm].
    """
    normal = direction.left().times(float(side))
    centre = at.plus(normal.times(radius_mm))
    start = centre.minus(direction.times(radius_mm))
    arc = Arc(start, at, centre, radius_mm, side * 0.5 * pi)
    if run_mm < SHORTEST_CUT_MM:
        return (arc,)
    return (Line(start.plus(normal.times(run_mm)), start), arc)


def half_circle_lead(centre: Point, at: Point, side: int) -> tuple[Segment, ...]:
    """Return the half circle from a round hole's centre to a point of its torch line, touching it there."""
    middle = Point(0.5 * (centre.x + at.x), 0.5 * (centre.y + at.y))
    return (Arc(centre, at, middle, 0.5 * centre.distance(at), side * pi),)


def round_lead(centre: Point, line_radius_mm: float, at: Point, direction: Point, wishes: Wishes) -> Lead:
    """Return the lead-in of a round hole from the centre side; always found, its clearance tells how good it is.

    A small hole is pierced at its centre and entered on a half circle, or straight where that would be too tight to
    follow; a large one gets the quarter arc of an outline.
    """
    hole_radius = line_radius_mm + wishes.line_mm
    least = max(2.0 * wishes.lead_mm / pi, LEAST_RADIUS_MM)
    # smallest quarter arc whose pierce is clear: (rp - R)^2 + R^2 <= (r - clear)^2
    room = hole_radius - wishes.clear_mm
    square = 2.0 * room * room - line_radius_mm * line_radius_mm
    if room > 0.0 and square >= 0.0:
        radius = max(0.5 * (line_radius_mm - sqrt(square)), least)
        if radius <= 0.4 * line_radius_mm:
            segments = arc_lead(at, direction, wishes.side, radius)
            return Lead("arc", segments, hole_radius - segments[0].start.distance(centre))
    if 0.5 * line_radius_mm >= max(LEAST_RADIUS_MM, 0.5 * wishes.kerf_mm):
        return Lead("arc", half_circle_lead(centre, at, wishes.side), hole_radius)
    return Lead("straight", (Line(centre, at),), hole_radius)


class LeadFinder:
    """Finds leads on one torch line, with distances to the net contour kept ready."""

    def __init__(self, edge: Contour, wishes: Wishes) -> None:
        from shapely import MultiLineString

        self._table = SegmentTable(edge.segments)
        self._exact = Clearance(edge.segments)
        self._edge = MultiLineString([flatten_segment(s, CHORDS_MM) for s in edge.segments])
        self._wishes = wishes

    def find(self, at: Point, direction: Point, pole: Point | None = None) -> Lead | None:
        """Return the first lead-in that fits at a touch-down, best kind first, or None.

        ``pole`` is a place in the waste far from every edge, tried last with a straight run.
        """
        for kind, segments in self._offers(at, direction, pole):
            clear = self.check(segments)
            if clear is not None and clear >= self._wishes.clear_mm - 1e-6:
                return Lead(kind, segments, clear)
        return None

    def _offers(
        self, at: Point, direction: Point, pole: Point | None
    ) -> Iterator[tuple[LeadKind, tuple[Segment, ...]]]:
        w = self._wishes
        normal = direction.left().times(float(w.side))
        radius = max(2.0 * w.lead_mm / pi, w.clear_mm - w.line_mm, LEAST_RADIUS_MM)
        for share in (1.0, 0.75, 0.5, 0.3):
            r = share * radius
            if r < LEAST_RADIUS_MM:
                break
            run = max(0.0, w.clear_mm - w.line_mm - r)
            yield "arc", arc_lead(at, direction, w.side, r, run)
        for length in (w.lead_mm, max(w.clear_mm - w.line_mm, 2.0 * SHORTEST_CUT_MM)):
            for lean in (0.0, -0.6, 0.6):
                step = normal.plus(direction.times(lean)).unit()
                far = length if lean == 0.0 else length * sqrt(1.0 + lean * lean)
                yield "straight", (Line(at.plus(step.times(far)), at),)
        if pole is not None and pole.distance(at) > 2.0 * SHORTEST_CUT_MM:
            yield "straight", (Line(pole, at),)

    def check(self, segments: tuple[Segment, ...]) -> float | None:
        """Return the pierce's distance to the nearest edge [mm], or None when the kerf would touch the part."""
        line_mm = self._wishes.line_mm
        if self._nearest(segments) < line_mm - TOUCH_MM:
            return None
        # chords are quick, but only formulas say how near it really comes
        if line_mm > 0.0 and not keeps_distance(segments, self._exact, line_mm):
            return None
        return float(self._table.distances(np.array([segments[0].start]))[0])

    def _nearest(self, segments: tuple[Segment, ...]) -> float:
        """Least distance of a lead from the edge [mm], 0 where it crosses; a trial piece's lead may end on the edge."""
        from shapely import LineString

        points = [p for s in segments for p in flatten_segment(s, CHORDS_MM)]
        if self._wishes.line_mm > 0.0:
            return float(LineString(points).distance(self._edge))
        shorter = points[-1].minus(points[-2])
        points[-1] = points[-1].minus(shorter.unit().times(min(0.05, 0.5 * shorter.length())))
        return -1.0 if LineString(points).intersects(self._edge) else 0.0

    def leave(self, at: Point, direction: Point) -> tuple[Segment, ...]:
        """Return an arc that leaves the line into the waste, or nothing where it finds no room."""
        w = self._wishes
        if w.lead_out_mm < 2.0 * SHORTEST_CUT_MM:
            return ()
        radius = max(1.2 * w.lead_out_mm, LEAST_RADIUS_MM)
        normal = direction.left().times(float(w.side))
        centre = at.plus(normal.times(radius))
        turn = w.side * w.lead_out_mm / radius
        end = at.minus(centre).turned(turn).plus(centre)
        arc = Arc(at, end, centre, radius, turn)
        return (arc,) if self.check((arc.reversed(),)) is not None else ()
