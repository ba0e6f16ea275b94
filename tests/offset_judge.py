"""How far an offset is from the true one, by sampling both ways; knows nothing of how the offset was made."""

from __future__ import annotations

from math import ceil, cos, sin

import numpy as np

from cutplan.geometry.contour import Contour
from cutplan.geometry.locate import inside
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc, Segment
from cutplan.geometry.segment_table import SegmentTable


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
    true = np.array([p for c in region.contours for p in _straight_off(c, distance_mm, step_mm)])
    true = true[table.distances(true) >= size - 1e-9]
    if len(true) == 0:
        return worst
    if not ours:
        return size
    return max(worst, float(SegmentTable(ours).distances(true).max()))


def _straight_off(contour: Contour, right_mm: float, step_mm: float) -> list[tuple[float, float]]:
    points: list[tuple[float, float]] = []
    n = len(contour.segments)
    for k, s in enumerate(contour.segments):
        count = max(3, ceil(s.length / step_mm))
        for i in range(count):
            t = (i + 0.5) / count
            p, u = s.point_at(t), s.direction_at(t)
            points.append((p.x + right_mm * u.y, p.y - right_mm * u.x))
        after = contour.segments[(k + 1) % n]
        if isinstance(s, Arc) and s.is_circle:
            continue
        u, v = s.end_direction, after.start_direction
        turn = float(np.arctan2(u.cross(v), u.dot(v)))
        for i in range(9):
            a = turn * (i + 0.5) / 9.0
            w = (u.x * cos(a) - u.y * sin(a), u.x * sin(a) + u.y * cos(a))
            points.append((s.end.x + right_mm * w[1], s.end.y - right_mm * w[0]))
    return points
