"""Best fit of measured points to planned points by a turn and a shift (rigid, least squares), by formula."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, hypot, sqrt

from cutplan.errors import GeometryError
from cutplan.geometry.vector import Point


@dataclass(frozen=True, slots=True)
class Alignment:
    """The turn and shift that lay the measured points on the plan.

    Parameters
    ----------
    angle_rad : float
        Turn applied to the measured points, counter-clockwise [rad].
    shift : Point
        Shift applied after the turn [mm].
    fitted : tuple of Point
        The measured points laid on the plan [mm].
    deviation_mm : tuple of float
        Distance of each from its planned point [mm].
    rms_mm : float
        Root mean square of the deviations [mm].
    mirrored_rms_mm : float
        The same had the measured points been mirrored [mm]: much smaller than ``rms_mm`` means that hands were swapped.
    """

    angle_rad: float
    shift: Point
    fitted: tuple[Point, ...]
    deviation_mm: tuple[float, ...]
    rms_mm: float
    mirrored_rms_mm: float


def align(measured: Sequence[Point], plan: Sequence[Point]) -> Alignment:
    r"""Return the rigid best fit of measured points to planned ones, without mirroring [1]_.

    .. math:: \theta = \operatorname{atan2}\Big(\sum m_i \times p_i, \sum m_i \cdot p_i\Big)

    with both sets taken about their centroids; the shift carries the turned centroid onto the planned one.

    Parameters
    ----------
    measured, plan : sequence of Point
        The same points, measured and planned, at least two [mm]

    Returns
    -------
    Alignment
        Turn [rad], shift [mm], fitted points [mm] and deviations [mm]

    Raises
    ------
    GeometryError
        Fewer than two points, unequal numbers, or all points in one place.

    Notes
    -----
    Exact for any rigid motion. Needs two different points; with two the only deviation left is their distance.

    References
    ----------
    .. [1] K. S. Arun, T. S. Huang, S. D. Blostein, "Least-squares fitting of two 3-D point sets", IEEE Trans. PAMI 9(5)
       (1987) 698-700; the plane case has this closed form.
    """
    n = len(plan)
    if n < 2 or len(measured) != n:
        raise GeometryError("a best fit needs the same two or more points, measured and planned")
    cm = Point(sum(p.x for p in measured) / n, sum(p.y for p in measured) / n)
    cp = Point(sum(p.x for p in plan) / n, sum(p.y for p in plan) / n)
    pairs = [(m.minus(cm), p.minus(cp)) for m, p in zip(measured, plan, strict=True)]
    if all(hypot(*m) < 1e-9 for m, _ in pairs) or all(hypot(*p) < 1e-9 for _, p in pairs):
        raise GeometryError("all points of the best fit lie in one place")
    cross = sum(m.cross(p) for m, p in pairs)
    angle = atan2(cross, sum(m.dot(p) for m, p in pairs))
    shift = cp.minus(cm.turned(angle))
    fitted = tuple(m.turned(angle).plus(shift) for m in measured)
    deviation = tuple(f.distance(p) for f, p in zip(fitted, plan, strict=True))
    return Alignment(angle, shift, fitted, deviation, _rms(deviation), _mirrored_rms(pairs))


def _rms(deviation: Sequence[float]) -> float:
    return sqrt(sum(d * d for d in deviation) / len(deviation))


def _mirrored_rms(pairs: list[tuple[Point, Point]]) -> float:
    """Deviation left by the best fit of the mirrored points [mm]."""
    flipped = [(Point(-m.x, m.y), p) for m, p in pairs]
    angle = atan2(sum(m.cross(p) for m, p in flipped), sum(m.dot(p) for m, p in flipped))
    return _rms([m.turned(angle).distance(p) for m, p in flipped])
