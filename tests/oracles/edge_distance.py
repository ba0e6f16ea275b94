"""Distance of places from a region's edge with its sign, by asking every segment: the judge of offsets."""

from __future__ import annotations

import numpy as np

from cutplan.geometry.locate import inside
from cutplan.geometry.region import Region
from cutplan.geometry.segment_table import SegmentTable
from cutplan.geometry.vector import Point


def edge_distance(region: Region, point: Point) -> float:
    """Return the distance of a point from the region's edge [mm], positive in the material, negative outside."""
    away = min(s.nearest(point)[1] for c in region.contours for s in c.segments)
    return away if region.contains(point) else -away


def edge_distances(region: Region, points: np.ndarray) -> np.ndarray:
    """Return :func:`edge_distance` for each of (n, 2) points [mm]."""
    table = SegmentTable([s for c in region.contours for s in c.segments])
    sign = np.where(inside(region, points), 1.0, -1.0)
    return np.asarray(sign * table.distances(points))
