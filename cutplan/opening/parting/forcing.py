"""A piece of waste in its own axes, and the limits of a section that force it to be cut."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import sqrt
from typing import TYPE_CHECKING

import numpy as np

from cutplan.opening.parting.places import Limits
from cutplan.opening.parting.rings import Ring, following, ring_area, ring_of
from cutplan.opening.parting.split import as_polygon

if TYPE_CHECKING:
    from shapely import Polygon

#: A piece counts as too long when it is so much above the limit: what thinning the outline may have added [mm].
HAIR_MM = 0.2
#: Spacing of the points that stand for ribs [mm].
_RIB_MM = 2.0


@dataclass(frozen=True, slots=True)
class Forcing:
    """A piece of waste in its own axes, and the limits that force it to be cut.

    Parameters
    ----------
    ring : ndarray
        Outline [mm].
    longest_mm, heaviest_kg : float
        Limits of a section [mm], [kg].
    skin_kg_per_mm2 : float
        Mass of the skin per area.
    ribs, ribs_kg : ndarray
        Points along the ribs inside [mm] and the mass [kg] of each; empty where skin and ribs together are light.
    """

    ring: Ring
    longest_mm: float
    heaviest_kg: float
    skin_kg_per_mm2: float
    ribs: np.ndarray
    ribs_kg: np.ndarray

    @staticmethod
    def of(turned: Polygon, limits: Limits, angle_rad: float) -> Forcing:
        """Return the forcing of a piece of waste [mm] already turned by the negative of its axis' angle [rad]."""
        ring = ring_of(as_polygon(turned.simplify(0.5 * HAIR_MM)))
        spots, mass = [], []
        for path, per_mm in limits.ribs:
            for p, q in pairwise([p.turned(-angle_rad) for p in path]):
                n = max(1, round(p.distance(q) / _RIB_MM))
                t = (np.arange(n) + 0.5) / n
                spots.append(np.column_stack((p.x + t * (q.x - p.x), p.y + t * (q.y - p.y))))
                mass.append(np.full(n, per_mm * p.distance(q) / n))
        if spots:
            xy, kg = np.vstack(spots), np.concatenate(mass)
            inside = _inside(ring, xy) & (kg > 0.0)
            xy, kg = xy[inside], kg[inside]
            if ring_area(ring) * limits.skin_kg_per_mm2 + float(kg.sum()) > limits.heaviest_kg:
                return Forcing(ring, limits.longest_mm, limits.heaviest_kg, limits.skin_kg_per_mm2, xy, kg)
        return Forcing(
            ring, limits.longest_mm, limits.heaviest_kg, limits.skin_kg_per_mm2, np.empty((0, 2)), np.empty(0)
        )


def extents_mm(ring: Ring) -> np.ndarray:
    """Return the extents of a ring (n, 2) along both axes (2,) [mm]."""
    result: np.ndarray = ring.max(axis=0) - ring.min(axis=0)
    return result


def mass_kg(forcing: Forcing, ring: Ring, ribs: np.ndarray) -> float:
    """Return the mass of a piece (n, 2) with the ribs' points in it, given by index (m,) [kg]."""
    return ring_area(ring) * forcing.skin_kg_per_mm2 + float(forcing.ribs_kg[ribs].sum())


def ribs_inside(forcing: Forcing, ring: Ring, ribs: np.ndarray) -> np.ndarray:
    """Return which of the ribs' points, given by index (m,), lie inside a ring (n, 2)."""
    return ribs[_inside(ring, forcing.ribs[ribs])] if len(ribs) else ribs


def boxes_mm(ring: Ring, longest_mm: float, largest_mm2: float) -> float:
    """Return the length of cuts along and across that the sections' boxes need [mm].

    Parameters
    ----------
    ring : ndarray
        Outline of the piece [mm].
    longest_mm, largest_mm2 : float
        Largest extents [mm] and area [mm2] of a section.

    Notes
    -----
    Measured along the axes, a section of area a in a box of sides u and v is at least 2 (u + v) round, with u v >= a
    and both sides within the limit and within the piece: f(a) = 4 sqrt(a), or 2 (v + a / v) where the largest v is less
    than sqrt(a). All sections together are the piece's outline, measured so, and twice the cuts. f is concave: it is
    least in sum when all sections but one are as large as they may be.
    """
    u, v = sorted(np.minimum(extents_mm(ring), longest_mm).tolist())

    def around(area: float) -> float:
        return 4.0 * sqrt(area) if area <= u * u else 2.0 * (u + area / u)

    area, most = ring_area(ring), min(largest_mm2, u * v)
    count = int(area / most)
    rest = max(0.0, area - count * most)
    outline = float(np.abs(following(ring) - ring).sum())
    return max(0.0, 0.5 * (count * around(most) + around(rest) - outline))


def _inside(ring: Ring, xy: np.ndarray) -> np.ndarray:
    """Which points lie inside a ring, by the number of edges on one side of each."""
    x, y = ring[:, 0], ring[:, 1]
    x2, y2 = following(x), following(y)
    hit = (y[None, :] <= xy[:, 1:2]) != (y2[None, :] <= xy[:, 1:2])
    with np.errstate(divide="ignore", invalid="ignore"):
        at = x[None, :] + (xy[:, 1:2] - y[None, :]) / (y2 - y)[None, :] * (x2 - x)[None, :]
    result: np.ndarray = (hit & (at < xy[:, 0:1])).sum(axis=1) % 2 == 1
    return result
