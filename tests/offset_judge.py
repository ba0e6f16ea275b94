"""How far an offset is from the true one, by sampling both ways; knows nothing of how the offset was made."""

from __future__ import annotations

from math import ceil, cos, sin

import numpy as np

from cutplan.geometry.contour import Contour
from cutplan.geometry.locate import inside
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc, Segment
from cutplan.geometry.segment_table import SegmentTable

#: A hair [mm].
MARGIN_MM = 1e-4


def samples(segment: Segment, step_mm: float) -> list[tuple[float, float]]:
    """Return points inside a segment, off its ends."""
    n = max(3, ceil(segment.length / step_mm))
    return [segment.point_at((k + 0.5) / n) for k in range(n)]


def offset_error(
    region: Region, offset: list[Region] | tuple[Region, ...], distance_mm: float, step_mm: float = 0.5
) -> float:
    """Return the largest distance [mm] between an offset's edge and the true one.

    Ours to true: every place on the edge must lie at the distance from the region's edge, on the right side.
    True to ours: from places along the region's edge and around its corners, the place at the distance
    straight off the edge belongs to the true offset when nothing of the edge is nearer; it must lie on ours.
    Where the place a hair further off is nearer to another part of the edge the offset has no width (a slot of
    exactly twice the distance): such places are not asked for.
    """
    size = abs(distance_mm)
    table = SegmentTable([s for c in region.contours for s in c.segments])
    worst = 0.0
    ours = [s for r in offset for c in r.contours for s in c.segments]
    if ours:
        points = np.array([p for s in ours for p in samples(s, step_mm)])
        worst = float(np.abs(table.distances(points) - size).max())
        if bool((inside(region, points) == (distance_mm > 0.0)).any()):
            return size
    off = np.array([p for c in region.contours for p in _straight_off(c, distance_mm, step_mm)])
    true, further = off[:, :2], off[:, :2] + MARGIN_MM * off[:, 2:]
    true = true[(table.distances(true) >= size - 1e-9) & (table.distances(further) >= size + 0.5 * MARGIN_MM)]
    # off the tip of a cusp there is a place on either side
    true = true[inside(region, true) == (distance_mm < 0.0)]
    if len(true) == 0:
        return worst
    if not ours:
        return size
    return max(worst, float(SegmentTable(ours).distances(true).max()))


def _straight_off(contour: Contour, right_mm: float, step_mm: float) -> list[tuple[float, float, float, float]]:
    """Places at the distance straight off the edge and off its corners, each with its direction away from it."""
    rows: list[tuple[float, float, float, float]] = []
    n = len(contour.segments)
    side = 1.0 if right_mm > 0.0 else -1.0

    def add(p: tuple[float, float], ux: float, uy: float) -> None:
        rows.append((p[0] + right_mm * uy, p[1] - right_mm * ux, side * uy, -side * ux))

    for k, s in enumerate(contour.segments):
        count = max(3, ceil(s.length / step_mm))
        for i in range(count):
            t = (i + 0.5) / count
            add(s.point_at(t), *s.direction_at(t))
        after = contour.segments[(k + 1) % n]
        if isinstance(s, Arc) and s.is_circle:
            continue
        u, v = s.end_direction, after.start_direction
        turn = float(np.arctan2(u.cross(v), u.dot(v)))
        for i in range(9):
            a = turn * (i + 0.5) / 9.0
            add(s.end, u.x * cos(a) - u.y * sin(a), u.x * sin(a) + u.y * cos(a))
    return rows
