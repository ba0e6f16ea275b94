"""Registration marks on seams: targets cut in half by trimming, each with its own ring and number.

The centre is where two black quarters meet, which the eye and a camera both find to a small part of the line width.
The ring of eight sectors differs from mark to mark, so no two marks of a set look alike and sheets cannot be
swapped; the number stands on both sides of the seam, so either sheet shows it after trimming.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, pi

import numpy as np
from numpy.typing import NDArray

from cutplan.drawing.model import Item, Stroke, Text
from cutplan.geometry.segment import Line, Segment, arc_from_centre
from cutplan.geometry.vector import Point
from cutplan.templates.drawn.pens import CROSS
from cutplan.templates.tiling.cells import LEAST_SEAM_MM
from cutplan.templates.tiling.layout import Seam, long_enough

#: Radii of the black quarters, and of the ring of sectors [mm].
CORE_MM, RING_INNER_MM, RING_OUTER_MM = 1.9, 2.7, 4.0
#: Reach of a mark with its arms [mm].
MARK_MM = 4.6
#: Length along the seam that mark and number take: before and after the centre [mm].
_BEFORE_MM, _AFTER_MM = 5.5, 13.0
#: Distance from the seam's ends, where other seams' overlaps begin [mm].
_FROM_END_MM = 6.5
#: On a long seam marks are at most about this far apart [mm].
_APART_MM = 150.0
SECTORS = 8
#: Rings with three to five of the eight sectors black: neither nearly empty nor nearly full.
RINGS = tuple(code for code in range(256) if 3 <= code.bit_count() <= 5)


@dataclass(frozen=True, slots=True)
class Registration:
    """One mark: its number in the set, where it is in the layout, and the seam it lies on (index in the layout)."""

    number: int
    at: Point
    seam: int


def ring_code(number: int) -> int:
    """Return the bits of a mark's ring; beyond 182 marks the rings repeat, but not the printed numbers."""
    return RINGS[(number - 1) % len(RINGS)]


def registrations(seams: tuple[Seam, ...], points: NDArray[np.float64], first: int) -> tuple[Registration, ...]:
    """Return the marks of all seams: both ends and, on seams over 140 mm, the middle, moved off the lines.

    Parameters
    ----------
    seams : tuple of Seam
        Seams of one layout.
    points : array (n, 2)
        Points along every line of the layout [mm].
    first : int
        Number of the first mark.
    """
    marks: list[Registration] = []
    for index, seam in enumerate(seams):
        if not long_enough(seam):
            continue
        for along in _places(seam, points):
            marks.append(Registration(first + len(marks), seam.point(along), index))
    return tuple(marks)


def _places(seam: Seam, points: NDArray[np.float64]) -> list[float]:
    """Distances along the seam where marks go, rising."""
    across, along = (points[:, 0], points[:, 1]) if seam.upright else (points[:, 1], points[:, 0])
    near = along[(np.abs(across - seam.at) < RING_OUTER_MM + 1.5)]
    low, high = seam.low + _BEFORE_MM + _FROM_END_MM, seam.high - _AFTER_MM - _FROM_END_MM
    grid = np.linspace(low, high, max(2, int(high - low) + 1))
    near = np.sort(near)
    # how many sampled points lie in the stretch that mark and number would take
    taken = np.searchsorted(near, grid + _AFTER_MM) - np.searchsorted(near, grid - _BEFORE_MM)
    size = high - low
    middle = np.linspace(low, high, 1 + max(2, ceil(size / _APART_MM)))[1:-1] if size >= 110.0 else ()
    short = seam.high - seam.low < LEAST_SEAM_MM
    wanted = [0.5 * (low + high)] if short else [low, high, *(float(v) for v in middle)]
    chosen: list[float] = []
    for target in wanted:
        apart = np.array([all(abs(g - c) >= _BEFORE_MM + _AFTER_MM for c in chosen) for g in grid])
        if not apart.any():
            continue
        # where no stretch is free of lines, the one not too far off that meets the least of them
        if taken[apart].min() > 0:
            near_target = apart & (np.abs(grid - target) <= 0.25 * size)
            apart = near_target if near_target.any() else apart
        fewest = apart & (taken == taken[apart].min())
        chosen.append(float(grid[fewest][np.argmin(np.abs(grid - target)[fewest])]))
    return sorted(chosen)


def mark_items(mark: Registration, seam: Seam) -> tuple[Item, ...]:
    """Return the strokes and texts of a mark in layout coordinates."""
    c = mark.at
    tag = f"registration {mark.number}"
    items: list[Item] = []
    for quarter in (0, 2):
        items.append(_sector(c, 0.0, CORE_MM, quarter * 0.5 * pi, 0.5 * pi, tag))
    bits = ring_code(mark.number)
    step = 2.0 * pi / SECTORS
    for k in range(SECTORS):
        if bits >> k & 1:
            items.append(_sector(c, RING_INNER_MM, RING_OUTER_MM, k * step, step, tag))
    # arms only outside the core: a line drawn over the edge of the quarters would shift it in the picture
    arms = tuple(
        Line(Point(c.x + a * CORE_MM, c.y + b * CORE_MM), Point(c.x + a * MARK_MM, c.y + b * MARK_MM))
        for a, b in ((1, 0), (0, 1), (-1, 0), (0, -1))
    )
    items.append(Stroke(arms, CROSS, tag=tag))
    height = 4.2
    label = str(mark.number)
    for side in (-1.0, 1.0):
        if seam.upright:
            # read from the right, along the seam
            base = c.x + (side * 1.2 if side < 0 else 1.2 + 0.73 * height)
            items.append(Text(label, Point(base, c.y + 5.4), height, angle_deg=90.0, bold=True, tag="mark number"))
        else:
            base = c.y + (1.2 if side > 0 else -1.2 - 0.73 * height)
            items.append(Text(label, Point(c.x + 5.4, base), height, bold=True, tag="mark number"))
    return tuple(items)


def _sector(c: Point, inner: float, outer: float, start: float, sweep: float, tag: str) -> Stroke:
    rim = arc_from_centre(c, outer, start, sweep)
    if inner == 0.0:
        segments: tuple[Segment, ...] = (Line(c, rim.start), rim, Line(rim.end, c))
    else:
        back = arc_from_centre(c, inner, start + sweep, -sweep)
        segments = (Line(back.end, rim.start), rim, Line(rim.end, back.start), back)
    return Stroke(segments, None, "#000000", closed=True, tag=tag)
