"""Closed loops of lines and arcs as arrays [mm]: area, chords for GEOS, equality, and the way to exact contours."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from cutplan.files.outline.strokes import circle_of, lengths
from cutplan.files.traces import Floats
from cutplan.files.where import Where
from cutplan.geometry.contour import Contour, circle_contour
from cutplan.geometry.segment import Segment, arc_from_bulge
from cutplan.geometry.vector import Point

#: Arcs of one circle may differ by this much and still be that circle [mm].
SAME_CIRCLE_MM = 0.001


@dataclass(frozen=True, slots=True)
class Loop:
    """A closed loop: points (n + 1, 2) with the first repeated at the end, bulges (n); ``added`` closed its gaps [mm]."""

    xy: Floats
    bulge: Floats
    where: Where
    layer: str
    circle: tuple[float, float, float] | None = None
    fitted: bool = False
    added: float = 0.0
    _kept: list[Floats] = field(default_factory=list, repr=False, compare=False)

    @property
    def length(self) -> float:
        """Drawn length, without what was added to close gaps [mm]."""
        if self.circle is not None:
            return 2.0 * float(np.pi) * self.circle[2] - self.added
        return float(lengths(self.xy, self.bulge).sum()) - self.added

    @property
    def signed_area(self) -> float:
        """Area [mm2], positive counter-clockwise, about a local origin."""
        if self.circle is not None:
            return float(np.pi * self.circle[2] ** 2)
        p = self.xy - self.xy[0]
        cross = p[:-1, 0] * p[1:, 1] - p[1:, 0] * p[:-1, 1]
        return float(0.5 * cross.sum() + caps(self.xy, self.bulge).sum())

    @property
    def area(self) -> float:
        return abs(self.signed_area)

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Bounding box (xmin, ymin, xmax, ymax) [mm], exact for circles, to a chord for arcs."""
        if self.circle is not None:
            x, y, r = self.circle
            return x - r, y - r, x + r, y + r
        xy = chords(self)
        low, high = xy.min(axis=0), xy.max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def caps(xy: Floats, bulge: Floats) -> Floats:
    """Return the signed area between each arc and its chord, (n,) [mm2]."""
    if not bulge.any():
        return np.zeros(len(bulge))
    v = xy[1:] - xy[:-1]
    square = (v * v).sum(axis=1)
    theta = 4.0 * np.arctan(bulge)
    b2 = bulge * bulge
    # r^2 (theta - sin theta) / 2 with r = chord (1 + b^2) / (4 b); series where the arc is nearly straight
    small = np.abs(bulge) < 1e-3
    safe = np.where(small, 1.0, bulge)
    exact = square * (1.0 + b2) ** 2 / (32.0 * safe * safe) * (theta - np.sin(theta))
    series = square * bulge * (1.0 / 3.0 + b2 / 15.0)
    cap: Floats = np.where(small, series, exact)
    return cap


def chords(loop: Loop, tolerance: float = 0.001, most: int = 1024) -> Floats:
    """Return points (m + 1, 2) of chords within a tolerance [mm] of the loop, the first repeated at the end.

    No arc gets more than ``most`` chords, even if they are further off then.
    """
    usual = tolerance == 0.001 and most == 1024
    if usual and loop._kept:
        return loop._kept[0]
    xy, bulge = loop.xy, loop.bulge
    if not bulge.any():
        return xy
    theta = 4.0 * np.arctan(bulge)
    v = xy[1:] - xy[:-1]
    chord = np.hypot(v[:, 0], v[:, 1])
    bent = np.abs(bulge) > 1e-12
    radius = np.where(bent, chord * (1.0 + bulge**2) / (4.0 * np.where(bent, np.abs(bulge), 1.0)), 0.0)
    ratio = np.clip(1.0 - tolerance / np.maximum(radius, tolerance), 0.0, 1.0)
    step = 2.0 * np.arccos(ratio)
    count = np.where(bent, np.ceil(np.abs(theta) / np.maximum(step, 1e-3)), 1.0)
    count = np.maximum(np.minimum(count, most), np.where(np.abs(theta) > 0.5, np.ceil(np.abs(theta) / 0.4), 1.0))
    count = count.astype(np.int64)
    owner = np.repeat(np.arange(len(bulge)), count)
    first = np.cumsum(count) - count
    t = (np.arange(len(owner)) - first[owner]) / count[owner]
    # a point of the arc from start, chord and turning: chord length share sin(t theta / 2) / sin(theta / 2)
    half = 0.5 * theta[owner]
    share = np.where(bent[owner], np.sin(t * half) / np.where(bent[owner], np.sin(half), 1.0), t)
    angle = -half * (1.0 - t)
    k, s = np.cos(angle) * share, np.sin(angle) * share
    w = v[owner]
    out = xy[owner] + np.column_stack([k * w[:, 0] - s * w[:, 1], s * w[:, 0] + k * w[:, 1]])
    result = np.vstack([out, xy[-1:]])
    if usual:
        loop._kept.append(result)
    return result


def with_circle(loop: Loop) -> Loop:
    """Return the loop as a true circle when all its arcs are pieces of one."""
    if loop.circle is not None or not loop.bulge.all():
        return loop
    found = circle_of(loop.xy, loop.bulge, SAME_CIRCLE_MM)
    if found is None:
        return loop
    return replace(loop, circle=found, _kept=[])


def to_contour(loop: Loop) -> Contour:
    """Return the exact contour of a loop."""
    if loop.circle is not None:
        return circle_contour(Point(loop.circle[0], loop.circle[1]), loop.circle[2])
    points = [Point(x, y) for x, y in loop.xy[:-1].tolist()]
    points.append(points[0])
    segments: list[Segment] = [arc_from_bulge(points[i], points[i + 1], b) for i, b in enumerate(loop.bulge.tolist())]
    return Contour(tuple(segments))
