"""Search over orders and directions: greedy start, then local search in batches, bounded by orders evaluated.

The bound is a count, not a clock, so the same seed gives the same answer on any machine.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.chain import Chain
from cutplan.welding.distortion.judge import Judge
from cutplan.welding.distortion.orders import Order, groups_of, people_orders

#: Orders evaluated together.
BATCH = 48
#: Batches without gain before the best order is shaken.
PATIENCE = 6
#: Gain that counts [mm].
GAIN_MM = 1e-9
#: Random changes in a shake.
SHAKES = 4


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """The best order met, its score [mm] and how many orders were evaluated."""

    order: Order
    score: float
    evaluations: int


class Counter:
    """Evaluates batches of orders and counts them."""

    def __init__(self, chain: Chain, judge: Judge) -> None:
        self.chain, self.judge, self.count = chain, judge, 0

    def scores(self, orders: Sequence[Order], brace_off: bool = True) -> Floats:
        """Score of each order [mm]; all must hold the same number of stations."""
        self.count += len(orders)
        stations = self.chain.model.stations
        sequences = np.array([o.sequence(stations) for o in orders])
        return self.judge.score(self.chain.pads_after(sequences, self.chain.middle, brace_off))


def search_order(
    chain: Chain, judge: Judge, evaluations: int, seed: int, tacks_first: bool = True, directions: bool = True
) -> Found:
    """Return the best order found within a number of evaluations.

    Parameters
    ----------
    chain : Chain
        The condensed model.
    judge : Judge
        What is minimised.
    evaluations : int
        Orders that may be evaluated, the people's orders and the greedy start included.
    seed : int
        Seed of every random choice.
    tacks_first : bool
        All tacks come before all stitches; else only before the stitch that melts them.
    directions : bool
        Stitches may be welded backward.
    """
    beads = chain.model.beads
    counter = Counter(chain, judge)
    groups = groups_of(beads, tacks_first)
    turnable = np.array([directions and b.kind == "stitch" for b in beads])
    starts = list(people_orders(beads).values())
    if not directions:
        starts = [Order(o.beads, np.zeros(len(o.beads), dtype=bool)) for o in starts]
    if counter.count + _greedy_cost(groups, turnable) < evaluations // 2:
        starts.append(_greedy(counter, groups, turnable))
    scores = counter.scores(starts)
    best, best_score = starts[int(np.argmin(scores))], float(scores.min())
    current, current_score, stalled = best, best_score, 0
    random = np.random.default_rng(seed)
    lawful = _laws(chain)
    while counter.count < evaluations:
        batch = [_changed(current, groups, turnable, random) for _ in range(min(BATCH, evaluations - counter.count))]
        batch = [o for o in batch if lawful(o)] or [current]
        scores = counter.scores(batch)
        lead = int(np.argmin(scores))
        if scores[lead] < current_score - GAIN_MM:
            current, current_score, stalled = batch[lead], float(scores[lead]), 0
        else:
            stalled += 1
        if current_score < best_score:
            best, best_score = current, current_score
        if stalled >= PATIENCE:
            current, stalled = best, 0
            for _ in range(SHAKES):
                shaken = _changed(current, groups, turnable, random)
                current = shaken if lawful(shaken) else current
            current_score = float(counter.scores([current])[0])
    return Found(best, best_score, counter.count)


def _laws(chain: Chain):  # type: ignore[no-untyped-def]
    """A test whether every tack comes before the stitch that melts it."""
    stations = chain.model.stations
    before = sorted(
        {(int(stations.bead[t]), int(stations.bead[s])) for s, tacks in enumerate(stations.melts) for t in tacks}
    )

    def lawful(order: Order) -> bool:
        place = np.empty(len(order.beads), dtype=np.int64)
        place[order.beads] = np.arange(len(order.beads))
        return all(place[t] < place[s] for t, s in before)

    return lawful


def _changed(order: Order, groups: list[Ints], turnable: Floats, random: np.random.Generator) -> Order:
    """A neighbour of an order: two beads exchanged, one moved, a run reversed, one turned, a run turned."""
    beads, backward = order.beads.copy(), order.backward.copy()
    sizes = np.array([len(g) for g in groups])
    group = int(random.choice(len(groups), p=sizes / sizes.sum()))
    low = int(sizes[:group].sum())
    high = low + int(sizes[group])
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


def _greedy_cost(groups: list[Ints], turnable: Floats) -> int:
    return sum(len(g) * (len(g) + 1) // 2 * (2 if turnable[g].any() else 1) for g in groups)


def _greedy(counter: Counter, groups: list[Ints], turnable: Floats) -> Order:
    """Add the bead, and direction, that leaves the pads best at that moment, group after group."""
    beads: list[int] = []
    flags: list[bool] = []
    for group in groups:
        left = [int(b) for b in group]
        while left:
            tries = [(b, turn) for b in left for turn in ((False, True) if turnable[b] else (False,))]
            orders = [Order(np.array([*beads, b]), np.array([*flags, turn])) for b, turn in tries]
            scores = np.empty(len(orders))
            for size in sorted({len(o.sequence(counter.chain.model.stations)) for o in orders}):
                same = [i for i, o in enumerate(orders) if len(o.sequence(counter.chain.model.stations)) == size]
                scores[same] = counter.scores([orders[i] for i in same], brace_off=False)
            bead, turn = tries[int(np.argmin(scores))]
            beads.append(bead)
            flags.append(turn)
            left.remove(bead)
    return Order(np.array(beads, dtype=np.int64), np.array(flags, dtype=bool))
