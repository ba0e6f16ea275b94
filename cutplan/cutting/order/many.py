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
    way = _Way(points)
    looked = [True] * len(points)
    for _ in range(ROUNDS):
        moved = False
        for a in range(1, len(points)):
            if not looked[a]:
                continue
            looked[a] = False
            while way.reverse_after(a) or way.reverse_before(a) or way.move_piece(a):
                moved = True
                for b in way.around(a):
                    looked[b] = True
        if not moved:
            break
    return way.order


class _Way:
    """An open way through points, with what changes it: each change is made only where it shortens the way.

    ``order`` holds the stops as they follow each other, ``place`` where each stop stands in it, ``near`` the nearest
    others of each stop, nearest first.
    """

    def __init__(self, points: _Array) -> None:
        from scipy.spatial import cKDTree

        self.n = len(points)
        found = np.asarray(cKDTree(points).query(points, k=min(NEAR + 1, self.n))[1])
        # stops may coincide: then a stop is not always its own first neighbour
        self.near: list[list[int]] = [[c for c in row if c != a][:NEAR] for a, row in enumerate(found.tolist())]
        self.xs: list[float] = points[:, 0].tolist()
        self.ys: list[float] = points[:, 1].tolist()
        self.order = list(range(self.n))
        self.place = list(range(self.n))

    def gap(self, a: int, b: int) -> float:
        """Return the way between two stops [mm]; 0 beyond the end of the way, where there is none (-1)."""
        return hypot(self.xs[a] - self.xs[b], self.ys[a] - self.ys[b]) if a >= 0 and b >= 0 else 0.0

    def after(self, a: int) -> int:
        """Return the stop that follows, -1 after the last."""
        k = self.place[a] + 1
        return self.order[k] if k < self.n else -1

    def around(self, a: int) -> list[int]:
        """Return the stops that a change at ``a`` may have given a new chance."""
        i = self.place[a]
        return self.order[max(0, i - 2) : i + 3] + self.near[a]

    def reverse_after(self, a: int) -> bool:
        """Turn a stretch round so that ``a`` stands beside a near stop, both followed by their old next ones."""
        gap, i = self.gap, self.place[a]
        if i + 1 >= self.n:
            return False
        b = self.order[i + 1]
        old = gap(a, b)
        for c in self.near[a]:
            new = gap(a, c)
            if new >= old:
                break
            j, follows = self.place[c], self.after(c)
            if old - new + gap(c, follows) - gap(b, follows) > 1e-9:
                self._reverse(min(i, j) + 1, max(i, j))
                return True
        return False

    def reverse_before(self, a: int) -> bool:
        """Turn a stretch round so that ``a`` stands beside a near stop, both led to by their old previous ones."""
        gap, i = self.gap, self.place[a]
        if i == 0:
            return False
        b = self.order[i - 1]
        old = gap(a, b)
        for c in self.near[a]:
            new = gap(a, c)
            if new >= old:
                break
            j = self.place[c]
            if j == 0:
                continue
            p = self.order[j - 1]
            if old - new + gap(c, p) - gap(b, p) > 1e-9:
                self._reverse(min(i, j), max(i, j) - 1)
                return True
        return False

    def move_piece(self, a: int) -> bool:
        """Lift one to three stops that begin at ``a`` out of the way and put them beside a near stop."""
        i = self.place[a]
        for size in (1, 2, 3):
            if i == 0 or i + size > self.n:
                return False
            piece = self.order[i : i + size]
            before, last = self.order[i - 1], piece[-1]
            after = self.after(last)
            freed = self.gap(before, a) + (self.gap(last, after) - self.gap(before, after) if after >= 0 else 0.0)
            for end, other in ((a, last), (last, a)):
                to = self._better_place(piece, end, other, freed)
                if to is not None:
                    to_place, end_leads = to
                    self._shift(i, size, to_place, turned=size > 1 and end == (last if end_leads else a))
                    return True
        return False

    def _better_place(self, piece: list[int], end: int, other: int, freed: float) -> tuple[int, bool] | None:
        """Return where a piece costs less than it frees, with ``end`` beside a near stop, and whether ``end`` leads."""
        gap = self.gap
        for c in self.near[end]:
            new = gap(end, c)
            if new >= freed:
                return None
            if c in piece:
                continue
            j, follows = self.place[c], self.after(c)
            if follows != piece[0] and freed - new - gap(other, follows) + gap(c, follows) > 1e-9:
                return j + 1, True
            leads = self.order[j - 1] if j > 0 else -1
            if leads >= 0 and leads != piece[-1] and freed - new - gap(leads, other) + gap(leads, c) > 1e-9:
                return j, False
        return None

    def _reverse(self, first: int, last: int) -> None:
        self.order[first : last + 1] = self.order[first : last + 1][::-1]
        self._rewrite(first, last)

    def _shift(self, i: int, size: int, to: int, *, turned: bool) -> None:
        order = self.order
        piece = order[i : i + size]
        if turned:
            piece = piece[::-1]
        if to > i:
            order[i:to] = order[i + size : to] + piece
            self._rewrite(i, to - 1)
        else:
            order[to : i + size] = piece + order[to:i]
            self._rewrite(to, i + size - 1)

    def _rewrite(self, low: int, high: int) -> None:
        for k in range(low, high + 1):
            self.place[self.order[k]] = k
