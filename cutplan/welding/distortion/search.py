"""Search over orders and directions: greedy start, then local search in batches, bounded by orders evaluated.

The bound is a count, not a clock, so the same seed gives the same answer on any machine.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.chain import Chain
from cutplan.welding.distortion.judge import Judge
from cutplan.welding.distortion.orders import Flags, Order, groups_of, people_orders
from cutplan.welding.distortion.scan import make_scanner, scores_of
from cutplan.welding.distortion.stations import Stations
from cutplan.welding.distortion.window import State, make_state, make_window

#: Orders evaluated together in a window, and as a whole.
BATCH, WIDE_BATCH = 40, 12
#: Beads in a window at most, and stations.
WINDOW_BEADS, WINDOW_STATIONS = 8, 18
#: One round in so many looks at changes over the whole order instead of a window.
WIDE_EVERY = 6
#: Rounds without gain before the best order is shaken.
PATIENCE = 16
#: Gain that counts [mm].
GAIN_MM = 1e-9
#: Random changes in a shake.
SHAKES = 3


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
        self.scanner = make_scanner(chain)

    def scores(self, orders: Sequence[Order], brace_off: bool = True) -> Floats:
        """Score of each order [mm]; all must hold the same number of stations."""
        self.count += len(orders)
        stations = self.chain.model.stations
        sequences = np.array([o.sequence(stations) for o in orders])
        return scores_of(self.judge, self.scanner.scan(sequences, brace_off))

    def scores_inside(self, state: State, orders: Sequence[Order], low: int, high: int) -> Floats:
        """Score of each order [mm]; they differ from the state's only between two places of beads."""
        self.count += len(orders)
        stations = self.chain.model.stations
        counts = stations.counts
        first = int(counts[orders[0].beads[:low]].sum())
        last = first + int(counts[orders[0].beads[low:high]].sum())
        sequences = np.array([o.part(low, high).sequence(stations) for o in orders])
        return scores_of(self.judge, make_window(state, first, last).scan(sequences))


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
    turnable: Flags = np.array([directions and b.kind == "stitch" for b in beads])
    starts = list(people_orders(beads).values())
    if not directions:
        starts = [Order(o.beads, np.zeros(len(o.beads), dtype=bool)) for o in starts]
    if counter.count + _greedy_cost(groups, turnable) < evaluations // 2:
        starts.append(_greedy(counter, groups, turnable))
    scores = counter.scores(starts)
    best, best_score = starts[int(np.argmin(scores))], float(scores.min())
    current, current_score, stalled, rounds = best, best_score, 0, 0
    random = np.random.default_rng(seed)
    lawful = _laws(chain)
    state = make_state(counter.scanner, current.sequence(chain.model.stations))
    while counter.count < evaluations:
        rounds += 1
        low, high = _bounds(groups, random)
        if rounds % WIDE_EVERY:
            low, high = _window(current, low, high, chain.model.stations, random)
            most = BATCH
        else:
            most = WIDE_BATCH
        batch = [_changed(current, low, high, turnable, random) for _ in range(min(most, evaluations - counter.count))]
        batch = [o for o in batch if lawful(o)] or [current]
        scores = counter.scores_inside(state, batch, low, high) if rounds % WIDE_EVERY else counter.scores(batch)
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
                shaken = _changed(current, *_bounds(groups, random), turnable, random)
                current = shaken if lawful(shaken) else current
            current_score = float(counter.scores([current])[0])
        if not stalled:
            state = make_state(counter.scanner, current.sequence(chain.model.stations))
    return Found(best, float(counter.scores([best])[0]), counter.count)


def _bounds(groups: list[Ints], random: np.random.Generator) -> tuple[int, int]:
    """First and last place of a group of beads, larger groups more often."""
    sizes = np.array([len(g) for g in groups])
    group = int(random.choice(len(groups), p=sizes / sizes.sum()))
    low = int(sizes[:group].sum())
    return low, low + int(sizes[group])


def _window(order: Order, low: int, high: int, stations: Stations, random: np.random.Generator) -> tuple[int, int]:
    """A run of places between low and high, short enough for a window."""
    size = int(random.integers(2, WINDOW_BEADS + 1))
    first = int(random.integers(low, max(low + 1, high - size + 1)))
    last = min(first + size, high)
    counts = stations.counts[order.beads[first:last]]
    while last > first + 2 and counts[: last - first].sum() > WINDOW_STATIONS:
        last -= 1
    return first, last


def _laws(chain: Chain) -> Callable[[Order], bool]:
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


def _changed(order: Order, low: int, high: int, turnable: Flags, random: np.random.Generator) -> Order:
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


def _greedy_cost(groups: list[Ints], turnable: Flags) -> int:
    return sum(len(g) * (len(g) + 1) // 2 * (2 if turnable[g].any() else 1) for g in groups)


def _greedy(counter: Counter, groups: list[Ints], turnable: Flags) -> Order:
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
