"""The least cut length that the job's limits allow: what no plan can beat."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, cos, pi, radians, sin, sqrt
from typing import TYPE_CHECKING

import numpy as np

from cutplan.opening.parting.places import Limits
from cutplan.opening.parting.rings import Ring, ring_of, spans_at
from cutplan.opening.parting.rows import rows_mm
from cutplan.opening.parting.split import turned_poly

if TYPE_CHECKING:
    from shapely import Polygon

#: Perimeter over area of the best shape inside a unit square, its corners rounded: 2 + sqrt(pi), exact.
SQUARE_CHEEGER = 2.0 + sqrt(pi)
_GRID = 240
#: Share kept of the sampled bound, for what falls between two samples.
SAMPLED = 0.99


@dataclass(frozen=True, slots=True)
class Forced:
    """What the section cuts cannot go below [mm]: straight cuts along and across, and cuts of any shape."""

    straight_mm: float
    any_mm: float


def forced_cuts(poly: Polygon, limits: Limits, angle_rad: float) -> Forced:
    """Return what the section cuts of a piece of waste cannot go below.

    Parameters
    ----------
    poly : shapely.Polygon
        Waste inside the kerf's path [mm].
    limits : Limits
        Largest extent L [mm] of a section along and across the opening's axis, and its mass.
    angle_rad : float
        Direction of that axis [rad].

    Notes
    -----
    1. Rows. A straight run of length l inside the waste, along the axis, holds points farther apart than L unless it
       is crossed m = ceil(l / L) - 1 times, the k-th time between ``end - (m - k + 1) L`` and ``start + k L``. Rows
       along the axis need cuts that extend across it, columns need cuts that extend along it: V and H together.
       Straight cuts along and across serve only one of the two, so they are at least V + H long.
    2. Cuts of any direction. With any field of angles a(x, y) a cut of extents (u, v) is at least u cos a + v sin a
       long; a is 45 degrees (and, in turn, other values) where rows and columns can share a crossing, 0 or 90 degrees
       where only one kind needs it.
    3. Perimeters. Each section lies in a square of side L, so its perimeter is at least (2 + sqrt(pi)) / L times its
       area, and at least 2 sqrt(pi / s) times it where the mass allows no more than the area s. All perimeters
       together are the waste's perimeter and twice the cuts. This bounds cuts of any shape.
    4. What holds for cuts of any shape holds for straight ones.
    """
    turned = turned_poly(poly, -angle_rad)
    per_area = SQUARE_CHEEGER / limits.longest_mm
    if limits.skin_kg_per_mm2 > 0.0:
        per_area = max(per_area, 2.0 * sqrt(pi * limits.skin_kg_per_mm2 / limits.heaviest_kg))
    around = max(0.0, 0.5 * (per_area * poly.area - poly.length))
    ring = ring_of(turned)
    straight = max(around, SAMPLED * rows_mm(ring, limits.longest_mm * (1.0 + 1e-9), _GRID))
    return Forced(straight, min(straight, max(around, SAMPLED * _shared_mm(ring, limits.longest_mm))))


def _shared_mm(ring: Ring, longest_mm: float) -> float:
    """Length [mm] that rows and columns need of cuts of any direction, which may serve both at a crossing."""
    (xmin, ymin), (xmax, ymax) = ring.min(axis=0).tolist(), ring.max(axis=0).tolist()
    if max(xmax - xmin, ymax - ymin) <= longest_mm:
        return 0.0
    dx, dy = (xmax - xmin) / _GRID, (ymax - ymin) / _GRID
    rows = _zones(ring, longest_mm, 0)
    cols = _zones(ring, longest_mm, 1)
    row_mask = _mask(rows, xmin, dx)
    both = row_mask & _mask(cols, ymin, dy).T
    # a cell counts as shared when any neighbour does: the samples are then on the safe side
    wide = np.pad(both, 1)
    n = _GRID
    shared = np.zeros_like(both)
    for i in range(3):
        for j in range(3):
            shared |= wide[i : i + n, j : j + n]
    row_shared = [bool(shared[i, a:b].any()) for i, a, b in _cells(rows, xmin, dx)]
    col_shared = [bool(shared[a:b, j].any()) for j, a, b in _cells(cols, ymin, dy)]
    alone = row_shared.count(False) * dy + col_shared.count(False) * dx
    v, h = row_shared.count(True) * dy, col_shared.count(True) * dx
    return float(alone + max(v * cos(radians(a)) + h * sin(radians(a)) for a in range(0, 91, 5)))


def _zones(ring: Ring, longest_mm: float, axis: int) -> list[tuple[int, float, float]]:
    """For each row: its index and, for each crossing that it needs, the interval where that crossing lies [mm]."""
    low, high = float(ring[:, 1 - axis].min()), float(ring[:, 1 - axis].max())
    sides = low + (high - low) / _GRID * (np.arange(_GRID) + 0.5)
    row, starts, ends = spans_at(ring, 1 - axis, sides)
    out: list[tuple[int, float, float]] = []
    for i, start, end in zip(row.tolist(), starts.tolist(), ends.tolist(), strict=True):
        if end - start > longest_mm:
            m = ceil((end - start) / longest_mm * (1.0 - 1e-9)) - 1
            out.extend((i, end - (m - k + 1) * longest_mm, start + k * longest_mm) for k in range(1, m + 1))
    return out


def _cells(zones: list[tuple[int, float, float]], origin: float, step: float) -> list[tuple[int, int, int]]:
    return [(i, max(0, int((a - origin) / step)), min(_GRID, int((b - origin) / step) + 1)) for i, a, b in zones]


def _mask(zones: list[tuple[int, float, float]], origin: float, step: float) -> np.ndarray:
    mask = np.zeros((_GRID, _GRID), dtype=bool)
    for i, a, b in _cells(zones, origin, step):
        mask[i, a:b] = True
    return mask
