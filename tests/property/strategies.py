"""Shared hypothesis strategies: plates, contours and motions. Import as ``from property.strategies import plates``."""

from __future__ import annotations

from functools import lru_cache
from math import cos, pi, sin

from hypothesis import strategies as st
from random_plates import random_plate, rough_plate, tidy_plate

from cutplan.geometry.contour import Contour, circle_contour, polygon, rectangle
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point

#: Numbers that a shop meets, without the noise of denormals.
lengths_mm = st.floats(0.5, 500.0).map(lambda v: round(v, 4))
places_mm = st.floats(-1000.0, 1000.0).map(lambda v: round(v, 4))
angles_rad = st.floats(-pi, pi).map(lambda v: round(v, 6))
points = st.builds(Point, places_mm, places_mm)
#: Half kerfs and gaps, either way.
distances_mm = st.one_of(st.floats(0.05, 5.0), st.floats(-5.0, -0.05)).map(lambda v: round(v, 3))


@lru_cache(maxsize=4096)
def plate_of(seed: int) -> Region:
    return random_plate(seed)


def plates() -> st.SearchStrategy[Region]:
    """Sound plates with fillets, bulged sides, notches and holes of several kinds."""
    return st.integers(0, 3000).map(plate_of)


def rough_plates() -> st.SearchStrategy[Region]:
    """Plates as drawings give them: rounded, split, with pieces a thousandth long."""
    return st.integers(0, 3000).map(rough_plate)


def tidy_plates() -> st.SearchStrategy[Region]:
    """Plates in whole and half millimetres: offsets meet, touch and coincide exactly."""
    return st.integers(0, 3000).map(tidy_plate)


def circles() -> st.SearchStrategy[Contour]:
    return st.builds(circle_contour, points, lengths_mm)


@st.composite
def convex_polygons(draw: st.DrawFn) -> Contour:
    """Corners on an ellipse in order: convex whatever the angles."""
    n = draw(st.integers(3, 12))
    centre, a, b = draw(points), draw(st.floats(10.0, 300.0)), draw(st.floats(10.0, 300.0))
    shares = [draw(st.floats(0.5, 1.5)) for _ in range(n)]
    total, run = sum(shares), 0.0
    corners = []
    for share in shares:
        run += share
        angle = 2.0 * pi * run / total
        corners.append((centre.x + a * cos(angle), centre.y + b * sin(angle)))
    return polygon(corners)


@st.composite
def rounded_rectangles(draw: st.DrawFn) -> Contour:
    """Rectangles with tangent corner arcs, turned by any angle."""
    w, h = draw(st.floats(5.0, 300.0)), draw(st.floats(5.0, 300.0))
    r = draw(st.floats(0.05, 0.45)) * min(w, h)
    shape = rectangle(draw(places_mm), draw(places_mm), w, h, r)
    return shape.turned(draw(angles_rad), shape.segments[0].start)


@st.composite
def motions(draw: st.DrawFn) -> tuple[float, float, float, bool]:
    """A turn [rad], a shift [mm] of up to a kilometre, and whether to mirror first."""
    far = st.floats(-1e6, 1e6).map(lambda v: round(v, 3))
    return draw(angles_rad), draw(far), draw(far), draw(st.booleans())


def carried(region: Region, motion: tuple[float, float, float, bool]) -> Region:
    """Apply a motion: mirror, turn about the region's own corner, shift."""
    angle, dx, dy, flip = motion
    if flip:
        region = region.mirrored("y")
    return region.turned(angle, region.outer.segments[0].start).moved(dx, dy)
