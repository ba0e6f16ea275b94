"""Shorten an order of hundreds to thousands of stops: reversals and moves to near neighbours only."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

import numpy as np
from numpy.typing import NDArray

from cutplan.geometry.vector import Point

_Array = NDArray[np.float64]
#: Near neighbours looked at for each stop.
NEAR = 8
#: Rounds over all stops at most.
ROUNDS = 40


def improve_many(
    home: Point, pierces: _Array, ends: _Array, sequence: Sequence[int], before: Sequence[tuple[int, int]]
) -> list[int]:
    """Return a shorter sequence, stop by stop of the same depth: what others wait for comes first, level by level.

    Parameters
    ----------
    home : Point
        Start of the way [mm].
    pierces, ends : array
        Mean pierce and mean end of each stop, (stops, 2) [mm]; a stop stands at the middle of the two.
    sequence : sequence of int
        A valid order.
    before : sequence of (int, int)
        Pairs that must keep their order.
    """
    level = _levels(len(sequence), before)
    middles = 0.5 * (pierces + ends)
    result: list[int] = []
    at = np.array(home, dtype=float)
    for depth in sorted(set(level)):
        group = [s for s in sequence if level[s] == depth]
        if len(group) > 2:
            points = np.vstack((at, middles[group]))
            group = [group[k - 1] for k in _shortened(points)[1:]]
        result.extend(group)
        at = middles[group[-1]]
    return result


def _levels(n: int, before: Sequence[tuple[int, int]]) -> list[int]:
    """Longest chain of pairs that leads to each stop."""
    level = [0] * n
    frees: list[list[int]] = [[] for _ in range(n)]
    waits = [0] * n
    for a, b in before:
        frees[a].append(b)
        waits[b] += 1
    ready = [s for s in range(n) if waits[s] == 0]
    while ready:
        a = ready.pop()
        for b in frees[a]:
            level[b] = max(level[b], level[a] + 1)
            waits[b] -= 1
            if waits[b] == 0:
                ready.append(b)
    return level


def _shortened(points: _Array) -> list[int]:
    """Return a short open way through all points that starts at the first."""
    from scipy.spatial import cKDTree

    n = len(points)
    found = np.asarray(cKDTree(points).query(points, k=min(NEAR + 1, n))[1])
    near = found[:, 1:].tolist()
    xs, ys = points[:, 0].tolist(), points[:, 1].tolist()
    order = list(range(n))
    place = list(range(n))

    def d(a: int, b: int) -> float:
        return hypot(xs[a] - xs[b], ys[a] - ys[b])

    def rewrite(low: int, high: int) -> None:
        for k in range(low, high + 1):
            place[order[k]] = k

    def reverse(i: int, j: int) -> None:
        order[i : j + 1] = order[i : j + 1][::-1]
        rewrite(i, j)

    def try_reversal(a: int) -> bool:
        i = place[a]
        if i + 1 < n:  # new link a - c, both followed by their old next ones
            b = order[i + 1]
            old = d(a, b)
            for c in near[a]:
                gap = d(a, c)
                if gap >= old:
                    break
                j = place[c]
                if j > i:
                    tail = d(c, order[j + 1]) - d(b, order[j + 1]) if j + 1 < n else 0.0
                    if old - gap + tail > 1e-9:
                        reverse(i + 1, j)
                        return True
                elif old - gap + d(c, order[j + 1]) - d(order[j + 1], b) > 1e-9:
                    reverse(j + 1, i)
                    return True
        if i > 0:  # new link a - c, both led to by their old previous ones
            b = order[i - 1]
            old = d(a, b)
            for c in near[a]:
                gap = d(a, c)
                if gap >= old:
                    break
                j = place[c]
                if j == 0:
                    continue
                p = order[j - 1]
                if old - gap + d(c, p) - d(b, p) > 1e-9:
                    if j > i:
                        reverse(i, j - 1)
                    else:
                        reverse(j, i - 1)
                    return True
        return False

    def try_move(a: int) -> bool:
        for size in (1, 2, 3):
            i = place[a]
            if i == 0 or i + size > n:
                return False
            piece = order[i : i + size]
            before_, last = order[i - 1], piece[-1]
            after = order[i + size] if i + size < n else -1
            freed = d(before_, a) + (d(last, after) - d(before_, after) if after >= 0 else 0.0)
            for end, other in ((a, last), (last, a)):
                for c in near[end]:
                    gap = d(end, c)
                    if gap >= freed:
                        break
                    if c in piece:
                        continue
                    j = place[c]
                    # put after c with `end` next to c, or before c
                    nxt = order[j + 1] if j + 1 < n else -1
                    if nxt != a:
                        cost = gap + (d(other, nxt) - d(c, nxt) if nxt >= 0 else 0.0)
                        if freed - cost > 1e-9:
                            _shift(i, size, j + 1, turned=end == last and size > 1)
                            return True
                    prv = order[j - 1] if j > 0 else -1
                    if prv >= 0 and prv != last:
                        cost = gap + d(prv, other) - d(prv, c)
                        if freed - cost > 1e-9:
                            _shift(i, size, j, turned=end == a and size > 1)
                            return True
        return False

    def _shift(i: int, size: int, to: int, *, turned: bool) -> None:
        piece = order[i : i + size]
        if turned:
            piece = piece[::-1]
        if to > i:
            order[i:to] = order[i + size : to] + piece
            rewrite(i, to - 1)
        else:
            order[to : i + size] = piece + order[to:i]
            rewrite(to, i + size - 1)

    looked = [True] * n
    for _ in range(ROUNDS):
        moved = False
        for a in range(1, n):
            if not looked[a]:
                continue
            looked[a] = False
            while try_reversal(a) or try_move(a):
                moved = True
                i = place[a]
                for k in range(max(0, i - 2), min(n, i + 3)):
                    looked[order[k]] = True
                for c in near[a]:
                    looked[c] = True
        if not moved:
            break
    return order
