"""Ackermann geometry: the law, the departure of a pair of wheel angles from it, and the sliding gear that keeps it."""

from __future__ import annotations

import numpy as np

from cutplan.linkage.solved.vectors import Floats


def inner_asked(outer: Floats, wheelbase_mm: Floats | float, pivots_mm: Floats | float) -> Floats:
    """Return the inner wheel's angle [rad] that Ackermann geometry asks for at an outer wheel's angle.

    The axes of both front wheels meet on the line of the rear axle (ISO 8855:2011, 7.1.9, with rear wheels that do not
    steer), so ``cot(outer) - cot(inner) = pivots / wheelbase``.

    Parameters
    ----------
    outer : ndarray (any shape)
        Angle of the outer wheel, 0 to 90 degrees [rad].
    wheelbase_mm : ndarray (any shape) or float
        Distance of the axles [mm].
    pivots_mm : ndarray (any shape) or float
        Distance of the two steering axes on the road [mm].
    """
    ratio = np.asarray(pivots_mm) / np.asarray(wheelbase_mm)
    return np.asarray(np.arctan2(np.sin(outer), np.cos(outer) - ratio * np.sin(outer)))


def departure(left: Floats, right: Floats, wheelbase_mm: Floats | float, pivots_mm: Floats | float) -> Floats:
    """Return the inner wheel's angle less the one that Ackermann geometry asks for [rad]; negative: turned too little.

    Parameters
    ----------
    left, right : ndarray (any shape)
        Steer angles of the two wheels, positive to the left [rad].
    wheelbase_mm, pivots_mm : ndarray (any shape) or float
        Distance of the axles, distance of the two steering axes on the road [mm].
    """
    inner, outer = inner_outer(left, right)
    return np.asarray(inner - inner_asked(outer, wheelbase_mm, pivots_mm))


def percent(left: Floats, right: Floats, wheelbase_mm: Floats | float, pivots_mm: Floats | float) -> Floats:
    """Return ``100 (cot outer - cot inner) wheelbase / pivots`` [%]: 0 for parallel wheels, 100 for Ackermann geometry.

    Parameters
    ----------
    left, right : ndarray (any shape)
        Steer angles of the two wheels, positive to the left [rad]; not-a-number straight ahead.
    wheelbase_mm, pivots_mm : ndarray (any shape) or float
        Distance of the axles, distance of the two steering axes on the road [mm].
    """
    inner, outer = inner_outer(left, right)
    with np.errstate(invalid="ignore", divide="ignore"):
        cots = 1.0 / np.tan(outer) - 1.0 / np.tan(inner)
        return np.asarray(100.0 * cots * np.asarray(wheelbase_mm) / np.asarray(pivots_mm))


def inner_outer(left: Floats, right: Floats) -> tuple[Floats, Floats]:
    """Return the angles of the wheel inside and outside the turn, any shape, both positive in the sense of the turn [rad]."""
    to_left = left + right >= 0.0
    return np.where(to_left, left, -right), np.where(to_left, right, -left)
