"""Distances from many points to many segments at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from cutplan.geometry.segment import TAU, Arc, Segment

if TYPE_CHECKING:
    from shapely import STRtree

#: Largest number of point-segment pairs measured in one go.
_CHUNK = 2_000_000
#: Number of point-segment pairs from which a spatial index finds the near ones.
_MANY = 400_000
#: Points asked of the index in one go.
_AT_ONCE = 5000


class SegmentTable:
    """Segments laid out as arrays, for distances from many points."""

    def __init__(self, segments: Sequence[Segment]) -> None:
        self._arc = np.array([isinstance(s, Arc) for s in segments], dtype=bool)
        rows = np.empty((len(segments), 8))
        for k, s in enumerate(segments):
            if isinstance(s, Arc):
                first = s.start_angle if s.sweep > 0.0 else s.start_angle + s.sweep
                rows[k] = (*s.start, *s.end, *s.centre, s.radius, first)
            else:
                dx, dy = s.end.x - s.start.x, s.end.y - s.start.y
                rows[k] = (*s.start, *s.end, dx, dy, max(dx * dx + dy * dy, 1e-300), 0.0)
        self._rows = rows
        self._segments = segments
        self._tree: STRtree | None = None
        self._span = np.array([abs(s.sweep) if isinstance(s, Arc) else 0.0 for s in segments])

    def distances(self, points: np.ndarray) -> np.ndarray:
        """Return the distance of each of (n, 2) points to the nearest segment [mm]."""
        points = np.asarray(points, dtype=float).reshape(-1, 2)
        result = np.empty(len(points))
        step = max(1, _CHUNK // max(1, len(self._rows)))
        for k in range(0, len(points), step):
            result[k : k + step] = self._matrix(points[k : k + step]).min(axis=1)
        return result

    def nearest(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return (index of the nearest segment, distance to it [mm]) for each of (n, 2) points."""
        points = np.asarray(points, dtype=float).reshape(-1, 2)
        index = np.empty(len(points), dtype=int)
        result = np.empty(len(points))
        step = max(1, _CHUNK // max(1, len(self._rows)))
        for k in range(0, len(points), step):
            matrix = self._matrix(points[k : k + step])
            best = matrix.argmin(axis=1)
            index[k : k + step] = best
            result[k : k + step] = matrix[np.arange(len(best)), best]
        return index, result

    def clear(self, points: np.ndarray, distance_mm: float) -> np.ndarray:
        """Return for each of (n, 2) points whether no segment comes nearer than a distance [mm]."""
        points = np.asarray(points, dtype=float).reshape(-1, 2)
        if len(points) * len(self._rows) <= _MANY:
            return np.asarray(self.distances(points) >= distance_mm)
        import shapely

        if self._tree is None:
            x0, y0, x1, y1 = np.array([s.box for s in self._segments]).T
            self._tree = shapely.STRtree(shapely.box(x0, y0, x1, y1))
        x, y = points.T
        squares = shapely.box(x - distance_mm, y - distance_mm, x + distance_mm, y + distance_mm)
        result = np.ones(len(points), dtype=bool)
        for k in range(0, len(points), _AT_ONCE):
            which, segment = self._tree.query(squares[k : k + _AT_ONCE])
            near = self._pairs(points[k + which], segment) < distance_mm
            result[k + which[near]] = False
        return result

    def _pairs(self, points: np.ndarray, index: np.ndarray) -> np.ndarray:
        """Distance of each point to the one segment named for it."""
        result = np.empty(len(points))
        arc = self._arc[index]
        x0, y0, _, _, dx, dy, square, _ = self._rows[index[~arc]].T
        wx, wy = points[~arc, 0] - x0, points[~arc, 1] - y0
        t = np.clip((wx * dx + wy * dy) / square, 0.0, 1.0)
        result[~arc] = np.hypot(wx - t * dx, wy - t * dy)
        x0, y0, x1, y1, cx, cy, radius, first = self._rows[index[arc]].T
        px, py = points[arc].T
        wx, wy = px - cx, py - cy
        within = (np.arctan2(wy, wx) - first) % TAU <= self._span[index[arc]]
        ends = np.minimum(np.hypot(px - x0, py - y0), np.hypot(px - x1, py - y1))
        result[arc] = np.where(within, np.abs(np.hypot(wx, wy) - radius), ends)
        return result

    def _matrix(self, points: np.ndarray) -> np.ndarray:
        px, py = points[:, 0, None], points[:, 1, None]
        result = np.empty((len(points), len(self._rows)))
        lines = ~self._arc
        if lines.any():
            x0, y0, _, _, dx, dy, square, _ = self._rows[lines].T
            wx, wy = px - x0, py - y0
            t = np.clip((wx * dx + wy * dy) / square, 0.0, 1.0)
            result[:, lines] = np.hypot(wx - t * dx, wy - t * dy)
        if self._arc.any():
            x0, y0, x1, y1, cx, cy, radius, first = self._rows[self._arc].T
            wx, wy = px - cx, py - cy
            inside = (np.arctan2(wy, wx) - first) % TAU <= self._span[self._arc]
            ends = np.minimum(np.hypot(px - x0, py - y0), np.hypot(px - x1, py - y1))
            result[:, self._arc] = np.where(inside, np.abs(np.hypot(wx, wy) - radius), ends)
        return result
