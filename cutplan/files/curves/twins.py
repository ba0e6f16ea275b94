"""Rows of numbers that agree within a tolerance, found without comparing each with each."""

from __future__ import annotations

import numpy as np

from cutplan.files.traces import Floats, Ints

#: Weights of the columns in the sum by which rows are sorted: square roots of primes, so that few sums fall together.
_WEIGHTS = np.sqrt(np.array([2.0, 3.0, 5.0, 7.0, 11.0, 13.0, 17.0]))
#: Part of a cell by which cells are moved, so that round numbers lie within them and not on their edges.
_OFF = 0.2137
#: Rows after each that are compared with it at most.
_AHEAD = 40


def first_alike(marks: Floats, tolerance: float) -> Ints:
    """Return for each row the index of the first row that agrees with it in every column (its own where none does).

    Parameters
    ----------
    marks : array (n, m)
        Rows of at most seven numbers.
    tolerance : float
        Largest difference in any column, in the unit of the rows [mm].
    """
    cells = np.floor(marks / tolerance + _OFF)
    _, first, owner = np.unique(cells, axis=0, return_index=True, return_inverse=True)
    alike: Ints = first[owner.reshape(-1)].astype(np.int64)
    rows = np.sort(first)
    weights = _WEIGHTS[: marks.shape[1]]
    total = (marks[rows] - marks[rows[0]]) @ weights
    order = np.argsort(total, kind="stable")
    total, rows = total[order], rows[order]
    sorted_marks = marks[rows]
    reach = tolerance * float(weights.sum())
    earlier = np.arange(len(marks), dtype=np.int64)
    for k in range(1, min(_AHEAD, len(rows) - 1) + 1):
        near = np.flatnonzero(total[k:] - total[:-k] <= reach)
        if not len(near):
            break
        near = near[np.abs(sorted_marks[near + k] - sorted_marks[near]).max(axis=1) <= tolerance]
        a, b = rows[near], rows[near + k]
        np.minimum.at(earlier, np.maximum(a, b), np.minimum(a, b))
    for _ in range(8):
        before = earlier
        earlier = earlier[earlier]
        if np.array_equal(before, earlier):
            break
    result: Ints = earlier[alike]
    return result
