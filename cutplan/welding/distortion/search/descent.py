"""Search for a better order with metal that yields: from what people do and from elastic candidates, step by step.

Orders that begin alike share their first steps, so a change late in an order costs little. The bound is a count of
orders, not a clock: the same seed gives the same answer on any machine.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from cutplan.fem.mesh import Ints
from cutplan.welding.distortion.search.follower import Followed, Following, Left
from cutplan.welding.distortion.search.moves import (
    Law,
    bounds,
    changed,
    changed_far,
    key_of,
    law_of,
    reach,
    shaken,
    window,
)
from cutplan.welding.distortion.search.orders import Flags, Order, groups_of
from cutplan.welding.distortion.task import Bead

#: Orders without gain before the best one is shaken.
PATIENCE = 25
#: Changes in a row that were followed before, from which all around the current order counts as followed: it is shaken; and
#: from which all orders count as followed: the search ends.
AROUND, ALL_SEEN = 40, 400
#: Random changes in successive shakes.
SHAKES = (2, 3, 5)
#: One change in so many reaches over the whole order instead of a window.
WIDE_EVERY = 4
#: Gain that counts [mm].
GAIN_MM = 1e-6
#: Neighbours of an order that are followed together: steps of several cost little more than those of one.
BESIDE = 8
#: Orders over which the pace of the search is taken: more than its patience, so that it was shaken once.
PACE = 30
#: How much more patience, and orders for the pace, a search has that reaches far: its changes are of more kinds [1].
FAR_PATIENCE = 2.4

Progress = Callable[[int, int], None]


def turnable_of(beads: Sequence[Bead]) -> Flags:
    """Return which beads may be welded either way, (beads,)."""
    return np.array([b.kind == "stitch" and b.way == 0 for b in beads])


def descend(
    follower: Following[Left],
    starts: Sequence[Order],
    evaluations: int,
    seed: int,
    tacks_first: bool = True,
    directions: bool = True,
    progress: Progress | None = None,
    laid: int = 0,
    told_mm: float = 0.0,
    far: bool = False,
) -> Followed[Left]:
    """Return the best order found within a number of orders followed, the starts included.

    It ends before where nothing that can be told is left to gain: no score lies below zero, and a search that gained
    little is taken to go on at the same pace at best.

    Parameters
    ----------
    follower : Following
        Follows orders.
    starts : sequence of Order
        Orders to begin with.
    evaluations : int
        Orders that may be followed.
    seed : int
        Seed of every random choice.
    tacks_first : bool
        All tacks come before all stitches.
    directions : bool
        Stitches may be welded backward.
    progress : callable or None
        Called with orders followed and orders wanted.
    laid : int
        Beads at the beginning of every start that stay as they are.
    told_mm : float
        Least difference of two scores that can be told on the part; 0 looks to the last order [mm].
    far : bool
        Change runs of any length, and move runs as a whole: what many beads need.
    """
    stations, beads = follower.chain.model.stations, follower.chain.model.beads
    fixed = set(starts[0].beads[:laid].tolist())
    groups = [g for g in (g[[i not in fixed for i in g.tolist()]] for g in groups_of(beads, tacks_first)) if len(g)]
    turnable: Flags = turnable_of(beads) & directions
    lawful, random = law_of(stations), np.random.default_rng(seed)
    best = min(follower.follow_all(starts), key=lambda f: f.score)
    current, stalled, shakes, idle = best, 0, 0, 0
    scores: list[float] = []
    around = Around(follower, groups, turnable, lawful, random, laid, far)
    patience, pace = (round(v * (FAR_PATIENCE if far else 1.0)) for v in (PATIENCE, PACE))
    while follower.count < evaluations and idle < ALL_SEEN:
        if progress:
            progress(follower.count, evaluations)
        if not worth_while(best.score, scores, evaluations - follower.count, told_mm, pace):
            break
        wanted = min(BESIDE, evaluations - follower.count, patience - stalled)
        orders, idle = around.neighbours(current.order, wanted, stalled, idle)
        for tried in follower.follow_all(orders, current):
            scores.append(best.score)
            stalled += 1
            if tried.score < current.score - GAIN_MM:
                current, stalled = tried, 0
            if current.score < best.score - GAIN_MM:
                best, shakes = current, 0
        if (stalled >= patience or idle % AROUND == AROUND - 1) and follower.count < evaluations:
            order = shaken(best.order, groups, turnable, SHAKES[shakes % len(SHAKES)], lawful, random, laid)
            current, shakes, stalled = follower.follow(order, best), shakes + 1, 0
    return best


@dataclass(frozen=True, slots=True, eq=False)
class Around:
    """What neighbours of an order are made from: groups of beads, which may be turned, the law, random choices, first places.

    With ``far`` changes are of any length.
    """

    follower: Following[Any]
    groups: list[Ints]
    turnable: Flags
    lawful: Law
    random: np.random.Generator
    laid: int
    far: bool = False

    def neighbours(self, order: Order, wanted: int, stalled: int, idle: int) -> tuple[list[Order], int]:
        """Return lawful neighbours that were not followed yet, and how many changes in a row gave none.

        Parameters
        ----------
        order : Order
            The order.
        wanted : int
            Neighbours wanted; fewer where all around it seems to be followed.
        stalled, idle : int
            Orders without gain, and changes in a row that gave none, so far.
        """
        stations = self.follower.chain.model.stations
        found: dict[bytes, Order] = {}
        while len(found) < wanted and idle < ALL_SEEN:
            low, high = bounds(self.groups, self.random, self.laid)
            if (stalled + len(found) + 1) % WIDE_EVERY:
                low, high = (
                    reach(low, high, self.random) if self.far else window(order, low, high, stations, self.random)
                )
            change = changed_far if self.far else changed
            other = change(order, low, high, self.turnable, self.random)
            idle += 1
            if self.lawful(other) and self.follower.fresh(other) and key_of(other) not in found:
                found[key_of(other)] = other
                idle = 0
            elif idle % AROUND == AROUND - 1:
                break
        return list(found.values()), idle


def worth_while(best: float, before: Sequence[float], left: int, told_mm: float, pace: int = PACE) -> bool:
    """Return whether a search may still gain what can be told.

    Parameters
    ----------
    best : float
        Best score so far; none lies below zero [mm].
    before : sequence of float
        Best scores before each order that was followed, the starts left out [mm].
    left : int
        Orders that may still be followed.
    told_mm : float
        Least difference that can be told; 0 tells everything, and the search goes on to its last order [mm].
    pace : int
        Orders over which the pace is taken.
    """
    if told_mm <= 0.0:
        return True
    if best <= told_mm:
        return False
    if len(before) < pace:
        return True
    return (before[-pace] - best) / pace * left > told_mm
