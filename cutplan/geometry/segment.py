"""The two segments that a plate is made of: straight line and circular arc (millimetres, radians)."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, atan2, cos, hypot, pi, sin, sqrt, tan
from typing import TypeAlias

from cutplan.geometry.vector import Box, Point, box_of

TAU = 2.0 * pi


@dataclass(frozen=True, slots=True)
class Line:
    """A straight segment from ``start`` to ``end`` [mm]."""

    start: Point
    end: Point

    def __reduce__(self) -> tuple[type[Line], tuple[Point, Point]]:
        return Line, (self.start, self.end)

    @property
    def length(self) -> float:
        """Length [mm]."""
        return self.start.distance(self.end)

    @property
    def box(self) -> Box:
        (x, y), (u, v) = self.start, self.end
        return Box(min(x, u), min(y, v), max(x, u), max(y, v))

    @property
    def start_direction(self) -> Point:
        """Unit vector of travel at the start."""
        return self.end.minus(self.start).unit()

    @property
    def end_direction(self) -> Point:
        """Unit vector of travel at the end."""
        return self.end.minus(self.start).unit()

    def point_at(self, t: float) -> Point:
        """Return the point at fraction ``t`` of the length, 0 at the start and 1 at the end [mm]."""
        return Point(
            self.start.x + t * (self.end.x - self.start.x),
            self.start.y + t * (self.end.y - self.start.y),
        )

    def direction_at(self, t: float) -> Point:
        """Return the unit vector of travel at fraction ``t`` of the length."""
        return self.start_direction

    def part(self, t0: float, t1: float) -> Line:
        """Return the piece between two fractions of the length (t0 < t1)."""
        return Line(self.start if t0 == 0.0 else self.point_at(t0), self.end if t1 == 1.0 else self.point_at(t1))

    def reversed(self) -> Line:
        return Line(self.end, self.start)

    def moved(self, dx_mm: float, dy_mm: float) -> Line:
        return Line(Point(self.start.x + dx_mm, self.start.y + dy_mm), Point(self.end.x + dx_mm, self.end.y + dy_mm))

    def nearest(self, point: Point) -> tuple[float, float]:
        """Return (fraction of the length, distance [mm]) of the place on the segment nearest to a point."""
        dx, dy = self.end.x - self.start.x, self.end.y - self.start.y
        square = dx * dx + dy * dy
        t = 0.0
        if square > 0.0:
            t = ((point.x - self.start.x) * dx + (point.y - self.start.y) * dy) / square
            t = min(1.0, max(0.0, t))
        return t, self.point_at(t).distance(point)


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular arc with exact ends [mm] and a signed sweep [rad], positive counter-clockwise.

    Build it with :func:`arc_from_centre`, :func:`arc_from_bulge` or :func:`circle`, which keep the fields
    consistent. A full circle has ``start == end`` and a sweep of plus or minus 2 pi.
    """

    start: Point
    end: Point
    centre: Point
    radius: float
    sweep: float

    def __reduce__(self) -> tuple[type[Arc], tuple[Point, Point, Point, float, float]]:
        return Arc, (self.start, self.end, self.centre, self.radius, self.sweep)

    @property
    def length(self) -> float:
        """Length [mm]."""
        return self.radius * abs(self.sweep)

    @property
    def is_circle(self) -> bool:
        return abs(self.sweep) >= TAU

    @property
    def start_angle(self) -> float:
        """Direction from the centre to the start [rad], -pi to pi."""
        return atan2(self.start.y - self.centre.y, self.start.x - self.centre.x)

    @property
    def end_angle(self) -> float:
        """Start angle plus sweep [rad]."""
        return self.start_angle + self.sweep

    @property
    def bulge(self) -> float:
        """Tangent of a quarter of the sweep; not defined for a full circle."""
        return tan(0.25 * self.sweep)

    @property
    def box(self) -> Box:
        points = [self.start, self.end]
        for quarter in range(4):
            angle = quarter * 0.5 * pi
            if self.spans(angle):
                points.append(self._on(angle))
        return box_of(points)

    @property
    def start_direction(self) -> Point:
        """Unit vector of travel at the start."""
        return self.direction_at(0.0)

    @property
    def end_direction(self) -> Point:
        """Unit vector of travel at the end."""
        return self.direction_at(1.0)

    def _on(self, angle: float) -> Point:
        return Point(self.centre.x + self.radius * cos(angle), self.centre.y + self.radius * sin(angle))

    def spans(self, angle: float, slack_rad: float = 0.0) -> bool:
        """Return whether the direction ``angle`` [rad] from the centre meets the arc."""
        if self.sweep >= 0.0:
            along = (angle - self.start_angle) % TAU
        else:
            along = (self.start_angle - angle) % TAU
        return along <= abs(self.sweep) + slack_rad or along >= TAU - slack_rad

    def point_at(self, t: float) -> Point:
        """Return the point at fraction ``t`` of the length, 0 at the start and 1 at the end [mm]."""
        if t == 0.0:
            return self.start
        if t == 1.0:
            return self.end
        return self._on(self.start_angle + t * self.sweep)

    def direction_at(self, t: float) -> Point:
        """Return the unit vector of travel at fraction ``t`` of the length."""
        angle = self.start_angle + t * self.sweep
        if self.sweep >= 0.0:
            return Point(-sin(angle), cos(angle))
        return Point(sin(angle), -cos(angle))

    def part(self, t0: float, t1: float) -> Arc:
        """Return the piece between two fractions of the length (t0 < t1)."""
        return Arc(self.point_at(t0), self.point_at(t1), self.centre, self.radius, self.sweep * (t1 - t0))

    def reversed(self) -> Arc:
        return Arc(self.end, self.start, self.centre, self.radius, -self.sweep)

    def moved(self, dx_mm: float, dy_mm: float) -> Arc:
        return Arc(
            Point(self.start.x + dx_mm, self.start.y + dy_mm),
            Point(self.end.x + dx_mm, self.end.y + dy_mm),
            Point(self.centre.x + dx_mm, self.centre.y + dy_mm),
            self.radius,
            self.sweep,
        )

    def nearest(self, point: Point) -> tuple[float, float]:
        """Return (fraction of the length, distance [mm]) of the place on the arc nearest to a point."""
        angle = atan2(point.y - self.centre.y, point.x - self.centre.x)
        turn = angle - self.start_angle if self.sweep >= 0.0 else self.start_angle - angle
        along = turn % TAU
        if 0.0 < along <= abs(self.sweep):
            return along / abs(self.sweep), abs(self.centre.distance(point) - self.radius)
        d0, d1 = self.start.distance(point), self.end.distance(point)
        return (0.0, d0) if d0 <= d1 else (1.0, d1)


Segment: TypeAlias = Line | Arc


def arc_from_centre(centre: Point, radius: float, start_angle: float, sweep: float) -> Arc:
    """Return the arc about ``centre`` from a start angle [rad] through a signed sweep [rad]; radius in mm."""
    if abs(sweep) >= TAU:
        return circle(centre, radius, start_angle, ccw=sweep > 0.0)
    end_angle = start_angle + sweep
    start = Point(centre.x + radius * cos(start_angle), centre.y + radius * sin(start_angle))
    end = Point(centre.x + radius * cos(end_angle), centre.y + radius * sin(end_angle))
    return Arc(start, end, centre, radius, sweep)


def circle(centre: Point, radius: float, start_angle: float = 0.0, *, ccw: bool = True) -> Arc:
    """Return the full circle about ``centre`` [mm] that starts and ends in the direction ``start_angle`` [rad]."""
    start = Point(centre.x + radius * cos(start_angle), centre.y + radius * sin(start_angle))
    return Arc(start, start, centre, radius, TAU if ccw else -TAU)


def arc_from_bulge(start: Point, end: Point, bulge: float) -> Segment:
    """Return the segment between two points [mm] with a bulge (tangent of a quarter of the sweep).

    Bulge 0 gives a line, 1 a half circle to the right of the chord (counter-clockwise travel). Between two
    equal points there is no arc: the line of no length is returned.
    """
    if bulge == 0.0 or start == end:
        return Line(start, end)
    dx, dy = end.x - start.x, end.y - start.y
    chord = hypot(dx, dy)
    radius = chord * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
    # signed distance from the chord's middle to the centre, to the left of travel
    rise = chord * (1.0 - bulge * bulge) / (4.0 * bulge)
    centre = Point(
        start.x + 0.5 * dx - dy / chord * rise,
        start.y + 0.5 * dy + dx / chord * rise,
    )
    return Arc(start, end, centre, radius, 4.0 * atan(bulge))


def arc_through(start: Point, via: Point, end: Point) -> Segment:
    """Return the arc from start through a middle point to end [mm]; a line where the three are in line."""
    a, b = via.minus(start), end.minus(start)
    cross = a.cross(b)
    if abs(cross) <= 1e-12 * max(a.dot(a), b.dot(b)):
        return Line(start, end)
    aa, bb = a.dot(a), b.dot(b)
    offset = Point((b.y * aa - a.y * bb) / (2.0 * cross), (a.x * bb - b.x * aa) / (2.0 * cross))
    centre = start.plus(offset)
    radius = sqrt(offset.dot(offset))
    first = atan2(-offset.y, -offset.x)
    to_end = atan2(end.y - centre.y, end.x - centre.x)
    sweep = (to_end - first) % TAU if cross > 0.0 else -((first - to_end) % TAU)
    return Arc(start, end, centre, radius, sweep)
