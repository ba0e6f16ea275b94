"""Rows and columns of the waste: the length of straight cuts along and across that they need."""

from __future__ import annotations

import numpy as np

from cutplan.opening.parting.rings import Ring, following, preceding, spans_at

#: Rulers laid over a piece to sample its rows and columns.
_ROWS = 64


def turns_at(along: np.ndarray) -> np.ndarray:
    """Return where a ring turns back along an axis (n,) [mm], sorted: between these its runs neither part nor meet."""
    along = along[along != preceding(along)]
    step = along > preceding(along)
    spots = np.sort(along[step != following(step)])
    result: np.ndarray = spots[spots != preceding(spots)] if len(spots) > 1 else spots
    return result


def rows_mm(ring: Ring, longest_mm: float, rows: int = _ROWS) -> float:
    """Return the length of cuts along and across that the rows and columns of a piece need [mm]: V + H."""
    low, high = ring.min(axis=0), ring.max(axis=0)
    total = 0.0
    for axis in (0, 1):
        if high[1 - axis] - low[1 - axis] > longest_mm:
            # rulers between the places where the outline turns back: a row's length jumps only there
            spots = turns_at(ring[:, axis])
            spots = np.concatenate((spots[:1], spots[1:][spots[1:] - spots[:-1] > 1e-6]))
            bands = spots[1:] - spots[:-1]
            counts = np.ceil(bands / (high[axis] - low[axis]) * rows).astype(int)
            width = np.repeat(bands / counts, counts)
            rulers = low[axis] + np.cumsum(width) - 0.5 * width
            k, a, b = spans_at(ring, axis, rulers)
            total += float((width[k] * np.maximum(np.ceil((b - a) / longest_mm) - 1.0, 0.0)).sum())
    return total
