"""Where measured points lie when only distances between them were taken, and which reading does not fit the others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from cutplan.geometry.vector import Point

#: Standard deviation of one tape reading over a punched centre [mm] (common practice, no source).
TAPE_MM = 0.5
#: A reading whose residual exceeds this many standard deviations is named [1] (Baarda 1968, 0.1 %; from memory).
CRITICAL = 3.29
#: Below this share of its own control, a reading is not checked by the others [1].
_UNCHECKED = 1e-3
#: Ratios that differ by less than this share cannot tell two readings apart.
_ALIKE = 0.05


@dataclass(frozen=True, slots=True)
class Network:
    """Points found from distances.

    Parameters
    ----------
    points : tuple of (str, Point)
        Each point's place that fits the readings and moves least from the plan [mm].
    residual_mm : tuple of float
        What each reading differs from the places found [mm]; of a rejected reading, from the places found without it.
    rejected : tuple of int
        Indices of readings that do not fit the others, worst first.
    rivals : tuple of tuple of int
        For each rejected reading, those that could as well be the wrong one: the readings alone cannot tell them
        apart, so the one farthest from the plan was rejected.
    unchecked : tuple of int
        Indices of readings that no other reading controls.
    """

    points: tuple[tuple[str, Point], ...]
    residual_mm: tuple[float, ...]
    rejected: tuple[int, ...]
    rivals: tuple[tuple[int, ...], ...]
    unchecked: tuple[int, ...]


def adjust(
    plan: Sequence[tuple[str, Point]], distances: Sequence[tuple[str, str, float]], sigma_mm: float = TAPE_MM
) -> Network:
    r"""Return the places of points from distances between them, moving as little as possible from the plan [1]_.

    .. math:: \min \sum (d_i - |p_a - p_b|)^2, \quad \text{then} \min \sum |p - p_{plan}|^2

    Least squares with the smallest correction: no point is held, so the answer is also the rigid best fit to the plan.
    The reading with the largest residual over its own standard deviation is set aside while that ratio exceeds 3.29.

    Parameters
    ----------
    plan : sequence of (str, Point)
        Planned places of the points named by the readings [mm]
    distances : sequence of (str, str, float)
        Two names and the measured distance [mm]
    sigma_mm : float
        Standard deviation of one reading [mm]

    Returns
    -------
    Network
        Places [mm], residuals [mm], and what was rejected or unchecked

    Notes
    -----
    Readings that do not control each other are all believed. At most a quarter of the readings is set aside.

    References
    ----------
    .. [1] W. Baarda, "A testing procedure for use in geodetic networks", Netherlands Geodetic Commission 2(5), 1968
       (from memory); minimum-norm least squares as for any free network.
    """
    names = [n for n, _ in plan]
    start = np.array([[p.x, p.y] for _, p in plan], dtype=float)
    index = {n: i for i, n in enumerate(names)}
    ends = np.array([[index[a], index[b]] for a, b, _ in distances], dtype=int).reshape(-1, 2)
    measured = np.array([d for _, _, d in distances], dtype=float)
    kept = np.ones(len(measured), dtype=bool)
    from_plan = np.abs(measured - _lengths(start, ends))
    rejected: list[int] = []
    rivals: list[tuple[int, ...]] = []
    while True:
        place, jacobian = _solve(start, ends[kept], measured[kept])
        where = np.flatnonzero(kept)
        if not len(where):
            break
        residual = measured[kept] - _lengths(place, ends[kept])
        control = 1.0 - np.einsum("ij,ji->i", jacobian, np.linalg.pinv(jacobian, rcond=1e-9))
        ratio = np.where(
            control > _UNCHECKED, np.abs(residual) / (sigma_mm * np.sqrt(np.maximum(control, _UNCHECKED))), 0.0
        )
        highest = float(ratio.max())
        if highest <= CRITICAL or len(rejected) >= max(1, len(measured) // 4):
            break
        alike = where[ratio >= (1.0 - _ALIKE) * highest]
        worst = int(alike[np.argmax(from_plan[alike])])
        rejected.append(worst)
        rivals.append(tuple(int(i) for i in alike if i != worst))
        kept[worst] = False
    residual_all = measured - _lengths(place, ends)
    unchecked = tuple(int(i) for i in where[control <= _UNCHECKED]) if len(where) else ()
    points = tuple((n, Point(float(x), float(y))) for n, (x, y) in zip(names, place, strict=True))
    return Network(points, tuple(float(r) for r in residual_all), tuple(rejected), tuple(rivals), unchecked)


def _lengths(place: NDArray[np.float64], ends: NDArray[np.int64]) -> NDArray[np.float64]:
    across = place[ends[:, 0]] - place[ends[:, 1]]
    return np.hypot(across[:, 0], across[:, 1])


def _solve(
    start: NDArray[np.float64], ends: NDArray[np.int64], measured: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Gauss-Newton from the plan; each step is the smallest that fits."""
    place = start.copy()
    jacobian = np.zeros((len(measured), start.size))
    for _ in range(30):
        across = place[ends[:, 0]] - place[ends[:, 1]]
        length = np.maximum(np.hypot(across[:, 0], across[:, 1]), 1e-9)
        unit = across / length[:, None]
        jacobian = np.zeros((len(measured), start.size))
        row = np.arange(len(measured))
        for axis in (0, 1):
            jacobian[row, 2 * ends[:, 0] + axis] = unit[:, axis]
            jacobian[row, 2 * ends[:, 1] + axis] = -unit[:, axis]
        if not len(measured):
            break
        step = np.linalg.lstsq(jacobian, measured - length, rcond=1e-9)[0].reshape(-1, 2)
        place = place + step
        if float(np.abs(step).max()) < 1e-9 * max(1.0, sqrt(start.size)):
            break
    return place, jacobian
