"""A plate-like region: one outer contour and the holes in it, material on the left of every contour."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.geometry.contour import Contour
from cutplan.geometry.vector import ORIGIN, Box, Point


@dataclass(frozen=True, slots=True)
class Region:
    """An outer contour (counter-clockwise) with holes (clockwise) [mm]."""

    outer: Contour
    holes: tuple[Contour, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "outer", self.outer.oriented(ccw=True))
        object.__setattr__(self, "holes", tuple(h.oriented(ccw=False) for h in self.holes))

    @property
    def area(self) -> float:
        """Net area: outer less holes [mm2]."""
        return self.outer.area - sum(h.area for h in self.holes)

    @property
    def perimeter(self) -> float:
        """Length of the outer contour and all holes [mm]."""
        return self.outer.length + sum(h.length for h in self.holes)

    @property
    def box(self) -> Box:
        return self.outer.box

    @property
    def centroid(self) -> Point:
        """Centre of the net area [mm]."""
        origin = self.outer.segments[0].start
        area = mx = my = 0.0
        for contour in (self.outer, *self.holes):
            a, c = contour.signed_area, contour.centroid
            area += a
            mx += a * (c.x - origin.x)
            my += a * (c.y - origin.y)
        return Point(origin.x + mx / area, origin.y + my / area)

    @property
    def contours(self) -> tuple[Contour, ...]:
        """The outer contour, then the holes."""
        return (self.outer, *self.holes)

    def contains(self, point: Point) -> bool:
        """Return whether the point lies in the material."""
        return self.outer.contains(point) and not any(h.contains(point) for h in self.holes)

    def moved(self, dx_mm: float, dy_mm: float) -> Region:
        return Region(self.outer.moved(dx_mm, dy_mm), tuple(h.moved(dx_mm, dy_mm) for h in self.holes))

    def turned(self, angle_rad: float, about: Point = ORIGIN) -> Region:
        """Return the region turned counter-clockwise [rad] about a point."""
        return Region(self.outer.turned(angle_rad, about), tuple(h.turned(angle_rad, about) for h in self.holes))

    def mirrored(self, axis: str = "y") -> Region:
        """Return the mirror image: ``axis='y'`` flips left and right."""
        return Region(self.outer.mirrored(axis), tuple(h.mirrored(axis) for h in self.holes))

    def scaled(self, factor: float) -> Region:
        """Return the region scaled evenly about the origin."""
        return Region(self.outer.scaled(factor), tuple(h.scaled(factor) for h in self.holes))
