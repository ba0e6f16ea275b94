"""Whether one line or one arc can stand for a run of chords, by an exact test of its single free parameter."""

from __future__ import annotations

from math import atan2, hypot, pi, sqrt

import numpy as np

from cutplan.geometry.segment import Arc, Line, Segment
from cutplan.geometry.vector import Point

#: A run may turn back along itself by no more than this part of its length.
_TURN_BACK = 0.02
#: About this many vertices of a run are looked at for its misfit.
_MISFIT_SAMPLES = 64


class Run:
    """A polyline with the middles of its chords, ready for questions about stretches of it."""

    def __init__(self, points: np.ndarray) -> None:
        self.points = points
        dense = np.empty((2 * len(points) - 1, 2))
        dense[0::2] = points
        dense[1::2] = 0.5 * (points[:-1] + points[1:])
        self._dense = dense
        self._steps = np.hypot(*np.diff(points, axis=0).T)

    def line(self, i: int, j: int, tol_mm: float) -> Line | None:
        """Return the line between vertices i and j when all vertices between lie within the tolerance [mm]."""
        a, b = self.points[i], self.points[j]
        if j - i > 1:
            dx, dy = b - a
            size = hypot(dx, dy)
            if size == 0.0:
                return None
            q = self.points[i : j + 1] - a
            away = (q[:, 1] * dx - q[:, 0] * dy) / size
            if max(-float(away.min()), float(away.max())) > tol_mm:
                return None
            along = (q[:, 0] * dx + q[:, 1] * dy) / size
            if float(np.abs(np.diff(along)).sum()) > size * (1.0 + _TURN_BACK):
                return None
        return Line(Point(float(a[0]), float(a[1])), Point(float(b[0]), float(b[1])))

    def arc(self, i: int, j: int, tol_mm: float) -> Arc | None:
        """Return an arc from vertex i to vertex j with all vertices and chord middles within the tolerance [mm].

        The arc passes through both ends, so that one parameter is left: the height h of its centre over
        the middle of the chord. A point (x, y) about that middle, x along the chord of half length c, keeps
        its distance when |x^2 + y^2 - c^2 - 2 h y| <= 2 r tol + tol^2 with r^2 = c^2 + h^2: an interval of
        h for each point, and a centre of the intervals' common part if there is one.
        """
        if j - i < 2:
            return None
        a, b = self.points[i], self.points[j]
        c = 0.5 * hypot(b[0] - a[0], b[1] - a[1])
        if c == 0.0:
            return None
        ux, uy = (b - a) / (2.0 * c)
        q = self._dense[2 * i + 1 : 2 * j] - 0.5 * (a + b)
        x = q[:, 0] * ux + q[:, 1] * uy
        y = q[:, 1] * ux - q[:, 0] * uy
        d = x * x + y * y - c * c
        left = bool(y[int(np.argmax(np.abs(y)))] > 0.0)
        yy = float(y @ y)
        if yy == 0.0:
            return None
        height = _best_height(x, y, d, c, tol_mm)
        if height is None:
            return None
        radius = sqrt(c * c + height * height)
        half = atan2(c, -height if left else height)
        sweep = -2.0 * half if left else 2.0 * half
        # in order along the arc: the angles between neighbours add up to the sweep
        angle = np.arctan2(y - height, x)
        steps = (np.diff(angle) + pi) % (2.0 * pi) - pi
        walked = float(np.abs(steps).sum())
        if walked > abs(sweep) * (1.0 + _TURN_BACK) or walked < abs(sweep) * 0.2:
            return None
        centre = Point(float(0.5 * (a[0] + b[0]) - uy * height), float(0.5 * (a[1] + b[1]) + ux * height))
        start, end = Point(float(a[0]), float(a[1])), Point(float(b[0]), float(b[1]))
        return Arc(start, end, centre, radius, sweep)

    def misfit(self, i: int, j: int, tol_mm: float) -> float:
        """Return how far the vertices from i to j lie from the line or the arc that suits them better [mm].

        An arc suits only where it stays within the tolerance [mm] of its longest chord.
        """
        if j - i < 2:
            return 0.0
        a, b = self.points[i], self.points[j]
        c = 0.5 * hypot(b[0] - a[0], b[1] - a[1])
        if c == 0.0:
            return float("inf")
        ux, uy = (b - a) / (2.0 * c)
        q = self.points[i + 1 : j : max(1, (j - i) // _MISFIT_SAMPLES)] - 0.5 * (a + b)
        x = q[:, 0] * ux + q[:, 1] * uy
        y = q[:, 1] * ux - q[:, 0] * uy
        straight = float(np.abs(y).max())
        d = x * x + y * y - c * c
        bent = float(y @ d)
        if bent == 0.0:
            return straight
        height = _guess(y, d, straight > 0.5 * c)
        radius = sqrt(c * c + height * height)
        if float(self._steps[i:j].max()) ** 2 > 8.0 * radius * tol_mm:
            return straight
        return min(straight, float(np.abs(np.hypot(x, y - height) - radius).max()))

    def segment(self, i: int, j: int, tol_mm: float) -> Segment | None:
        """Return a line, else an arc, that stands for the chords from vertex i to vertex j, else None."""
        return self.line(i, j, tol_mm) or self.arc(i, j, tol_mm)


def _guess(y: np.ndarray, d: np.ndarray, tall: bool) -> float:
    """Height of the centre by least squares of d = 2 h y, or of d / h = 2 y where the run is flat."""
    return 0.5 * float(y @ d) / float(y @ y) if tall else 0.5 * float(d @ d) / float(y @ d)


def _best_height(x: np.ndarray, y: np.ndarray, d: np.ndarray, c: float, tol_mm: float) -> float | None:
    # first guess: least squares over the vertices (every second row), in the form that suits the flatness
    tall = float(np.abs(y).max())
    vy, vd = y[1::2], d[1::2]
    if float(vy @ vd) == 0.0:
        return None
    height = _guess(vy, vd, tall > 0.5 * c)
    for attempt in range(3):
        if abs(height) > 1e7 * c:
            return None
        radius = sqrt(c * c + height * height)
        worst = float(np.abs(np.hypot(x, y - height) - radius).max())
        if worst <= tol_mm:
            return height
        if worst > 4.0 * tol_mm or attempt == 2:
            return None
        # interval of 1/h or h that every point allows at this radius
        slack = 2.0 * radius * tol_mm
        if tall > 0.5 * c:
            with np.errstate(divide="ignore", invalid="ignore"):
                low, high = (d - slack) / (2.0 * y), (d + slack) / (2.0 * y)
            low, high = np.minimum(low, high), np.maximum(low, high)
            free = y == 0.0
            if bool((np.abs(d[free]) > slack).any()):
                return None
            lowest, highest = float(low[~free].max()), float(high[~free].min())
            if lowest > highest:
                return None
            height = 0.5 * (lowest + highest)
        else:
            # 2 y = k (d +- slack'), k = 1/h, with slack' / h = 2 tol r / h
            wide = 2.0 * tol_mm * radius / abs(height)
            with np.errstate(divide="ignore", invalid="ignore"):
                low, high = (2.0 * y - wide) / d, (2.0 * y + wide) / d
            low, high = np.minimum(low, high), np.maximum(low, high)
            free = d == 0.0
            lowest, highest = float(low[~free].max()), float(high[~free].min())
            if lowest > highest or lowest + highest == 0.0:
                return None
            height = 2.0 / (lowest + highest)
    return None
