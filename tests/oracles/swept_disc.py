"""A disc swept along a path, judged against the part that it must not touch: no code of the package is used.

Contours and paths come as rows (x, y, bulge to the next row) [mm] or, from a drawing file, as points. Arcs are laid
out in chords within 0.0001 mm; GEOS then tells distances.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import acos, atan, ceil, cos, hypot, sin, tan
from typing import Any

import shapely
from shapely import LineString, MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry

Row = tuple[float, float, float]
#: Distance of a chord from its arc [mm].
CHORD_MM = 1e-4


def rows(contour: Any) -> list[Row]:
    """Return a contour of the package as rows: only ends and sweeps are read, wide arcs are halved."""
    found: list[Row] = []
    for s in contour.segments:
        sweep = getattr(s, "sweep", 0.0)
        if abs(sweep) <= 4.0:
            found.append((s.start[0], s.start[1], tan(0.25 * sweep)))
            continue
        (cx, cy), (x, y) = s.centre, s.start
        c, d = cos(0.5 * sweep), sin(0.5 * sweep)
        middle = (cx + (x - cx) * c - (y - cy) * d, cy + (x - cx) * d + (y - cy) * c)
        found += [(x, y, tan(0.125 * sweep)), (*middle, tan(0.125 * sweep))]
    return found


def points_of(rows: Sequence[Row], *, closed: bool) -> list[tuple[float, float]]:
    """Return the places along a chain of lines and arcs."""
    result: list[tuple[float, float]] = []
    following = [*rows[1:], rows[0]] if closed else rows[1:]
    for (x, y, bulge), (u, v, _) in zip(rows, following, strict=False):
        result.append((x, y))
        chord = hypot(u - x, v - y)
        if bulge == 0.0 or chord == 0.0:
            continue
        sweep = 4.0 * atan(bulge)
        radius = chord / (2.0 * sin(0.5 * abs(sweep)))
        # centre: from the chord's middle along its left normal
        rise = radius * cos(0.5 * sweep) * (1.0 if sweep > 0.0 else -1.0)
        cx, cy = 0.5 * (x + u) - (v - y) / chord * rise, 0.5 * (y + v) + (u - x) / chord * rise
        n = max(2, ceil(abs(sweep) / (2.0 * acos(max(0.5, 1.0 - CHORD_MM / radius)))))
        for k in range(1, n):
            c, s = cos(sweep * k / n), sin(sweep * k / n)
            result.append((cx + (x - cx) * c - (y - cy) * s, cy + (x - cx) * s + (y - cy) * c))
    last = rows[0] if closed else rows[-1]
    return [*result, last[:2]]


def bite_mm(part: Polygon, paths: Iterable[Sequence[tuple[float, float]]], half_mm: float) -> float:
    """Return how deep a disc swept along paths cuts into a part [mm]; the whole disc where a path runs inside it."""
    lines = [LineString(p) for p in paths]
    if not lines:
        return 0.0
    for line in lines:
        if part.contains(shapely.Point(line.coords[0])):
            return 2.0 * half_mm
    edge = MultiLineString([part.exterior, *part.interiors])
    shapely.prepare(edge)
    return half_mm - min(float(edge.distance(line)) for line in lines)


def rest_mm(part: BaseGeometry, paths: Iterable[Sequence[tuple[float, float]]], half_mm: float) -> float:
    """Return the thickest metal that stays on the part beyond what the disc cannot reach [mm]."""
    line = MultiLineString([LineString(p) for p in paths])
    reachable = part.buffer(half_mm, quad_segs=90).buffer(-half_mm, quad_segs=90)
    edge = shapely.segmentize(reachable.boundary, 0.5)
    places = shapely.points(shapely.get_coordinates(edge))
    return float(shapely.distance(places, line).max()) - half_mm
