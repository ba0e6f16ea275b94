"""Distances that hardly help are dropped one by one; what each leaves is foreseen from one matrix, kept up to date."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutplan.geometry.vector import Point
from cutplan.survey.equations import directions, foreseen

#: The worst error may grow by this factor [1].
_GROWTH = 1.2
#: Share of its error that a reading's residual must reveal: below it, nothing else fixes what it measures [1].
_FIXED = 1e-6
#: Most held places between which all pitches are measured; among more, each to its nearest.
_MOST_PITCHED, _NEAREST = 12, 4


def pitches(places: Sequence[Point], numbers: Sequence[int]) -> list[tuple[int, int]]:
    """Return the pairs of held places between which a tape is laid: all of few, among many each to its nearest four.

    Parameters
    ----------
    places : sequence of Point
        All points [mm].
    numbers : sequence of int
        Which of them are held places, ascending.
    """
    pairs = [(a, b) for i, a in enumerate(numbers) for b in numbers[i + 1 :]]
    if len(numbers) <= _MOST_PITCHED:
        return pairs
    at = np.array([tuple(places[k]) for k in numbers])
    apart = np.hypot(*(at[:, None, :] - at[None, :, :]).transpose(2, 0, 1))
    near = np.argsort(apart, axis=1, kind="stable")[:, 1 : _NEAREST + 1]
    wanted = {(min(i, j), max(i, j)) for i, row in enumerate(near.tolist()) for j in row}
    return [(numbers[i], numbers[j]) for i, j in sorted(wanted)]


def thinned(
    at: Sequence[Point], lines: list[tuple[int, int]], keep_first: int, reading_mm: float, frame: Sequence[int]
) -> list[tuple[int, int]]:
    r"""Return the lines that are worth measuring; the first ``keep_first`` (between marks) always stay.

    Parameters
    ----------
    at : sequence of Point
        Planned places [mm].
    lines : list of (int, int)
        The two points of each distance.
    keep_first : int
        How many of the first lines stay [1].
    reading_mm : float
        Standard error of a reading [mm].
    frame : sequence of int
        Points that hold the frame together.

    Notes
    -----
    Without reading k, of derivatives g and variance s^2, the covariance C becomes

    .. math:: C + \frac{C g g^T C}{s^2 - g^T C g}

    (Sherman and Morrison; exact). Two distances fix a point and the third checks it, so no point is left with fewer
    than three, and the worst standard error of a coordinate grows by less than a fifth in all.
    """
    rows, _ = directions(np.array([tuple(p) for p in at], dtype=float), np.array(lines, dtype=np.int64).reshape(-1, 2))
    covariance = foreseen(at, lines, reading_mm, frame).covariance
    variance = np.diag(covariance).copy()
    most = variance.max() * _GROWTH**2
    moved = covariance @ rows.T  # C g of each line, a column each
    ends = np.array(lines, dtype=np.int64).reshape(-1, 2)
    count = np.bincount(ends.ravel(), minlength=len(at))
    here = np.ones(len(lines), dtype=bool)
    while True:
        spare = reading_mm**2 - np.einsum("ki,ik->k", rows, moved)
        may = here & (count[ends].min(axis=1) > 3) & (spare > _FIXED * reading_mm**2)
        may[:keep_first] = False
        tried = np.flatnonzero(may)
        if len(tried) == 0:
            break
        worst = (variance[:, None] + moved[:, tried] ** 2 / spare[tried]).max(axis=0)
        # of equal ones the first
        best = int(np.flatnonzero(np.sqrt(worst) < np.sqrt(worst.min()) + 1e-9)[0])
        if worst[best] > most:
            break
        k = int(tried[best])
        lost = moved[:, k] / np.sqrt(spare[k])
        variance = variance + lost**2
        moved = moved + np.outer(lost, lost @ rows.T)
        here[k] = False
        count[ends[k]] -= 1
    return [line for line, stays in zip(lines, here.tolist(), strict=True) if stays]
