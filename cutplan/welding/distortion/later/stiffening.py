"""How stiff the part is as sleeves and ribs are joined to it one after the other, with the brace on and with it let go.

With L the factor of the compliance of all springs in the turn in which they are joined, the stiffness of the first k of
them is L_k^-T L_k^-1. The stitched part's block of L^-1 is worked out once for all orders of the parts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.linalg.lapack import dtrtri

from cutplan.fem.mesh import Floats, Ints
from cutplan.fem.solve import add_square, lower_factor

#: Inverse of the lower factor of the stitched part's compliance, and its stiffness.
Begun = tuple[Floats, Floats]


@dataclass(frozen=True, slots=True, eq=False)
class Stiffening:
    """Inverse factors in several states, (states, springs, springs), and the stiffness of what is joined so far.

    ``start`` is the number of the first spring that counts: past the brace where it has let go.
    """

    start: int
    inverse: Floats
    stiffness: Floats
    joined: list[int]

    def upto(self, end: int) -> Floats:
        """Return the stiffness of the springs from the first that counts to an end, (states, springs, springs).

        Parameters
        ----------
        end : int
            Number past the last spring joined, in the turn in which they are; not before an earlier one.
        """
        done, size = self.joined[0], end - self.start
        if size > done:
            for inverse, stiffness in zip(self.inverse, self.stiffness, strict=True):
                add_square(stiffness, inverse[done:size], size)
            self.joined[0] = size
        return self.stiffness[:, :size, :size]


def begun(springs: Floats, start: int, stitched: int) -> Begun:
    """Return the stitched part's springs made ready, all of them joined.

    Parameters
    ----------
    springs : ndarray (springs, springs)
        Compliance: brace, stations, then sleeves and ribs.
    start, stitched : int
        Springs before those that count, and springs of the stitched part.
    """
    inverse = _inverse(springs[start:stitched, start:stitched].copy())
    return inverse, inverse.T @ inverse


def stiffening(springs: Sequence[Floats], first: Sequence[Begun], turn: Ints, start: int) -> Stiffening:
    """Return the stiffening of a part in several states.

    Parameters
    ----------
    springs : sequence of ndarray (springs, springs)
        Compliance in each state: brace, stations, then sleeves and ribs.
    first : sequence of (ndarray, ndarray)
        The stitched part in each state, as :func:`begun` gives it.
    turn : ndarray (springs,)
        Numbers of all springs in the turn in which they are joined: those of the stitched part as they are.
    start : int
        Springs before those that count.
    """
    old, count = len(first[0][0]), len(turn) - start
    inverse = np.zeros((len(springs), count, count))
    stiffness = np.zeros_like(inverse)
    stiffness[:, :old, :old] = [stiff for _, stiff in first]
    for found, compliance, (known, _) in zip(inverse, springs, first, strict=True):
        new = turn[start + old :]
        between = known @ compliance[np.ix_(turn[start : start + old], new)]
        own = _inverse(compliance[np.ix_(new, new)] - between.T @ between)
        found[:old, :old] = known
        found[old:, old:] = own
        found[old:, :old] = -own @ (between.T @ known)
    return Stiffening(start, inverse, stiffness, [old])


def _inverse(compliance: Floats) -> Floats:
    """Inverse of the lower factor, lower itself; the compliance is written over."""
    upper, info = dtrtri(lower_factor(compliance).T, lower=0, overwrite_c=1)
    if info:
        raise np.linalg.LinAlgError("the factor has a zero on its diagonal")
    return np.asarray(upper.T)
