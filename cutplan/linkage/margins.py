"""How far a place keeps from every limit, counted in standard errors of the figure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from cutplan.linkage.study import Wish
from cutplan.linkage.vectors import Floats

#: Standard errors that a figure must keep from its limit to count as held: 98 of 100 readings, one side (normal law).
HELD = 2.0
#: A figure whose standard error is smaller than this share of its limit counts as known to that share [-].
_LEAST_SHARE = 1e-4


def margin(wish: Wish, value: Floats, error: Floats) -> Floats:
    """Return the distance from a limit in standard errors [-], negative beyond it; minus infinity where nothing closes.

    Parameters
    ----------
    wish : Wish
        The limit.
    value, error : ndarray
        The figure and its standard error, in the unit of the limit [mm, deg or %].
    """
    room = value - wish.limit if wish.kind == "at least" else wish.limit - value
    least = _LEAST_SHARE * max(abs(wish.limit), 1.0)
    with np.errstate(invalid="ignore"):
        out = room / np.maximum(error, least)
    return np.where(np.isfinite(out), out, -np.inf)


def margins(wishes: Sequence[Wish], values: Mapping[str, Floats], errors: Mapping[str, Floats]) -> Floats:
    """Return the margin of every wish, stacked along a first axis [-]."""
    rows = [margin(w, values[w.figure], errors[w.figure]) for w in wishes]
    return np.stack(np.broadcast_arrays(*rows))
