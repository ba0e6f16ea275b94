"""Neighbours of an order: changes between two places, windows, laws, and restarts."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from cutplan.fem.mesh import Ints
from cutplan.welding.distortion.model.stations import Stations
from cutplan.welding.distortion.search.orders import Flags, Order

#: Beads in a window at most, and stations.
WINDOW_BEADS, WINDOW_STATIONS = 8, 18
#: How often beads of an earlier group are changed, against those of the last group [1].
FIRST_SHARE = 0.25

Law = Callable[[Order], bool]


def law_of(stations: Stations) -> Law:
    """Return a test whether every tack comes before the stitch that melts it."""
    pairs = {(int(stations.bead[t]), int(stations.bead[s])) for s, tacks in enumerate(stations.melts) for t in tacks}
    before = np.array(sorted(pairs), dtype=np.int64).reshape(-1, 2)

    def lawful(order: Order) -> bool:
        place = np.empty(len(order.beads), dtype=np.int64)
        place[order.beads] = np.arange(len(order.beads))
        return bool((place[before[:, 0]] < place[before[:, 1]]).all())

    return lawful


def key_of(order: Order) -> bytes:
    """Return what tells one order from another."""
    return (2 * order.beads + order.backward).astype(np.int16).tobytes()


def bounds(groups: list[Ints], random: np.random.Generator, first: int = 0) -> tuple[int, int]:
    """First and last place of a group of beads, larger groups more often; groups begin after the first places.

    Where tacks come first they are changed seldom: that costs a whole order each time and gains little.
    """
    sizes = np.array([len(g) for g in groups])
    weight = sizes.astype(float)
    weight[:-1] *= FIRST_SHARE
    group = int(random.choice(len(groups), p=weight / weight.sum()))
    low = first + int(sizes[:group].sum())
    return low, low + int(sizes[group])


def window(order: Order, low: int, high: int, stations: Stations, random: np.random.Generator) -> tuple[int, int]:
    """A run of places between low and high, short enough for a window."""
    size = int(random.integers(2, WINDOW_BEADS + 1))
    first = int(random.integers(low, max(low + 1, high - size + 1)))
    last = min(first + size, high)
    counts = stations.counts[order.beads[first:last]]
    while last > first + 2 and counts[: last - first].sum() > WINDOW_STATIONS:
        last -= 1
    return first, last


def reach(low: int, high: int, random: np.random.Generator) -> tuple[int, int]:
    """A run of places between low and high of any length, short ones more often."""
    size = round(float(np.exp(random.uniform(np.log(2.0), np.log(max(high - low, 2))))))
    first = int(random.integers(low, max(low + 1, high - size + 1)))
    return first, min(first + size, high)


def changed_far(order: Order, low: int, high: int, turnable: Flags, random: np.random.Generator) -> Order:
    """A neighbour, changed between two places as `changed` does, or, as often, a run moved as a whole."""
    if random.integers(2):
        return changed(order, low, high, turnable, random)
    i, j, k = sorted(int(v) for v in random.integers(low, high + 1, 3))
    return order.part(0, i).then(order.part(j, k)).then(order.part(i, j)).then(order.part(k, len(order.beads)))


def changed(order: Order, low: int, high: int, turnable: Flags, random: np.random.Generator) -> Order:
    """A neighbour, changed between two places: beads exchanged, moved, a run reversed, one or a run turned."""
    beads, backward = order.beads.copy(), order.backward.copy()
    i, j = sorted(int(v) for v in random.integers(low, high, 2))
    kind = int(random.integers(5))
    if kind >= 3 and not turnable[beads[low:high]].any():
        kind = int(random.integers(3))
    if kind == 0:
        beads[[i, j]], backward[[i, j]] = beads[[j, i]], backward[[j, i]]
    elif kind == 1:
        step = 1 if random.integers(2) else -1
        beads[i : j + 1], backward[i : j + 1] = np.roll(beads[i : j + 1], step), np.roll(backward[i : j + 1], step)
    elif kind == 2:
        beads[i : j + 1], backward[i : j + 1] = beads[i : j + 1][::-1].copy(), backward[i : j + 1][::-1].copy()
    elif kind == 3:
        backward[i] ^= turnable[beads[i]]
    else:
        backward[i : j + 1] ^= turnable[beads[i : j + 1]]
    return Order(beads, backward)


def shaken(
    order: Order,
    groups: list[Ints],
    turnable: Flags,
    changes: int,
    lawful: Law,
    random: np.random.Generator,
    first: int = 0,
) -> Order:
    """The order after some lawful random changes beyond its first places."""
    for _ in range(changes):
        other = changed(order, *bounds(groups, random, first), turnable, random)
        order = other if lawful(other) else order
    return order
