"""Slits for the scissors: a straight way from the template's edge to a hole, clear of everything else."""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np
from numpy.typing import NDArray

from cutplan.geometry.flatten import flatten_array
from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Point
from cutplan.templates.shapes.template import Spot, Template

#: Round holes up to this size are punched and drilled through the paper, not cut out of it [mm] (common practice).
PUNCHED_MM = 16.0
#: Distance that a slit keeps from other holes [mm].
_CLEAR_MM = 3.0
_WAYS = 48


def slits(template: Template, edge: NDArray[np.float64]) -> tuple[tuple[Point, Point], ...]:
    """Return the shortest clear slit (edge point, hole point) for each hole that is cut out of the paper.

    Parameters
    ----------
    template : Template
        Its spots with a contour are the holes.
    edge : array (n, 2)
        Closed polygon of the template's edge [mm].

    Returns
    -------
    tuple of (Point, Point)
        Slits [mm]; a hole without a clear straight way gets none.
    """
    holes = [s for s in template.spots if s.contour is not None]
    made: list[tuple[Point, Point]] = []
    if not holes:
        return ()
    guides = [g for s in template.lines if s.tag in ("datum", "centre") for g in s.segments]
    centres = np.array([h.centre for h in holes])
    radii = np.array([_reach(h) for h in holes])
    for k, hole in enumerate(holes):
        if 0.0 < hole.radius_mm <= 0.5 * PUNCHED_MM:
            continue
        others = np.arange(len(holes)) != k
        best: tuple[float, Point, Point] | None = None
        for way in range(_WAYS):
            u = Point(cos(2.0 * pi * way / _WAYS), sin(2.0 * pi * way / _WAYS))
            out = _first_crossing(edge, hole.centre, u)
            if out is None or (best is not None and out - radii[k] >= best[0]):
                continue
            rel = centres[others] - hole.centre
            along = np.clip(rel[:, 0] * u.x + rel[:, 1] * u.y, 0.0, out)
            gap = np.hypot(rel[:, 0] - along * u.x, rel[:, 1] - along * u.y) - radii[others]
            if gap.size and gap.min() < _CLEAR_MM:
                continue
            if any(_along(g, hole.centre, hole.centre.plus(u.times(out))) for g in guides):
                continue
            start = hole.radius_mm or _first_crossing_of(hole, u) or radii[k]
            best = (out - radii[k], hole.centre.plus(u.times(out)), hole.centre.plus(u.times(start)))
        if best is not None:
            made.append(best[1:])
    return tuple(made)


def _along(guide: Segment, a: Point, b: Point) -> bool:
    """Whether a slit would be hidden by a guide line: it starts on the line and leaves along it."""
    return guide.nearest(a)[1] < 2.0 and abs(guide.start_direction.cross(b.minus(a).unit())) < 0.03


def _reach(spot: Spot) -> float:
    if spot.radius_mm or spot.contour is None:
        return spot.radius_mm
    return 0.5 * spot.contour.box.diagonal


def _first_crossing_of(spot: Spot, u: Point) -> float | None:
    return _first_crossing(flatten_array(spot.contour, 0.05), spot.centre, u) if spot.contour else None


def _first_crossing(edge: NDArray[np.float64], start: Point, u: Point) -> float | None:
    """Distance from a point along a direction to the first side of a polygon it meets, or None."""
    a = edge - start
    b = np.roll(edge, -1, axis=0) - start
    side_a = a[:, 0] * -u.y + a[:, 1] * u.x
    side_b = b[:, 0] * -u.y + b[:, 1] * u.x
    crossing = (side_a > 0.0) != (side_b > 0.0)
    if not crossing.any():
        return None
    t = side_a[crossing] / (side_a[crossing] - side_b[crossing])
    meet = a[crossing] + t[:, None] * (b[crossing] - a[crossing])
    along = meet[:, 0] * u.x + meet[:, 1] * u.y
    along = along[along > 1e-9]
    return float(along.min()) if along.size else None
