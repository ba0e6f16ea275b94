"""A closed chain of lines and arcs: area, centroid, containment and the moves that keep it exact."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, pi, sin

from cutplan.errors import GeometryError
from cutplan.geometry.segment import TAU, Arc, Line, Segment, arc_from_bulge, circle
from cutplan.geometry.vector import ORIGIN, Box, Point


@dataclass(frozen=True, slots=True)
class Contour:
    """A closed contour; each segment starts where the one before it ends [mm]."""

    segments: tuple[Segment, ...]

    def __post_init__(self) -> None:
        if not self.segments:
            raise GeometryError("a contour needs at least one segment")

    @property
    def length(self) -> float:
        """Perimeter [mm]."""
        return sum(s.length for s in self.segments)

    @property
    def box(self) -> Box:
        box = self.segments[0].box
        for segment in self.segments[1:]:
            box = box.joined(segment.box)
        return box

    @property
    def vertices(self) -> tuple[Point, ...]:
        """Starts of the segments [mm]."""
        return tuple(s.start for s in self.segments)

    @property
    def signed_area(self) -> float:
        """Area [mm2], positive when the contour runs counter-clockwise; summed about a local origin."""
        return self._moments()[0]

    @property
    def area(self) -> float:
        """Enclosed area [mm2]."""
        return abs(self.signed_area)

    @property
    def ccw(self) -> bool:
        return self.signed_area > 0.0

    @property
    def centroid(self) -> Point:
        """Centre of the enclosed area [mm]."""
        area, mx, my = self._moments()
        if area == 0.0:
            return self.box.centre
        origin = self.segments[0].start
        return Point(origin.x + mx / area, origin.y + my / area)

    def _moments(self) -> tuple[float, float, float]:
        """Signed area [mm2] and first moments [mm3] about the first vertex."""
        ox, oy = self.segments[0].start
        area = mx = my = 0.0
        for s in self.segments:
            x0, y0 = s.start.x - ox, s.start.y - oy
            x1, y1 = s.end.x - ox, s.end.y - oy
            cross = x0 * y1 - x1 * y0
            area += 0.5 * cross
            mx += cross * (x0 + x1) / 6.0
            my += cross * (y0 + y1) / 6.0
            if isinstance(s, Arc):
                cap = 0.5 * s.radius**2 * (s.sweep - sin(s.sweep))
                cx, cy = s.centre.x - ox, s.centre.y - oy
                if s.is_circle:
                    reach = 0.0
                else:
                    # first moment of the cap about the arc's centre, along the bisector of the sweep
                    reach = 2.0 / 3.0 * s.radius**3 * sin(0.5 * s.sweep) ** 3
                bisector = s.start_angle + 0.5 * s.sweep
                area += cap
                mx += cap * cx + reach * cos(bisector)
                my += cap * cy + reach * sin(bisector)
        return area, mx, my

    def as_circle(self) -> tuple[Point, float] | None:
        """Return (centre, radius [mm]) when the contour is a circle made of one or more arcs, else None."""
        first = self.segments[0]
        if not isinstance(first, Arc):
            return None
        if len(self.segments) == 1:
            return (first.centre, first.radius) if first.is_circle else None
        total = 0.0
        for s in self.segments:
            if not isinstance(s, Arc):
                return None
            slack = 1e-6 * max(1.0, first.radius)
            if s.centre.distance(first.centre) > slack or abs(s.radius - first.radius) > slack:
                return None
            total += s.sweep
        return (first.centre, first.radius) if abs(abs(total) - TAU) < 1e-6 else None

    def contains(self, point: Point) -> bool:
        """Return whether the point lies inside (on the edge counts either way), by winding over exact arcs."""
        px, py = point
        turning = 0.0
        for s in self.segments:
            ax, ay, bx, by = s.start.x - px, s.start.y - py, s.end.x - px, s.end.y - py
            cross = ax * by - ay * bx
            step = 0.0 if cross == 0.0 and ax * bx + ay * by >= 0.0 else atan2(cross, ax * bx + ay * by)
            if isinstance(s, Arc) and s.centre.distance(point) < s.radius:
                # seen from within its circle an arc turns in its own sense, by less than a full turn
                if s.is_circle:
                    step = TAU if s.sweep > 0.0 else -TAU
                elif abs(s.sweep) > pi or abs(step) > 1.0:  # a short arc is never seen turning back but by rounding
                    step = step % TAU if s.sweep > 0.0 else -(-step % TAU)
            turning += step
        return abs(turning) > pi

    def reversed(self) -> Contour:
        return Contour(tuple(s.reversed() for s in reversed(self.segments)))

    def oriented(self, ccw: bool) -> Contour:
        """Return the contour running counter-clockwise (or clockwise)."""
        return self if self.ccw == ccw else self.reversed()

    def moved(self, dx_mm: float, dy_mm: float) -> Contour:
        return Contour(tuple(s.moved(dx_mm, dy_mm) for s in self.segments))

    def turned(self, angle_rad: float, about: Point = ORIGIN) -> Contour:
        """Return the contour turned counter-clockwise about a point; radii stay exact."""
        return Contour(tuple(turned_segment(s, angle_rad, about) for s in self.segments))

    def mirrored(self, axis: str = "y") -> Contour:
        """Return the mirror image: ``axis='y'`` flips left and right, ``'x'`` flips up and down."""
        return Contour(tuple(mirrored_segment(s, axis) for s in self.segments)).reversed()

    def scaled(self, factor: float) -> Contour:
        """Return the contour scaled evenly about the origin (factor > 0)."""
        return Contour(tuple(scaled_segment(s, factor) for s in self.segments))

    def point_at_length(self, along_mm: float) -> tuple[Point, Point]:
        """Return (point [mm], unit direction of travel) at a distance along the contour from its start [mm]."""
        along_mm %= self.length
        for s in self.segments:
            if along_mm <= s.length:
                t = along_mm / s.length if s.length > 0.0 else 0.0
                return s.point_at(t), s.direction_at(t)
            along_mm -= s.length
        last = self.segments[-1]
        return last.end, last.end_direction

    def nearest(self, point: Point) -> tuple[float, float]:
        """Return (distance along the contour [mm], distance from it [mm]) of the place nearest to a point."""
        best = (0.0, float("inf"))
        run = 0.0
        for s in self.segments:
            t, gap = s.nearest(point)
            if gap < best[1]:
                best = (run + t * s.length, gap)
            run += s.length
        return best


def turned_segment(s: Segment, angle_rad: float, about: Point) -> Segment:
    """Return a segment turned counter-clockwise about a point [rad]."""

    def turn(p: Point) -> Point:
        return p.minus(about).turned(angle_rad).plus(about)

    if isinstance(s, Arc):
        start = turn(s.start)
        return Arc(start, start if s.is_circle else turn(s.end), turn(s.centre), s.radius, s.sweep)
    return Line(turn(s.start), turn(s.end))


def mirrored_segment(s: Segment, axis: str) -> Segment:
    """Return the mirror image of a segment, travel direction kept (so a contour changes its turning sense)."""
    fx, fy = (-1.0, 1.0) if axis == "y" else (1.0, -1.0)

    def flip(p: Point) -> Point:
        return Point(fx * p.x, fy * p.y)

    if isinstance(s, Arc):
        return Arc(flip(s.start), flip(s.end), flip(s.centre), s.radius, -s.sweep)
    return Line(flip(s.start), flip(s.end))


def scaled_segment(s: Segment, factor: float) -> Segment:
    """Return a segment scaled evenly about the origin by a factor [1] above zero."""
    if isinstance(s, Arc):
        return Arc(s.start.times(factor), s.end.times(factor), s.centre.times(factor), s.radius * factor, s.sweep)
    return Line(s.start.times(factor), s.end.times(factor))


def circle_contour(centre: Point, radius: float, *, ccw: bool = True) -> Contour:
    """Return a full circle as a contour [mm]."""
    return Contour((circle(centre, radius, ccw=ccw),))


def polygon(points: list[tuple[float, float]] | tuple[tuple[float, float], ...]) -> Contour:
    """Return a closed contour of straight lines through at least three points [mm]."""
    return polyline([(x, y, 0.0) for x, y in points])


def polyline(points: list[tuple[float, float, float]]) -> Contour:
    """Return a closed contour through (x [mm], y [mm], bulge to the next point).

    Raises
    ------
    GeometryError
        For fewer than two points.
    """
    if len(points) < 2:
        raise GeometryError("a closed contour needs at least two points")
    segments: list[Segment] = []
    for i, (x, y, bulge) in enumerate(points):
        nx, ny, _ = points[(i + 1) % len(points)]
        segments.append(arc_from_bulge(Point(x, y), Point(nx, ny), bulge))
    return Contour(tuple(segments))


def rectangle(x_mm: float, y_mm: float, width_mm: float, height_mm: float, radius_mm: float = 0.0) -> Contour:
    """Return a counter-clockwise rectangle from its lower left corner, with rounded corners if asked [mm].

    Raises
    ------
    GeometryError
        When the corner radius is larger than half the shorter side.
    """
    x0, y0, x1, y1, r = x_mm, y_mm, x_mm + width_mm, y_mm + height_mm, radius_mm
    if r <= 0.0:
        return polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    if 2.0 * r > min(width_mm, height_mm):
        raise GeometryError("corner radius is larger than half the rectangle's shorter side", hint="use a smaller one")
    b = 0.41421356237309503  # tan(90 deg / 4), exact
    points = [
        (x0 + r, y0, 0.0),
        (x1 - r, y0, b),
        (x1, y0 + r, 0.0),
        (x1, y1 - r, b),
        (x1 - r, y1, 0.0),
        (x0 + r, y1, b),
        (x0, y1 - r, 0.0),
        (x0, y0 + r, b),
    ]
    # a side of length zero (slot end) is left out
    kept = [
        p
        for i, p in enumerate(points)
        if p[2] != 0.0 or Point(*p[:2]).distance(Point(*points[(i + 1) % 8][:2])) > 1e-12
    ]
    return polyline(kept)
