"""Points from distances between them: least squares in a frame that some of the points hold together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutplan.errors import GeometryError
from cutplan.geometry.vector import Point
from cutplan.texts import code, say

Floats = NDArray[np.float64]
#: Normalised residual above which a reading counts as wrong [1]: data snooping after Baarda (1968), significance 0.001
#: (from memory).
CRITICAL = 3.29
_ROUNDS = 40


@dataclass(frozen=True, slots=True)
class Distance:
    """A distance [mm] read between two points, by index, with its standard error [mm]."""

    a: int
    b: int
    mm: float
    error_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Adjusted:
    """Points after the adjustment.

    Parameters
    ----------
    points : tuple of Point
        Places that fit the readings best [mm].
    covariance : ndarray (2 n, 2 n)
        Of their coordinates, x and y in turn [mm2].
    residuals_mm : tuple of float
        Read less computed, for each reading; of one left out, from the places found without it [mm].
    left_out : tuple of int
        Readings that do not fit the others, worst first.
    redundancy : tuple of float
        Share of each used reading's error that the others reveal [1].
    suspect : int or None
        The reading that fits worst where the readings disagree but too few are spare to say which is wrong.
    """

    points: tuple[Point, ...]
    covariance: Floats
    residuals_mm: tuple[float, ...]
    left_out: tuple[int, ...]
    redundancy: tuple[float, ...]
    suspect: int | None = None

    def error_mm(self, point: int) -> float:
        """Return the largest standard error of a point in any direction [mm]."""
        at = slice(2 * point, 2 * point + 2)
        return float(np.sqrt(max(0.0, np.linalg.eigvalsh(self.covariance[at, at])[-1])))


def adjust(start: Sequence[Point], readings: Sequence[Distance], frame: Sequence[int]) -> Adjusted:
    """Return where points lie that were measured against one another.

    Parameters
    ----------
    start : sequence of Point
        Planned places, where the search begins [mm].
    readings : sequence of Distance
        What was read.
    frame : sequence of int
        Points that hold the frame together, at least two: their mean place and mean turning stay as planned.

    Raises
    ------
    GeometryError
        When the readings do not fix every point.

    Notes
    -----
    Gauss-Newton on the distances with weights 1 / s^2; the frame by three conditions on the corrections of its points (no
    mean shift, no mean turn), in one bordered system whose inverse holds the covariance [1]_. A reading is wrong when its
    residual is above 3.29 times its own standard error s sqrt(r); the worst is left out and the rest adjusted again.

    References
    ----------
    .. [1] Ghilani, Adjustment Computations, chapters on trilateration and on free networks (formulas from memory).
    """
    used = list(range(len(readings)))
    out: list[int] = []
    while True:
        place, inverse, misfit, design = _solved(start, [readings[i] for i in used], frame)
        weight = np.array([1.0 / readings[i].error_mm for i in used])
        scaled = design * weight[:, None]
        redundancy = np.clip(1.0 - np.einsum("ij,jk,ik->i", scaled, inverse, scaled), 0.0, 1.0)
        checked = redundancy > 0.02
        test = np.where(checked, np.abs(misfit) * weight / np.sqrt(np.maximum(redundancy, 1e-12)), 0.0)
        worst = int(np.argmax(test)) if len(used) else -1
        spare = len(used) - (2 * len(start) - 3)
        if worst < 0 or test[worst] <= CRITICAL or spare < 2:
            break
        out.append(used.pop(worst))
    suspect = used[worst] if worst >= 0 and test[worst] > CRITICAL else None
    residual = [r.mm - float(np.hypot(*(place[r.b] - place[r.a]))) for r in readings]
    points = tuple(Point(float(x), float(y)) for x, y in place)
    return Adjusted(points, inverse, tuple(residual), tuple(out), tuple(redundancy.tolist()), suspect)


def _solved(
    start: Sequence[Point], readings: Sequence[Distance], frame: Sequence[int]
) -> tuple[Floats, Floats, Floats, Floats]:
    n = 2 * len(start)
    plan = np.array([(p.x, p.y) for p in start], dtype=float)
    place = plan.copy()
    weight = np.array([1.0 / r.error_mm for r in readings])
    held = plan[list(frame)]
    off = held - held.mean(axis=0)
    hold = np.zeros((3, n))
    for k, f in enumerate(frame):
        hold[0, 2 * f] = hold[1, 2 * f + 1] = 1.0
        hold[2, 2 * f : 2 * f + 2] = (-off[k, 1], off[k, 0])
    hold /= np.linalg.norm(hold, axis=1)[:, None]
    for _ in range(_ROUNDS):
        design, misfit = _equations(place, readings, n)
        scaled = design * weight[:, None]
        normal = scaled.T @ scaled
        bordered = np.block([[normal, hold.T], [hold, np.zeros((3, 3))]])
        if np.linalg.matrix_rank(bordered, tol=1e-9 * float(np.abs(bordered).max())) < n + 3:
            raise GeometryError(
                say("the distances do not fix every point: some can move without changing any of them"),
                hint=say("measure another distance to the point on a line with its two known ones"),
            )
        gap = -hold @ (place - plan).ravel()
        step = np.linalg.solve(bordered, np.concatenate([scaled.T @ (misfit * weight), gap]))[:n]
        place = place + step.reshape(-1, 2)
        if float(np.abs(step).max()) < 1e-10 * max(1.0, float(np.abs(plan).max())):
            break
    design, misfit = _equations(place, readings, n)
    scaled = design * weight[:, None]
    bordered = np.block([[scaled.T @ scaled, hold.T], [hold, np.zeros((3, 3))]])
    return place, np.asarray(np.linalg.inv(bordered)[:n, :n]), misfit, design


def _equations(place: Floats, readings: Sequence[Distance], n: int) -> tuple[Floats, Floats]:
    design, misfit = np.zeros((len(readings), n)), np.zeros(len(readings))
    for row, r in enumerate(readings):
        v = place[r.b] - place[r.a]
        size = float(np.hypot(*v))
        if size == 0.0:
            raise GeometryError(
                say("two points of a measured distance lie at one place"), where=code(f"{r.a} - {r.b}").text
            )
        misfit[row] = r.mm - size
        design[row, 2 * r.a : 2 * r.a + 2] = -v / size
        design[row, 2 * r.b : 2 * r.b + 2] = v / size
    return design, misfit
