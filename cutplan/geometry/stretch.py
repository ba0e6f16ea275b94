"""Uneven scaling: lines stay lines, arcs become parts of ellipses and are laid anew as tangent arcs."""

from __future__ import annotations

from math import atan2

from cutplan.errors import GeometryError
from cutplan.geometry.contour import Contour, mirrored_segment, scaled_segment
from cutplan.geometry.fit.curve import ellipse
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc, Line, Segment
from cutplan.geometry.vector import Point
from cutplan.tolerance import FIT_MM


def stretched_segment(segment: Segment, fx: float, fy: float, tol_mm: float = FIT_MM) -> list[Segment]:
    """Return a segment scaled about the origin by one factor along x and another along y.

    Parameters
    ----------
    segment : Segment
        Line or arc [mm].
    fx, fy : float
        Factors, either sign, not zero [-].
    tol_mm : float
        Largest distance of the new arcs from the true ellipse [mm]; the ends are exact.

    Returns
    -------
    list[Segment]
        One segment where the factors agree but for their sign, else as many as the tolerance needs.

    Raises
    ------
    GeometryError
        When a factor is zero.
    """
    if fx == 0.0 or fy == 0.0:
        raise GeometryError("a scale factor of zero leaves no shape")
    if fx < 0.0:
        segment, fx = mirrored_segment(segment, "y"), -fx
    if fy < 0.0:
        segment, fy = mirrored_segment(segment, "x"), -fy
    if fx == fy:
        return [scaled_segment(segment, fx)]

    def carried(p: Point) -> Point:
        return Point(fx * p.x, fy * p.y)

    if not isinstance(segment, Arc):
        return [Line(carried(segment.start), carried(segment.end))]
    arc = segment if segment.sweep > 0.0 else segment.reversed()
    first = atan2(arc.start.y - arc.centre.y, arc.start.x - arc.centre.x)
    major = Point(fx * arc.radius, 0.0)
    parts = ellipse(carried(arc.centre), major, fy / fx, first, first + arc.sweep, tol_mm)
    parts = _with_ends(parts, carried(arc.start), carried(arc.end))
    return parts if segment is arc else [p.reversed() for p in reversed(parts)]


def stretched(contour: Contour, fx: float, fy: float, tol_mm: float = FIT_MM) -> Contour:
    """Return a contour scaled unevenly about the origin; see :func:`stretched_segment`.

    The direction of travel around the enclosed area stays, also under a mirroring factor.

    Parameters
    ----------
    contour : Contour
        Closed contour [mm].
    fx, fy : float
        Factors along x and y, not zero [-].
    tol_mm : float
        Largest distance from the true ellipses [mm].
    """
    segments = [p for s in contour.segments for p in stretched_segment(s, fx, fy, tol_mm)]
    result = Contour(tuple(segments))
    return result if fx * fy > 0.0 else result.reversed()


def stretched_region(region: Region, fx: float, fy: float, tol_mm: float = FIT_MM) -> Region:
    """Return a region scaled unevenly about the origin; see :func:`stretched`.

    Parameters
    ----------
    region : Region
        Outer contour and holes [mm].
    fx, fy : float
        Factors along x and y, not zero [-].
    tol_mm : float
        Largest distance from the true ellipses [mm].
    """
    return Region(stretched(region.outer, fx, fy, tol_mm), tuple(stretched(h, fx, fy, tol_mm) for h in region.holes))


def _with_ends(parts: list[Segment], start: Point, end: Point) -> list[Segment]:
    """Put the exact ends on a chain that starts and ends within rounding of them."""
    first = parts[0]
    if isinstance(first, Arc):
        parts[0] = Arc(start, first.end, first.centre, first.radius, first.sweep)
    else:
        parts[0] = Line(start, first.end)
    last = parts[-1]
    if isinstance(last, Arc):
        parts[-1] = Arc(last.start, end, last.centre, last.radius, last.sweep)
    else:
        parts[-1] = Line(last.start, end)
    return parts
