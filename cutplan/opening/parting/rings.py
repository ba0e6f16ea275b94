"""Plain rings of points: runs of a ruler inside them, and a ring parted along one such run."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from shapely import Polygon

#: A ring: its corners in order, the last joined to the first; shape (n, 2) [mm].
Ring = np.ndarray


class Run(NamedTuple):
    """A stretch of a ruler inside a ring.

    ``low`` and ``high`` are its ends along the ruler [mm], ``edges`` the indexes of the ring's edges that it ends on,
    ``place`` where the ruler lies [mm] and ``axis`` the coordinate that ``place`` is of.
    """

    axis: int
    place: float
    low: float
    high: float
    edges: tuple[int, int]

    @property
    def length_mm(self) -> float:
        return self.high - self.low


def ring_of(poly: Polygon) -> Ring:
    """Return the outline of a GEOS polygon as a counter-clockwise ring [mm]."""
    ring = np.asarray(poly.exterior.coords)[:-1]
    return ring if poly.exterior.is_ccw else ring[::-1]


def ring_area(ring: Ring) -> float:
    """Return the area inside a ring [mm2]."""
    x, y = (ring - ring[0]).T  # the first corner is the origin: the edge that closes the ring adds nothing
    return 0.5 * abs(float(np.dot(x[:-1], y[1:]) - np.dot(y[:-1], x[1:])))


def following(values: np.ndarray) -> np.ndarray:
    """Return the value at the next corner of a ring for each corner, (n,) or (n, 2)."""
    return np.concatenate((values[1:], values[:1]))


def preceding(values: np.ndarray) -> np.ndarray:
    """Return the value at the corner of a ring before each corner, (n,) or (n, 2)."""
    return np.concatenate((values[-1:], values[:-1]))


def crossings_at(ring: Ring, axis: int, places: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return where rulers cross a ring: (index of the ruler, coordinate along it [mm], index of the edge).

    Sorted by ruler, then along it: two and two in a row bound a run inside the ring. A ruler through a corner counts
    the corner for one of its two edges.
    """
    a, v = ring[:, axis], ring[:, 1 - axis]
    b, w = following(a), following(v)
    hit = (a[None, :] <= places[:, None]) != (b[None, :] <= places[:, None])
    ruler, edge = np.nonzero(hit)
    t = (places[ruler] - a[edge]) / (b[edge] - a[edge])
    along = v[edge] + t * (w[edge] - v[edge])
    order = np.lexsort((along, ruler))
    return ruler[order], along[order], edge[order]


def spans_at(ring: Ring, axis: int, places: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return the runs of rulers inside a ring: (index of the ruler, low end, high end [mm]) of each."""
    ruler, along, _ = crossings_at(ring, axis, places)
    return ruler[::2], along[::2], along[1::2]


def runs_at(ring: Ring, axis: int, places: np.ndarray) -> list[list[Run]]:
    """Return the runs of rulers inside a ring (n, 2), for each ruler (m,); shorter than 1 micrometre left out."""
    ruler, along, edge = crossings_at(ring, axis, places)
    out: list[list[Run]] = [[] for _ in places]
    for k, lo, hi, e, f in zip(
        ruler[::2].tolist(),
        along[::2].tolist(),
        along[1::2].tolist(),
        edge[::2].tolist(),
        edge[1::2].tolist(),
        strict=True,
    ):
        if hi - lo > 1e-3:
            out[k].append(Run(axis, float(places[k]), lo, hi, (e, f)))
    return out


def parted_at(ring: Ring, run: Run) -> tuple[Ring, Ring]:
    """Return the two rings that a run parts a counter-clockwise ring into: on the low and on the high side of it."""
    p, q = np.empty(2), np.empty(2)
    p[run.axis] = q[run.axis] = run.place
    p[1 - run.axis], q[1 - run.axis] = run.low, run.high
    rising = run.edges[0] < run.edges[1]
    (i, a), (j, b) = ((run.edges[0], p), (run.edges[1], q)) if rising else ((run.edges[1], q), (run.edges[0], p))
    first = np.vstack((a, ring[i + 1 : j + 1], b))
    second = np.vstack((b, ring[j + 1 :], ring[: i + 1], a))
    # the inside lies to the left of the run as the first ring goes along it
    return (first, second) if rising == (run.axis == 1) else (second, first)
