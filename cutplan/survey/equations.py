"""Distances as linear equations: directions, the frame, and what a set of readings fixes before anything is read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutplan.errors import GeometryError
from cutplan.geometry.vector import Point
from cutplan.texts import say

Floats = NDArray[np.float64]
Ends = NDArray[np.int64]
#: A direction that changes the weighted readings by less than this share of the one that changes them most is not fixed.
_RANK = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Precision:
    """What readings fix, whatever they say.

    Parameters
    ----------
    rank, unknowns : int
        Of the equations; the points are fixed where they are equal.
    covariance : ndarray (2 n, 2 n)
        Of all coordinates, x and y in turn [mm2]; what is not fixed counts as known.
    revealed : ndarray (m, m)
        Share of the reading errors, each in its own standard errors, that residuals reveal: its diagonal holds the
        redundancy numbers [1], its rows tell which readings can be told apart.
    """

    rank: int
    unknowns: int
    covariance: Floats
    revealed: Floats

    @property
    def full(self) -> bool:
        """Whether every point is fixed."""
        return self.rank == self.unknowns


def frame_basis(points: Sequence[Point], frame: Sequence[int] = (), held: Sequence[int] = ()) -> Floats:
    """Return the directions in which coordinates may change, as orthonormal columns.

    Parameters
    ----------
    points : sequence of Point
        Where the points lie or are planned [mm].
    frame : sequence of int
        Points that hold the frame together: their mean place and mean turning stay.
    held : sequence of int
        Coordinates that stay: 2 k for x, 2 k + 1 for y of point k.

    Returns
    -------
    ndarray (2 n, u)
        One column for each unknown [1].
    """
    n = 2 * len(points)
    stay = set(held)
    free = np.eye(n)[:, [k for k in range(n) if k not in stay]]
    if not frame:
        return free
    from scipy.linalg import null_space

    at = np.array([tuple(points[f]) for f in frame], dtype=float)
    off = at - at.mean(axis=0)
    hold = np.zeros((3, n))
    columns = 2 * np.asarray(frame)
    hold[0, columns] = hold[1, columns + 1] = 1.0
    hold[2, columns], hold[2, columns + 1] = -off[:, 1], off[:, 0]
    size = np.linalg.norm(hold, axis=1)
    hold = hold[size > 0.0] / size[size > 0.0, None]
    return np.asarray(free @ null_space(hold @ free))


def directions(place: Floats, ends: Ends) -> tuple[Floats, Floats]:
    """Return the derivatives of distances by all coordinates (m, 2 n) and the distances (m,) [mm].

    Parameters
    ----------
    place : ndarray (n, 2)
        Where the points lie [mm].
    ends : ndarray (m, 2)
        The two points of each distance.

    Raises
    ------
    GeometryError
        When the two points of a distance lie at one place.
    """
    run = place[ends[:, 1]] - place[ends[:, 0]]
    size = np.hypot(run[:, 0], run[:, 1])
    if len(size) and float(size.min()) == 0.0:
        a, b = ends[int(size.argmin())]
        raise GeometryError(
            say("two points of a measured distance lie at one place"),
            where=say("points {first} and {second}", first=int(a), second=int(b)),
            hint=say("leave one of them out"),
        )
    unit = run / size[:, None]
    rows = np.zeros((len(ends), place.size))
    row = np.arange(len(ends))
    for axis in (0, 1):
        rows[row, 2 * ends[:, 0] + axis] = -unit[:, axis]
        rows[row, 2 * ends[:, 1] + axis] = unit[:, axis]
    return rows, size


def precision(rows: Floats, errors_mm: Floats, basis: Floats) -> Precision:
    r"""Return what distances fix, from their derivatives and their standard errors [1]_.

    .. math:: C = B (B^T A^T W A B)^{-1} B^T, \quad R = I - W^{1/2} A C A^T W^{1/2}

    Parameters
    ----------
    rows : ndarray (m, 2 n)
        Derivatives A of the distances by the coordinates [1].
    errors_mm : ndarray (m,)
        Standard errors of the readings [mm], W = 1 / s^2.
    basis : ndarray (2 n, u)
        Directions B in which coordinates may change.

    References
    ----------
    .. [1] Ghilani, Adjustment Computations, chapters on trilateration, error propagation and free networks (formulas
       from memory; it is the standard Gauss-Markov model).
    """
    unknowns = basis.shape[1]
    if not unknowns or not len(rows):
        n = len(basis)
        return Precision(0, unknowns, np.zeros((n, n)), np.eye(len(rows)))
    from scipy.linalg import svd

    u, size, vt = svd((rows / errors_mm[:, None]) @ basis, full_matrices=False, check_finite=False)
    good = size > _RANK * size[0]
    half = basis @ (vt[good].T / size[good])
    seen = u[:, good]
    return Precision(int(good.sum()), unknowns, half @ half.T, np.eye(len(rows)) - seen @ seen.T)


def foreseen(
    points: Sequence[Point],
    pairs: Sequence[tuple[int, int]],
    reading_mm: float,
    frame: Sequence[int] = (),
    held: Sequence[int] = (),
) -> Precision:
    """Return what distances between planned points will fix, before anything is measured.

    Parameters
    ----------
    points : sequence of Point
        Planned places [mm].
    pairs : sequence of (int, int)
        The two points of each distance.
    reading_mm : float
        Standard error of each reading [mm].
    frame, held : sequence of int
        As in :func:`frame_basis`.

    Raises
    ------
    GeometryError
        When the two points of a distance lie at one place.
    """
    place = np.array([tuple(p) for p in points], dtype=float)
    rows, _ = directions(place, np.array(pairs, dtype=np.int64).reshape(-1, 2))
    return precision(rows, np.full(len(pairs), reading_mm), frame_basis(points, frame, held))
