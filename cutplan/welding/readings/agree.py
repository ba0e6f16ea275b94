"""Whether readings agree with what the model can do, and which reading stands against the others."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import gammaincc

from cutplan.welding.readings.cloud import Floats, Read

#: Share of fair sets of readings that would be further off than what is still believed [1].
BELIEVED = 0.001
#: A single reading this many standard errors from what the others say of it stands against them [1].
STANDS_OUT = 4.0


@dataclass(frozen=True, slots=True, eq=False)
class Agreement:
    """How readings lie to what the draws predict for them.

    Parameters
    ----------
    agrees : bool
        Within what the draws and the errors of reading allow.
    share : float
        Share of fair sets of readings that would be further off [1].
    odd : tuple of int
        Readings that stand against all others; without them the others agree.
    off : ndarray (readings,)
        How far each reading is from what the others say of it, in standard errors [1].
    """

    agrees: bool
    share: float
    odd: tuple[int, ...]
    off: Floats


def agreement(predicted: Floats, read: Read) -> Agreement:
    r"""Return whether readings agree with the draws [1]_.

    .. math:: D^2 = (y - \bar h)^T (C + R)^{-1} (y - \bar h)

    Parameters
    ----------
    predicted : ndarray (draws, readings)
        Predictions, with mean and covariance C.
    read : Read
        Readings y with covariance R of their errors.

    Returns
    -------
    Agreement
        The verdict, by the chi-squared law with as many degrees of freedom as readings.

    References
    ----------
    .. [1] Prior predictive check on the squared Mahalanobis distance; one reading given the others by the inverse of the
       covariance. Textbook.
    """
    middle = predicted.mean(axis=0)
    spread = np.cov(predicted, rowvar=False).reshape(len(middle), len(middle)) + read.covariance
    inverse = np.asarray(np.linalg.inv(spread))
    rest = read.values - middle
    own = np.diag(inverse)
    off = inverse @ rest / np.sqrt(own)
    share = _share(inverse, rest)
    if share >= BELIEVED:
        return Agreement(True, share, (), off)
    odd = _odd(spread, rest, off)
    return Agreement(False, share, odd, off)


def _share(inverse: Floats, rest: Floats) -> float:
    """Share of the chi-squared law beyond the squared distance."""
    return float(gammaincc(0.5 * len(rest), 0.5 * max(float(rest @ inverse @ rest), 0.0)))


def _odd(spread: Floats, rest: Floats, off: Floats) -> tuple[int, ...]:
    """The one or two readings without which the others agree; none where that is not so."""
    if len(rest) < 3:
        return ()
    found: list[int] = []
    for _ in range(2):
        kept = np.array([i for i in range(len(rest)) if i not in found])
        inverse = np.linalg.inv(spread[np.ix_(kept, kept)])
        given = np.asarray(inverse @ rest[kept] / np.sqrt(np.diag(inverse)))
        worst = int(np.argmax(np.abs(given)))
        if abs(given[worst]) < STANDS_OUT:
            return ()
        found.append(int(kept[worst]))
        kept = np.delete(kept, worst)
        left = np.asarray(np.linalg.inv(spread[np.ix_(kept, kept)]))
        if _share(left, rest[kept]) >= BELIEVED and len(kept) >= 2:
            return tuple(sorted(found))
    return ()
