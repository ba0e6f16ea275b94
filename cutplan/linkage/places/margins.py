"""How far a place keeps from every limit, counted in standard errors of the figure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from cutplan.linkage.solved.vectors import Floats
from cutplan.linkage.study import Wish

#: Standard errors that a figure must keep from its limit to count as held: 98 of 100 readings, one side (normal law).
HELD = 2.0
#: A figure whose standard error is smaller than this share of its limit counts as known to that share [-].
_LEAST_SHARE = 1e-4
#: How sharply the least margin decides over the others [-].
_SHARP = 3.0


def margin(wish: Wish, value: Floats, error: Floats) -> Floats:
    """Return the distance from a limit, any shape, in standard errors [-], negative beyond it; minus infinity where nothing closes.

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
    """Return the margin of every wish, stacked along a first axis, (wishes, ...) [-]."""
    rows = [margin(w, values[w.figure], errors[w.figure]) for w in wishes]
    return np.stack(np.broadcast_arrays(*rows))


def score(found: Floats) -> Floats:
    """Return how good a place is from its margins [-]: close to the least of them, but the others count a little.

    ``-ln(sum(exp(-k m))) / k`` with k = 3: never above the least margin, never more than ``ln(n) / k`` below it. So of
    two places with nearly the same least margin the one is taken whose other limits lie farther away.

    Parameters
    ----------
    found : ndarray, shape (wishes, ...)
        Margins in standard errors [-]; minus infinity where nothing closes.
    """
    least = found.min(axis=0)
    with np.errstate(invalid="ignore"):
        soft = least - np.log(np.exp(-_SHARP * (found - least)).sum(axis=0)) / _SHARP
    return np.where(np.isfinite(least), soft, -np.inf)
