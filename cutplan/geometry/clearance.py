"""Exact distances from lines and arcs to many others: pairs from a spatial index, each measured by formula."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from cutplan.geometry.segment import TAU, Arc, Segment

_Array = NDArray[np.float64]
_Index = NDArray[np.intp]
#: Pairs measured in one go.
_AT_ONCE = 200_000


class Rows:
    """Segments as arrays: ends, direction or centre, radius, first angle and span; counter-clockwise arcs."""

    def __init__(self, segments: Sequence[Segment]) -> None:
        n = len(segments)
        self.arc = np.zeros(n, dtype=bool)
        self.ends = np.empty((n, 4))
        self.centre = np.zeros((n, 2))
        self.radius = np.zeros(n)
        self.first = np.zeros(n)
        self.span = np.zeros(n)
        self.box = np.array([s.box for s in segments]).reshape(n, 4)
        for k, s in enumerate(segments):
            self.ends[k] = (*s.start, *s.end)
            if isinstance(s, Arc):
                self.arc[k] = True
                self.centre[k] = s.centre
                self.radius[k] = s.radius
                self.first[k] = s.start_angle if s.sweep > 0.0 else s.start_angle + s.sweep
                self.span[k] = abs(s.sweep)

    def __len__(self) -> int:
        return len(self.arc)

    def spans(self, index: _Index, x: _Array, y: _Array) -> NDArray[np.bool_]:
        """Return whether the directions from arcs' centres to places lie within the arcs."""
        angle = np.arctan2(y - self.centre[index, 1], x - self.centre[index, 0])
        along = (angle - self.first[index]) % TAU
        return np.asarray((along <= self.span[index]) | (along >= TAU - 1e-12))

    def to_points(self, index: _Index, x: _Array, y: _Array) -> _Array:
        """Return the distance of each named segment from its place [mm]."""
        result = np.empty(len(index))
        arc = self.arc[index]
        k = index[~arc]
        x0, y0, x1, y1 = self.ends[k].T
        dx, dy = x1 - x0, y1 - y0
        wx, wy = x[~arc] - x0, y[~arc] - y0
        t = np.clip((wx * dx + wy * dy) / np.maximum(dx * dx + dy * dy, 1e-300), 0.0, 1.0)
        result[~arc] = np.hypot(wx - t * dx, wy - t * dy)
        k, px, py = index[arc], x[arc], y[arc]
        x0, y0, x1, y1 = self.ends[k].T
        far = np.abs(np.hypot(px - self.centre[k, 0], py - self.centre[k, 1]) - self.radius[k])
        ends = np.minimum(np.hypot(px - x0, py - y0), np.hypot(px - x1, py - y1))
        result[arc] = np.where(self.spans(k, px, py), far, ends)
        return result


def pair_distances(a: Rows, i: _Index, b: Rows, j: _Index) -> _Array:
    """Return the least distance of segments a[i] from b[j], pair by pair, (pairs,) [mm]; zero where they meet."""
    best = np.minimum(a.to_points(i, *b.ends[j, :2].T), a.to_points(i, *b.ends[j, 2:].T))
    best = np.minimum(best, b.to_points(j, *a.ends[i, :2].T))
    best = np.minimum(best, b.to_points(j, *a.ends[i, 2:].T))
    la, lb = ~a.arc[i], ~b.arc[j]
    k = np.flatnonzero(la & lb)
    best[k[_lines_cross(a, i[k], b, j[k])]] = 0.0
    k = np.flatnonzero(la & ~lb)
    best[k] = np.minimum(best[k], _line_arc(a, i[k], b, j[k]))
    k = np.flatnonzero(~la & lb)
    best[k] = np.minimum(best[k], _line_arc(b, j[k], a, i[k]))
    k = np.flatnonzero(~la & ~lb)
    best[k] = np.minimum(best[k], _arcs(a, i[k], b, j[k]))
    return best


def _lines_cross(a: Rows, i: _Index, b: Rows, j: _Index) -> NDArray[np.bool_]:
    ax, ay, bx, by = a.ends[i].T
    cx, cy, dx, dy = b.ends[j].T
    ux, uy, vx, vy = bx - ax, by - ay, dx - cx, dy - cy
    c0, c1 = ux * (cy - ay) - uy * (cx - ax), ux * (dy - ay) - uy * (dx - ax)
    d0, d1 = vx * (ay - cy) - vy * (ax - cx), vx * (by - cy) - vy * (bx - cx)
    return np.asarray((c0 * c1 < 0.0) & (d0 * d1 < 0.0))


def _line_arc(line: Rows, i: _Index, arc: Rows, j: _Index) -> _Array:
    """Distances through the insides of lines and arcs; infinite where ends decide."""
    x0, y0, x1, y1 = line.ends[i].T
    size = np.maximum(np.hypot(x1 - x0, y1 - y0), 1e-300)
    ux, uy = (x1 - x0) / size, (y1 - y0) / size
    cx, cy = arc.centre[j].T
    along = (cx - x0) * ux + (cy - y0) * uy
    foot = np.clip(along, 0.0, size)
    best = arc.to_points(j, x0 + foot * ux, y0 + foot * uy)
    away = (cx - x0) * uy - (cy - y0) * ux
    half = np.sqrt(np.maximum(arc.radius[j] ** 2 - away**2, 0.0))
    reaches = np.abs(away) < arc.radius[j]
    for sign in (-1.0, 1.0):
        t = along + sign * half
        hit = reaches & (t >= 0.0) & (t <= size)
        hit &= arc.spans(j, x0 + t * ux, y0 + t * uy)
        best[hit] = 0.0
    return np.asarray(best)


def _arcs(a: Rows, i: _Index, b: Rows, j: _Index) -> _Array:
    ax, ay = a.centre[i].T
    bx, by = b.centre[j].T
    r, s = a.radius[i], b.radius[j]
    d = np.hypot(bx - ax, by - ay)
    apart = d > 1e-12  # of circles about one place the ends decide
    safe = np.where(apart, d, 1.0)
    ux, uy = np.where(apart, (bx - ax) / safe, 1.0), np.where(apart, (by - ay) / safe, 0.0)
    best = np.full(len(i), np.inf)
    for sign in (-1.0, 1.0):
        x, y = ax + sign * r * ux, ay + sign * r * uy
        best = np.where(a.spans(i, x, y), np.minimum(best, b.to_points(j, x, y)), best)
        x, y = bx + sign * s * ux, by + sign * s * uy
        best = np.where(b.spans(j, x, y), np.minimum(best, a.to_points(i, x, y)), best)
    along = 0.5 * (d + (r - s) * (r + s) / safe)
    square = r * r - along * along
    meets = apart & (square >= 0.0) & (d <= r + s) & (d >= np.abs(r - s))
    rise = np.sqrt(np.maximum(square, 0.0))
    for sign in (-1.0, 1.0):
        x, y = ax + along * ux - sign * rise * uy, ay + along * uy + sign * rise * ux
        best[meets & a.spans(i, x, y) & b.spans(j, x, y)] = 0.0
    return best


class Clearance:
    """Edges that paths and places must keep away from, ready to be asked.

    Parameters
    ----------
    edges : sequence of Segment
        At least one line or arc [mm].
    """

    def __init__(self, edges: Sequence[Segment]) -> None:
        import shapely

        self._rows = Rows(edges)
        self._tree = shapely.STRtree(shapely.box(*self._rows.box.T))

    def of(self, segments: Sequence[Segment], within_mm: float) -> tuple[_Array, _Index]:
        """Return for each segment its distance from the nearest edge [mm] and that edge's number.

        Parameters
        ----------
        segments : sequence of Segment
            Lines and arcs [mm].
        within_mm : float
            Distances beyond this are of no interest: infinite then, and -1 for the edge [mm].
        """
        import shapely

        rows = Rows(segments)
        best = np.full(len(rows), np.inf)
        which = np.full(len(rows), -1, dtype=np.intp)
        x0, y0, x1, y1 = rows.box.T
        boxes = shapely.box(x0 - within_mm, y0 - within_mm, x1 + within_mm, y1 + within_mm)
        i, j = self._tree.query(boxes)
        for k in range(0, len(i), _AT_ONCE):
            p, q = i[k : k + _AT_ONCE], j[k : k + _AT_ONCE]
            gap = pair_distances(rows, p, self._rows, q)
            order = np.argsort(-gap, kind="stable")
            better = gap[order] < best[p[order]]
            best[p[order[better]]] = gap[order[better]]
            which[p[order[better]]] = q[order[better]]
        best[best > within_mm] = np.inf
        return best, np.where(np.isfinite(best), which, -1)

    def of_points(self, points: _Array, hint_mm: float) -> _Array:
        """Return the distance of each of (n, 2) places to the nearest edge [mm], however far it is.

        Parameters
        ----------
        points : array
            Places, shape (n, 2) [mm].
        hint_mm : float
            Reach that most places are expected within; the search widens for the others [mm].
        """
        import shapely

        points = np.asarray(points, dtype=float).reshape(-1, 2)
        best = np.full(len(points), np.inf)
        todo = np.arange(len(points))
        reach = hint_mm
        while len(todo):
            x, y = points[todo].T
            i, j = self._tree.query(shapely.box(x - reach, y - reach, x + reach, y + reach))
            gap = self._rows.to_points(j, x[i], y[i])
            found = np.full(len(todo), np.inf)
            np.minimum.at(found, i, gap)
            best[todo] = found
            todo = todo[~(found <= reach)]
            reach *= 4.0
        return best
