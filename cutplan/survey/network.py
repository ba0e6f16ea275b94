"""The one adjustment of observed distances: where points lie, how exactly, and which reading does not fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import log

import numpy as np

from cutplan.errors import GeometryError
from cutplan.geometry.vector import Point
from cutplan.survey.equations import Ends, Floats, Precision, directions, frame_basis, precision
from cutplan.texts import say

#: Standard error of one careful tape reading between marks [mm]. From memory: steel tape, half a millimetre.
TAPE_MM = 0.5
#: Normalised residual above which a reading counts as wrong: one right reading in a thousand is above it.
#: From memory: data snooping after Baarda, A testing procedure for use in geodetic networks (1968).
CRITICAL = 3.29
#: Share of a reading's error that must show in its residual for the reading to count as checked by others. Our own.
CHECKED = 0.05
#: A reading is blamed alone when it is at least so many times as likely to be the wrong one as any other [1]. Our own.
ODDS = 20.0
#: At most this share of the readings is left out, but always one. Our own.
MOST_OUT = 0.25
#: Standard error with which points are taken to lie where they were planned [mm]: so large that it only matters where the
#: readings leave them free. Our own.
PULL_MM = 1e4


@dataclass(frozen=True, slots=True)
class Distance:
    """A distance [mm] read between two points, by index, with its standard error [mm]."""

    a: int
    b: int
    mm: float
    error_mm: float = TAPE_MM


@dataclass(frozen=True, slots=True, eq=False)
class Adjusted:
    """Points after the adjustment.

    Parameters
    ----------
    points : tuple of Point
        Places that fit the readings best [mm].
    covariance : ndarray (2 n, 2 n)
        Of their coordinates, x and y in turn [mm2]. Readings that disagree make it larger; agreeing by luck does not make
        the tape better than it is.
    residuals_mm : tuple of float
        Read less computed, for each reading; of one left out, from the places found without it [mm].
    normalised : tuple of float
        Each residual in its own standard errors [1]; of one left out, when it was; 0 where no other reading checks it.
    redundancy : tuple of float
        Share of each reading's error that the others reveal [1].
    spare : int
        Readings used beyond the least needed.
    unit_error : float
        Root mean square of the residuals in standard errors, per spare reading [1]; 1 where none is spare.
    left_out : tuple of int
        Readings that do not fit the others, in the order they were left out.
    rivals : tuple of tuple of int
        For each of these, the readings that could as well be the wrong one.
    undecided : tuple of int
        Readings one of which is wrong, worst first, where nothing tells which; empty where all that are used agree.
    """

    points: tuple[Point, ...]
    covariance: Floats
    residuals_mm: tuple[float, ...]
    normalised: tuple[float, ...]
    redundancy: tuple[float, ...]
    spare: int
    unit_error: float
    left_out: tuple[int, ...]
    rivals: tuple[tuple[int, ...], ...]
    undecided: tuple[int, ...] = ()

    def error_mm(self, point: int) -> float:
        """Return the largest standard error of a point in any direction [mm]."""
        at = slice(2 * point, 2 * point + 2)
        return float(np.sqrt(max(0.0, np.linalg.eigvalsh(self.covariance[at, at])[-1])))

    def checked(self, reading: int) -> bool:
        """Return whether other readings would show that this one is wrong."""
        return self.redundancy[reading] > CHECKED


def adjust(
    start: Sequence[Point],
    readings: Sequence[Distance],
    frame: Sequence[int] = (),
    held: Sequence[int] = (),
    *,
    planned: bool = False,
) -> Adjusted:
    """Return where points lie that were measured against one another.

    Parameters
    ----------
    start : sequence of Point
        Places where the search begins [mm].
    readings : sequence of Distance
        What was read.
    frame : sequence of int
        Points that hold the frame together: their mean place and mean turning stay as they start.
    held : sequence of int
        Coordinates that stay: 2 k for x, 2 k + 1 for y of point k.
    planned : bool
        The start is a plan that the points keep to where the readings leave them free, and that tells, of readings that
        cannot be told apart, the one farthest from it as the wrong one.

    Raises
    ------
    GeometryError
        When the readings do not fix every point, or two points of a reading lie at one place.

    Notes
    -----
    Least squares with weights 1 / s^2 by a trust region method [1]_, over the directions that the frame leaves free.
    A reading is wrong when its residual is above 3.29 times its own standard error s sqrt(r), r its redundancy [2]_. The
    worst is left out and the rest adjusted again, as long as one stays spare and a quarter of the readings is not passed.
    Under one wrong reading the odds of two being it are exp((w_i^2 - w_j^2) / 2), w their test values: where they are
    below 20 for a reading whose misfit the worst one explains, none is left out, unless there is a plan.

    References
    ----------
    .. [1] Branch, Coleman and Li, SIAM J. Sci. Comput. 21(1), 1999, as implemented by scipy.
    .. [2] Baarda, A testing procedure for use in geodetic networks, 1968 (from memory).
    """
    basis = frame_basis(start, frame, held)
    used = list(range(len(readings)))
    dropped = _Dropped()
    while True:
        fit = _fitted(start, [readings[i] for i in used], basis, 1.0 / PULL_MM if planned else 0.0)
        if not (planned or fit.known.full):
            raise GeometryError(
                say("the distances do not fix every point: some can move without changing any of them"),
                hint=say("measure another distance to the point on a line with its two known ones"),
            )
        group = [used[k] for k in fit.worst_group()]
        fixed = fit.spare >= (1 if planned else 2) and len(dropped.out) < max(1, int(MOST_OUT * len(readings)))
        if not group or not fixed or (len(group) > 1 and not planned):
            return _result(readings, used, fit, dropped, tuple(group))
        far = [abs(readings[i].mm - start[readings[i].a].distance(start[readings[i].b])) for i in group]
        worst = group[int(np.argmax(far))] if planned else group[0]
        dropped.out.append((worst, float(fit.tests[used.index(worst)]), tuple(i for i in group if i != worst)))
        used.remove(worst)


@dataclass(slots=True)
class _Dropped:
    """Readings left out: index, test value then, rivals."""

    out: list[tuple[int, float, tuple[int, ...]]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Fit:
    """One adjustment of the readings in use."""

    place: Floats
    known: Precision
    tests: Floats
    misfit: Floats
    spare: int
    unit_error: float

    def worst_group(self) -> list[int]:
        """The reading that fits worst and those that cannot be told from it, or none where all fit."""
        worst = int(np.argmax(self.tests)) if len(self.tests) else -1
        if worst < 0 or self.tests[worst] <= CRITICAL:
            return []
        own = np.sqrt(np.maximum(np.diag(self.known.revealed), 1e-12))
        linked = np.clip(np.abs(self.known.revealed[worst]) / (own * own[worst]), 0.0, 1.0)
        # what is left of the others' test values when the worst is taken out: those that still stand out are wrong as well
        left = np.abs(self.tests - linked * self.tests[worst])
        explained = left <= CRITICAL * np.sqrt(1.0 - linked**2) + 1e-6
        alike = explained & (self.tests[worst] ** 2 - self.tests**2 < 2.0 * log(ODDS))
        return [worst, *(int(k) for k in np.flatnonzero(alike) if k != worst)]


def _fitted(start: Sequence[Point], readings: Sequence[Distance], basis: Floats, pull: float) -> _Fit:
    """Fit the points to readings, with a pull to where they start [1/mm] that only matters where readings leave them free."""
    plan = np.array([tuple(p) for p in start], dtype=float).reshape(-1, 2)
    ends: Ends = np.array([(r.a, r.b) for r in readings], dtype=np.int64).reshape(-1, 2)
    read = np.array([r.mm for r in readings], dtype=float)
    errors = np.array([r.error_mm for r in readings], dtype=float)
    origin = basis.T @ plan.ravel()

    def at(q: Floats) -> Floats:
        return np.asarray(plan + (basis @ (q - origin)).reshape(-1, 2))

    def misfits(q: Floats) -> Floats:
        off = (directions(at(q), ends)[1] - read) / errors
        return np.concatenate((off, pull * (q - origin))) if pull else np.asarray(off)

    def slopes(q: Floats) -> Floats:
        slope = (directions(at(q), ends)[0] / errors[:, None]) @ basis
        return np.vstack((slope, pull * np.eye(len(q)))) if pull else np.asarray(slope)

    place = plan
    if len(readings) and basis.shape[1]:
        from scipy.optimize import least_squares

        answer = least_squares(misfits, origin, slopes, xtol=1e-14, ftol=1e-15, gtol=1e-14, max_nfev=200)
        place = at(answer.x)
    rows, size = directions(place, ends)
    known = precision(rows, errors, basis)
    misfit = (read - size) / errors
    redundancy = np.diag(known.revealed)
    tests = np.where(redundancy > CHECKED, np.abs(misfit) / np.sqrt(np.maximum(redundancy, 1e-12)), 0.0)
    spare = len(readings) - known.rank
    unit = float(np.sqrt((misfit**2).sum() / spare)) if spare > 0 else 1.0
    return _Fit(place, known, tests, misfit, spare, unit)


def _result(
    readings: Sequence[Distance],
    used: Sequence[int],
    fit: _Fit,
    dropped: _Dropped,
    undecided: tuple[int, ...],
) -> Adjusted:
    points = tuple(Point(float(x), float(y)) for x, y in fit.place)
    residual = [r.mm - points[r.a].distance(points[r.b]) for r in readings]
    tests, redundancy = np.zeros(len(readings)), np.ones(len(readings))
    tests[list(used)] = fit.tests
    redundancy[list(used)] = np.clip(np.diag(fit.known.revealed), 0.0, 1.0)
    for index, test, _ in dropped.out:
        tests[index] = test
    return Adjusted(
        points,
        fit.known.covariance * max(1.0, fit.unit_error) ** 2,
        tuple(residual),
        tuple(tests.tolist()),
        tuple(redundancy.tolist()),
        fit.spare,
        fit.unit_error,
        tuple(index for index, _, _ in dropped.out),
        tuple(rivals for _, _, rivals in dropped.out),
        undecided,
    )
