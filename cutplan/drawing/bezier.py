"""Circular arcs as cubic Bezier curves, for pages that know no arcs."""

from __future__ import annotations

from math import ceil, cos, pi, sin, tan

from cutplan.geometry.segment import Arc
from cutplan.geometry.vector import Point

#: Largest distance between an arc and its Bezier curves [mm].
BEZIER_MM = 0.0005


def bezier_error(radius_mm: float, sweep_rad: float) -> float:
    r"""Return the largest radial error of one cubic for an arc [mm].

    .. math:: e = \frac{2}{27} r \frac{\sin^6(\theta/4)}{\cos^2(\theta/4)}

    Parameters
    ----------
    radius_mm : float
        Radius [mm].
    sweep_rad : float
        Sweep of the arc [rad], up to a half turn.

    Returns
    -------
    float
        Error [mm], for control points at 4/3 tan(sweep/4) radii along the tangents. The formula is the leading term;
        against sampled curves it is right within 3 % up to a quarter turn.
    """
    quarter = 0.25 * abs(sweep_rad)
    return 2.0 / 27.0 * radius_mm * sin(quarter) ** 6 / cos(quarter) ** 2


def arc_beziers(arc: Arc, tolerance_mm: float = BEZIER_MM) -> list[tuple[Point, Point, Point]]:
    """Return the arc as cubics (two control points, end) [mm], none longer than a quarter turn."""
    pieces = max(1, ceil(abs(arc.sweep) / (0.5 * pi) - 1e-9))
    while bezier_error(arc.radius, arc.sweep / pieces) > tolerance_mm:
        pieces += 1
    step = arc.sweep / pieces
    reach = arc.radius * 4.0 / 3.0 * tan(0.25 * step)
    cx, cy = arc.centre
    curves: list[tuple[Point, Point, Point]] = []
    at, angle = arc.start, arc.start_angle
    for i in range(1, pieces + 1):
        after = arc.start_angle + i * step
        to = arc.end if i == pieces else Point(cx + arc.radius * cos(after), cy + arc.radius * sin(after))
        first = Point(at.x - reach * sin(angle), at.y + reach * cos(angle))
        second = Point(to.x + reach * sin(after), to.y - reach * cos(after))
        curves.append((first, second, to))
        at, angle = to, after
    return curves
