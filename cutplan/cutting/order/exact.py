"""The shortest order by an exact dynamic programme over sets of stops already cut (after Held and Karp [1]_).

.. [1] M. Held and R. M. Karp, A dynamic programming approach to sequencing problems, J. SIAM 10 (1962) 196-210.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from cutplan.errors import LimitError
from cutplan.geometry.vector import Point

_Array = NDArray[np.float64]
#: Most stops for which the table of all sets is kept.
MOST = 14


def exact_order(
    home: Point, pierces: Sequence[_Array], ends: Sequence[_Array], before: Sequence[tuple[int, int]] = ()
) -> tuple[tuple[tuple[int, int], ...], float]:
    """Return the shortest order as (stop, way) turns, and its length from home to the last pierce [mm].

    Parameters
    ----------
    home : Point
        Where the torch starts [mm].
    pierces, ends : sequence of arrays
        For each stop, pierce and end of each way to cut it, (ways, 2) [mm].
    before : sequence of (int, int)
        Pairs (a, b): stop a before stop b.

    Raises
    ------
    LimitError
        Beyond 14 stops.
    """
    n = len(pierces)
    if n > MOST:
        raise LimitError(f"an exact order of {n} stops takes too long", hint=f"use at most {MOST}")
    counts = [len(p) for p in pierces]
    first = np.concatenate(([0], np.cumsum(counts)))
    owner = np.repeat(np.arange(n), counts)
    p, e = np.concatenate(pierces), np.concatenate(ends)
    step = np.hypot(e[:, 0, None] - p[None, :, 0], e[:, 1, None] - p[None, :, 1])  # from way to way
    needs = np.zeros(n, dtype=np.int64)
    for a, b in before:
        needs[b] |= 1 << a
    cost = np.full((1 << n, len(p)), np.inf)
    back = np.full((1 << n, len(p)), -1, dtype=np.int32)
    from_home = np.hypot(p[:, 0] - home.x, p[:, 1] - home.y)
    for s in range(n):
        if needs[s] == 0:
            cost[1 << s, first[s] : first[s + 1]] = from_home[first[s] : first[s + 1]]
    for done in range(1, 1 << n):
        row = cost[done]
        known = np.flatnonzero(np.isfinite(row))
        if len(known) == 0:
            continue
        table = row[known, None] + step[known]
        best = table.argmin(axis=0)
        value = table[best, np.arange(len(p))]
        for s in range(n):
            bit = 1 << s
            if done & bit or needs[s] & ~done:
                continue
            ways = slice(first[s], first[s + 1])
            better = value[ways] < cost[done | bit, ways]
            cost[done | bit, ways] = np.where(better, value[ways], cost[done | bit, ways])
            back[done | bit, ways] = np.where(better, known[best[ways]], back[done | bit, ways])
    done = (1 << n) - 1
    way = int(cost[done].argmin())
    total = float(cost[done, way])
    turns: list[tuple[int, int]] = []
    while way >= 0:
        stop = int(owner[way])
        turns.append((stop, way - int(first[stop])))
        way, done = int(back[done, way]), done & ~(1 << stop)
    return tuple(reversed(turns)), total
