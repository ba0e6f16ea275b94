"""The order of the cuts: short moves between them, inner cuts before the outline that frees them.

Each stop (contour) has a few ways to be cut, each with its own pierce and its own end. An order names the stops and
the way chosen for each. Starting from the nearest neighbour, stops are moved and stretches reversed as long as that
shortens the way; between rounds the ways are chosen anew by an exact dynamic programme along the order. The result is
therefore never longer than the nearest neighbour's.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutplan.cutting.order.exact import exact_order
from cutplan.cutting.order.many import improve_many
from cutplan.cutting.order.moves import improve_few
from cutplan.errors import GeometryError
from cutplan.geometry.vector import Point

_Array = NDArray[np.float64]

#: Number of stops up to which every order is weighed exactly.
EXACT = 12
#: Number of stops up to which all moves are weighed at once, with kicks: 6 % shorter there than looking at near
#: neighbours only, which is 1 to 4 % shorter and ten times as fast beyond (measured on random plates).
FEW = 60
#: Random kicks for small plates (fixed seed, so the answer is always the same).
KICKS = 60


@dataclass(frozen=True, slots=True)
class Stops:
    """Stops to be ordered.

    Parameters
    ----------
    home : Point
        Where the torch waits before the first cut [mm].
    pierces, ends : tuple of arrays
        For each stop, the pierce and the end of each way to cut it, (ways, 2) [mm].
    before : tuple of (int, int)
        Pairs (a, b): stop a must be cut before stop b.
    """

    home: Point
    pierces: tuple[_Array, ...]
    ends: tuple[_Array, ...]
    before: tuple[tuple[int, int], ...] = ()

    def __len__(self) -> int:
        return len(self.pierces)


@dataclass(frozen=True, slots=True)
class Order:
    """An order: (stop, way) in turn, and the length of all moves from home to the last pierce [mm]."""

    turns: tuple[tuple[int, int], ...]
    rapid_mm: float


def short_order(stops: Stops) -> Order:
    """Return a short order of the stops that respects what must come before what.

    Parameters
    ----------
    stops : Stops
        At least one stop; the pairs must not run in a circle.

    Returns
    -------
    Order
        Exact up to twelve stops; never longer than the nearest neighbour's order.
    """
    if len(stops) <= EXACT:
        turns, length = exact_order(stops.home, stops.pierces, stops.ends, stops.before)
        return Order(turns, length)
    start = nearest_neighbour(stops)
    best = choose_ways(stops, [s for s, _ in start.turns])
    if len(stops) > FEW:
        sequence = improve_many(
            stops.home,
            np.array([p.mean(axis=0) for p in stops.pierces]),
            np.array([e.mean(axis=0) for e in stops.ends]),
            [s for s, _ in best.turns],
            stops.before,
        )
        found = choose_ways(stops, sequence)
        return min((found, best), key=lambda o: o.rapid_mm)
    best = _descend(stops, best)
    current, rng = best, random.Random(4)
    for _ in range(KICKS):
        kicked = _kicked([s for s, _ in current.turns], stops.before, rng)
        tried = _descend(stops, choose_ways(stops, kicked))
        if tried.rapid_mm < current.rapid_mm - 1e-9:
            current = tried
    return min((current, best), key=lambda o: o.rapid_mm)


def nearest_neighbour(stops: Stops) -> Order:
    """Return the order that always goes to the nearest pierce of a stop that may be cut next."""
    n = len(stops)
    waits = [0] * n
    frees: list[list[int]] = [[] for _ in range(n)]
    for a, b in stops.before:
        waits[b] += 1
        frees[a].append(b)
    counts = np.array([len(p) for p in stops.pierces])
    first = np.concatenate(([0], np.cumsum(counts)))
    pierces = np.concatenate(stops.pierces)
    owner = np.repeat(np.arange(n), counts)
    blocked = np.array([waits[s] > 0 for s in owner])
    at = np.array(stops.home, dtype=float)
    turns: list[tuple[int, int]] = []
    total = 0.0
    for _ in range(n):
        gaps = np.hypot(pierces[:, 0] - at[0], pierces[:, 1] - at[1])
        gaps[blocked] = np.inf
        k = int(gaps.argmin())
        if not np.isfinite(gaps[k]):
            raise GeometryError("the cuts wait for each other in a circle")
        stop, way = int(owner[k]), k - int(first[owner[k]])
        turns.append((stop, way))
        total += float(gaps[k])
        at = stops.ends[stop][way]
        blocked[first[stop] : first[stop + 1]] = True
        for b in frees[stop]:
            waits[b] -= 1
            if waits[b] == 0:
                blocked[first[b] : first[b + 1]] = False
    return Order(tuple(turns), total)


def choose_ways(stops: Stops, sequence: Sequence[int]) -> Order:
    """Return the best ways to cut the stops in a given sequence: exact, by a dynamic programme along it."""
    at = np.array([stops.home], dtype=float)
    cost = np.zeros(1)
    back: list[NDArray[np.intp]] = []
    for stop in sequence:
        p = stops.pierces[stop]
        table = cost[:, None] + np.hypot(at[:, 0, None] - p[None, :, 0], at[:, 1, None] - p[None, :, 1])
        back.append(table.argmin(axis=0))
        cost = table.min(axis=0)
        at = stops.ends[stop]
    way = int(cost.argmin())
    total = float(cost[way])
    turns: list[tuple[int, int]] = []
    for k in range(len(sequence) - 1, -1, -1):
        turns.append((sequence[k], way))
        way = int(back[k][way])
    return Order(tuple(reversed(turns)), total)


def _descend(stops: Stops, order: Order) -> Order:
    """Move and reverse for fixed ways, choose ways anew, until nothing gets shorter."""
    best = order
    while True:
        pierces = np.array([stops.pierces[s][w] for s, w in sorted(best.turns)])
        ends = np.array([stops.ends[s][w] for s, w in sorted(best.turns)])
        sequence = improve_few(stops.home, pierces, ends, [s for s, _ in best.turns], stops.before)
        tried = choose_ways(stops, sequence)
        if tried.rapid_mm >= best.rapid_mm - 1e-9:
            return best
        best = tried


def _kicked(sequence: list[int], before: Sequence[tuple[int, int]], rng: random.Random) -> list[int]:
    """Exchange two neighbouring stretches (a double bridge), then put back in front what must come first."""
    n = len(sequence)
    i, j, k = sorted(rng.sample(range(n + 1), 3))
    return repaired(sequence[:i] + sequence[j:k] + sequence[i:j] + sequence[k:], before)


def repaired(sequence: Sequence[int], before: Sequence[tuple[int, int]]) -> list[int]:
    """Return the sequence with every stop held back until all that must come before it is done."""
    waits = dict.fromkeys(sequence, 0)
    frees: dict[int, list[int]] = {s: [] for s in sequence}
    for a, b in before:
        waits[b] += 1
        frees[a].append(b)
    done: list[int] = []
    held: list[int] = []
    for s in sequence:
        if waits[s]:
            held.append(s)
            continue
        ready = [s]
        while ready:
            r = ready.pop(0)
            done.append(r)
            for b in frees[r]:
                waits[b] -= 1
                if waits[b] == 0 and b in held:
                    held.remove(b)
                    ready.append(b)
    if held:
        raise GeometryError("the cuts wait for each other in a circle")
    return done
