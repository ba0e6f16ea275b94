"""Tangent lines and arcs for smooth curves: splines, ellipses, Bezier curves."""

from __future__ import annotations

from collections.abc import Callable
from math import hypot

import numpy as np

from cutplan.errors import GeometryError
from cutplan.geometry.fit.biarc import biarc, biarc_error, joined
from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Point
from cutplan.tolerance import FIT_MM

#: Part of the tolerance that the samples' own chords may use up.
_CHORD_PART = 0.05
#: Most samples of one curve.
MOST_SAMPLES = 400_000


def fit_curve(
    curve: Callable[[np.ndarray], np.ndarray],
    derivative: Callable[[np.ndarray], np.ndarray],
    first: float,
    last: float,
    tol_mm: float = FIT_MM,
) -> list[Segment]:
    """Return tangent lines and arcs within a tolerance of a smooth curve.

    The curve is sampled until its chords are twenty times finer than the tolerance, pairs of tangent arcs
    are laid through as many samples as they hold, and the result is measured again at samples between;
    where it fails, all is repeated with a stricter tolerance.

    Parameters
    ----------
    curve : callable
        Gives (n, 2) points [mm] for n parameters.
    derivative : callable
        Gives (n, 2) derivatives for n parameters; any length but zero.
    first, last : float
        Range of the parameter, first < last [-].
    tol_mm : float
        Largest distance from the curve [mm].

    Returns
    -------
    list[Segment]
        Chain from curve(first) to curve(last), tangent at every joint.

    Raises
    ------
    GeometryError
        When the curve is not finite, or too long to be sampled at the tolerance.
    """
    where, points = _sampled(curve, first, last, _CHORD_PART * tol_mm)
    tangents = derivative(where)
    between = curve(0.5 * (where[:-1] + where[1:]))
    inner = tol_mm * (1.0 - _CHORD_PART)
    for _ in range(4):
        segments, error = _laid(points, tangents, inner, between)
        if error <= tol_mm:
            return segments
        inner *= 0.7 * tol_mm / error
    raise GeometryError("a curve could not be replaced by arcs", hint="check it for cusps or use a wider tolerance")


def fit_samples(points: np.ndarray, tangents: np.ndarray, tol_mm: float = FIT_MM) -> list[Segment]:
    """Return tangent lines and arcs through dense samples of a smooth curve.

    Parameters
    ----------
    points : (n, 2) array
        Samples [mm], at least two.
    tangents : (n, 2) array
        Directions of travel at the samples, of any length but zero.
    tol_mm : float
        Largest distance from the samples [mm].
    """
    return _laid(np.asarray(points, dtype=float), np.asarray(tangents, dtype=float), tol_mm, None)[0]


def _sampled(
    curve: Callable[[np.ndarray], np.ndarray], first: float, last: float, chord_mm: float
) -> tuple[np.ndarray, np.ndarray]:
    where = np.linspace(first, last, 33)
    points = _finite(curve(where))
    while True:
        middle = 0.5 * (where[:-1] + where[1:])
        found = _finite(curve(middle))
        away = np.hypot(*(found - 0.5 * (points[:-1] + points[1:])).T)
        coarse = away > chord_mm
        if not coarse.any():
            return where, points
        if len(where) + int(coarse.sum()) > MOST_SAMPLES:
            raise GeometryError(f"a curve needs more than {MOST_SAMPLES} samples at this tolerance")
        place = np.flatnonzero(coarse) + 1
        where = np.insert(where, place, middle[coarse])
        points = np.insert(points, place, found[coarse], axis=0)


def _finite(points: np.ndarray) -> np.ndarray:
    if not np.isfinite(points).all():
        raise GeometryError("a curve holds a coordinate that is not a number")
    return points


def _laid(
    points: np.ndarray, tangents: np.ndarray, tol_mm: float, between: np.ndarray | None
) -> tuple[list[Segment], float]:
    """Greedy longest pairs of arcs; also the largest distance of the samples between [mm]."""
    size = np.hypot(tangents[:, 0], tangents[:, 1])
    if not np.all(size > 0.0):
        raise GeometryError("a curve comes to a stop: a tangent has no direction", hint="split it there")
    unit = [Point(x, y) for x, y in (tangents / size[:, None]).tolist()]
    place = [Point(x, y) for x, y in points.tolist()]
    last = len(place) - 1
    segments: list[Segment] = []
    error = 0.0
    i, guess = 0, 8

    def test(j: int) -> tuple[Segment, ...] | None:
        parts = biarc(place[i], unit[i], place[j], unit[j])
        if parts is None or sum(abs(getattr(s, "sweep", 0.0)) for s in parts) > 4.0:
            return None
        return parts if biarc_error(parts, points[i + 1 : j]) <= tol_mm else None

    while i < last:
        best, good = _longest(test, i, last - i, guess)
        guess = good
        if best is None:
            where = f"at ({place[i].x:.3f}, {place[i].y:.3f}) mm"
            raise GeometryError("a curve turns back on itself", where=where, hint="split it there")
        if between is not None:
            error = max(error, biarc_error(best, between[i : i + good]))
        for part in best:
            merged = joined(segments[-1], part) if segments else None
            if merged is None:
                segments.append(part)
            else:
                segments[-1] = merged
        i += good
    return segments, error


def _longest(
    test: Callable[[int], tuple[Segment, ...] | None], i: int, room: int, guess: int
) -> tuple[tuple[Segment, ...] | None, int]:
    best: tuple[Segment, ...] | None = None
    good, bad = 1, room + 1
    size = min(max(guess, 1), room)
    while size >= 1:
        found = test(i + size)
        if found is None:
            bad = size
            if best is not None or size == 1:
                break
            size //= 2
            continue
        good, best = size, found
        if size == room or (bad <= room and 2 * size >= bad):
            break
        size = min(2 * size, room)
    while best is not None and bad - good > 1:
        middle = (good + bad) // 2
        found = test(i + middle)
        if found is None:
            bad = middle
        else:
            good, best = middle, found
    return best, good


def ellipse(
    centre: Point, major: Point, ratio: float, first: float, last: float, tol_mm: float = FIT_MM
) -> list[Segment]:
    """Return tangent lines and arcs for (a part of) an ellipse.

    Parameters
    ----------
    centre : Point
        Centre [mm].
    major : Point
        Half axis from the centre to the end of the long (or any) axis [mm].
    ratio : float
        Length of the other half axis, turned a quarter turn to the left, over this one [-].
    first, last : float
        Range of the parameter angle, first < last [rad].
    tol_mm : float
        Largest distance from the ellipse [mm].

    Raises
    ------
    GeometryError
        When an axis has no length.
    """
    if hypot(*major) == 0.0 or ratio == 0.0:
        raise GeometryError("an ellipse with an axis of no length")
    minor = major.left().times(ratio)

    def curve(t: np.ndarray) -> np.ndarray:
        c, s = np.cos(t), np.sin(t)
        return np.column_stack((centre.x + c * major.x + s * minor.x, centre.y + c * major.y + s * minor.y))

    def derivative(t: np.ndarray) -> np.ndarray:
        c, s = np.cos(t), np.sin(t)
        return np.column_stack((c * minor.x - s * major.x, c * minor.y - s * major.y))

    return fit_curve(curve, derivative, first, last, tol_mm)
