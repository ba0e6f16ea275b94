"""Where fitted segments should end: the places, among all that keep their number, where they fit best."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import TypeAlias

from cutplan.geometry.fit.run import Run
from cutplan.geometry.segment import Segment

Test: TypeAlias = Callable[[Run, int, int, float], Segment | None]

#: Most segments whose ends are moved; beyond, they stay where they fell.
MOST_SETTLED = 1000
#: Candidates looked at for each end in the first pass.
_CANDIDATES = 9


def settled(run: Run, latest: list[int], earliest: list[int], tol_mm: float, test: Test) -> list[int]:
    """Return the ends of segments moved to where the misfits are least.

    Parameters
    ----------
    run : Run
        The polyline.
    latest : list[int]
        Vertices where segments end when each is made as long as possible from the first vertex on.
    earliest : list[int]
        The same from the last vertex backwards: each end may lie anywhere between its two.
    tol_mm : float
        Tolerance of the test [mm].
    test : callable
        Whether a segment may stand for the chords between two vertices.
    """
    if not 2 < len(latest) <= MOST_SETTLED:
        return latest
    ends = latest
    if len(earliest) == len(latest):
        ends = _least(run, latest, earliest, tol_mm)
        if not all(j - i == 1 or test(run, i, j, tol_mm) for i, j in pairwise(ends)):
            ends = latest
    return _balanced(run, list(ends), tol_mm, test)


def _least(run: Run, latest: list[int], earliest: list[int], tol_mm: float) -> list[int]:
    """Least sum of squared misfits over a few candidates for each end, by dynamic programming."""
    layers = [_spread(min(a, b), max(a, b)) for a, b in zip(earliest, latest, strict=True)]
    cost = [0.0]
    trace: list[list[int]] = []
    for before, here in pairwise(layers):
        costs, links = [], []
        for b in here:
            options = [
                (c + run.misfit(a, b, tol_mm) ** 2, k)
                for k, (a, c) in enumerate(zip(before, cost, strict=True))
                if a < b
            ]
            total, link = min(options, default=(float("inf"), 0))
            costs.append(total)
            links.append(link)
        cost = costs
        trace.append(links)
    place = 0
    ends = [layers[-1][0]]
    for links, before in zip(reversed(trace), reversed(layers[:-1]), strict=True):
        place = links[place]
        ends.append(before[place])
    return ends[::-1]


def _spread(first: int, last: int) -> list[int]:
    """Up to nine whole numbers from first to last, both included."""
    if last - first < _CANDIDATES:
        return list(range(first, last + 1))
    return [first + (last - first) * k // (_CANDIDATES - 1) for k in range(_CANDIDATES)]


def _balanced(run: Run, ends: list[int], tol_mm: float, test: Test) -> list[int]:
    """Move each inner end to the vertex where the misfits on both sides balance, twice over."""
    for _ in range(2):
        for k in range(1, len(ends) - 1):
            i, j = ends[k - 1], ends[k + 1]
            if j - i == 2:
                continue
            low, high = i + 1, j - 1
            while low < high:
                middle = (low + high) // 2
                if run.misfit(i, middle, tol_mm) >= run.misfit(middle, j, tol_mm):
                    high = middle
                else:
                    low = middle + 1

            def worst(b: int, i: int = i, j: int = j) -> float:
                return max(run.misfit(i, b, tol_mm), run.misfit(b, j, tol_mm))

            best = min((ends[k], low, max(low - 1, i + 1)), key=worst)
            if best != ends[k] and all(n - m == 1 or test(run, m, n, tol_mm) for m, n in ((i, best), (best, j))):
                ends[k] = best
    return ends
