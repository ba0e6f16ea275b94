"""Plain rings of points: runs of a ruler inside them, and a ring parted along one such run."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

#: A ring: its corners in order, the last joined to the first; shape (n, 2) [mm].
Ring = np.ndarray


@dataclass(frozen=True, slots=True)
class Run:
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


def ring_area(ring: Ring) -> float:
    """Return the area inside a ring [mm2]."""
    d = ring - ring[0]
    x, y = d[:, 0], d[:, 1]
    return 0.5 * abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))))


def crossings_at(ring: Ring, axis: int, places: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return where rulers cross a ring: (index of the ruler, coordinate along it [mm], index of the edge).

    Sorted by ruler, then along it: two and two in a row bound a run inside the ring. A ruler through a corner counts
    the corner for one of its two edges.
    """
    a, v = ring[:, axis], ring[:, 1 - axis]
    b, w = np.roll(a, -1), np.roll(v, -1)
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


def runs_at(ring: Ring, axis: int, places: np.ndarray) -> list[Run]:
    """Return the runs of rulers inside a ring, shorter than 1 micrometre left out."""
    ruler, along, edge = crossings_at(ring, axis, places)
    return [
        Run(axis, float(places[k]), float(lo), float(hi), (int(e), int(f)))
        for k, lo, hi, e, f in zip(ruler[::2], along[::2], along[1::2], edge[::2], edge[1::2], strict=True)
        if hi - lo > 1e-3
    ]


def parted_at(ring: Ring, run: Run) -> tuple[Ring, Ring]:
    """Return the two rings that a run parts a ring into."""
    p, q = np.empty(2), np.empty(2)
    p[run.axis] = q[run.axis] = run.place
    p[1 - run.axis], q[1 - run.axis] = run.low, run.high
    (i, p), (j, q) = sorted(((run.edges[0], p), (run.edges[1], q)), key=lambda e: e[0])
    first = np.vstack((p, ring[i + 1:j + 1], q))
    second = np.vstack((q, ring[j + 1:], ring[:i + 1], p))
    return first, second
