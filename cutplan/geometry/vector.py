"""Points in the plane and the few vector operations that the rest is built of (millimetres, radians)."""

from __future__ import annotations

from math import cos, hypot, sin
from typing import NamedTuple


class Point(NamedTuple):
    """A point or vector in the plane [mm]."""

    x: float
    y: float

    def __reduce__(self) -> tuple[type[Point], tuple[float, float]]:
        return Point, (self.x, self.y)  # plans and pictures that are kept hold many thousands of them

    def plus(self, other: Point) -> Point:
        return Point(self.x + other.x, self.y + other.y)

    def minus(self, other: Point) -> Point:
        return Point(self.x - other.x, self.y - other.y)

    def times(self, factor: float) -> Point:
        return Point(self.x * factor, self.y * factor)

    def length(self) -> float:
        """Return the length of the vector [mm]."""
        return hypot(self.x, self.y)

    def distance(self, other: Point) -> float:
        """Return the distance to another point [mm]."""
        return hypot(self.x - other.x, self.y - other.y)

    def unit(self) -> Point:
        """Return the vector of length one; a zero vector raises ZeroDivisionError."""
        size = hypot(self.x, self.y)
        return Point(self.x / size, self.y / size)

    def left(self) -> Point:
        """Return the vector turned by a quarter turn to the left (counter-clockwise)."""
        return Point(-self.y, self.x)

    def turned(self, angle_rad: float) -> Point:
        """Return the vector turned counter-clockwise by an angle [rad] about the origin."""
        c, s = cos(angle_rad), sin(angle_rad)
        return Point(c * self.x - s * self.y, s * self.x + c * self.y)

    def dot(self, other: Point) -> float:
        return self.x * other.x + self.y * other.y

    def cross(self, other: Point) -> float:
        return self.x * other.y - self.y * other.x


ORIGIN = Point(0.0, 0.0)


def middle(a: Point, b: Point) -> Point:
    """Return the point half way between two points [mm]."""
    return Point(0.5 * (a.x + b.x), 0.5 * (a.y + b.y))


class Box(NamedTuple):
    """An axis-parallel bounding box [mm]."""

    xmin: float
    ymin: float
    xmax: float
    ymax: float

    @property
    def width(self) -> float:
        return self.xmax - self.xmin

    @property
    def height(self) -> float:
        return self.ymax - self.ymin

    @property
    def centre(self) -> Point:
        return Point(0.5 * (self.xmin + self.xmax), 0.5 * (self.ymin + self.ymax))

    @property
    def diagonal(self) -> float:
        return hypot(self.width, self.height)

    def grown(self, margin_mm: float) -> Box:
        """Return the box with every side moved outward by a margin [mm]."""
        return Box(self.xmin - margin_mm, self.ymin - margin_mm, self.xmax + margin_mm, self.ymax + margin_mm)

    def joined(self, other: Box) -> Box:
        """Return the smallest box that holds both."""
        return Box(
            min(self.xmin, other.xmin),
            min(self.ymin, other.ymin),
            max(self.xmax, other.xmax),
            max(self.ymax, other.ymax),
        )

    @property
    def span(self) -> str:
        """What it covers, for messages, to a thousandth [mm]."""
        x0, y0, x1, y1 = (round(v, 3) + 0.0 for v in self)
        return f"{x0:g}..{x1:g} x {y0:g}..{y1:g} mm"

    def meets(self, other: Box) -> bool:
        """Return whether the two boxes share a point."""
        return (
            self.xmin <= other.xmax and other.xmin <= self.xmax and self.ymin <= other.ymax and other.ymin <= self.ymax
        )

    def holds(self, point: Point) -> bool:
        """Return whether the point lies in the box or on its edge."""
        return self.xmin <= point.x <= self.xmax and self.ymin <= point.y <= self.ymax


def box_of(points: list[Point] | tuple[Point, ...]) -> Box:
    """Return the bounding box of at least one point [mm]."""
    xs = [p.x for p in points]
    ys = [p.y for p in points]
    return Box(min(xs), min(ys), max(xs), max(ys))
