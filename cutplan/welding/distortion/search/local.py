"""Search over orders and directions: greedy start, then local search in batches, bounded by orders evaluated.

The bound is a count, not a clock, so the same seed gives the same answer on any machine. No order is evaluated twice
within one search.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.chain.elastic import Chain
from cutplan.welding.distortion.chain.scan import make_scanner, scores_of
from cutplan.welding.distortion.chain.window import State, make_state, make_window
from cutplan.welding.distortion.search.judge import Judge
from cutplan.welding.distortion.search.moves import Law, bounds, changed, key_of, law_of, mixed, shaken, window
from cutplan.welding.distortion.search.orders import Flags, Order, groups_of, people_orders

#: Orders evaluated together in a window, and as a whole.
BATCH, WIDE_BATCH = 32, 6
#: One round in so many looks at changes over the whole order instead of a window.
WIDE_EVERY = 12
#: Orders without gain before the best order is shaken: at most, and as a share of the square of the beads.
PATIENCE, PATIENCE_SHARE = 480, 1.2
#: Gain that counts [mm].
GAIN_MM = 1e-9
#: Random changes in successive shakes; after them all, a new start where there are few beads.
SHAKES = (2, 3, 4, 6)
#: Orders kept beside the best: how many, and within which factor of its score.
CLOSEST, CLOSE = 10, 1.10
#: Beads up to which a new start from nothing pays.
FEW = 12


Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """The best order met, its score [mm], how many orders were evaluated, and close ones, the best last."""

    order: Order
    score: float
    evaluations: int
    close: tuple[Order, ...]


class Counter:
    """Evaluates orders, counts them and remembers them."""

    def __init__(self, chain: Chain, judge: Judge) -> None:
        self.stations, self.judge, self.count = chain.model.stations, judge, 0
        self.scanner = make_scanner(chain)
        self.seen: set[bytes] = set()

    def scores(self, orders: Sequence[Order], brace_off: bool = True) -> Floats:
        """Score of each order [mm]; all must hold the same number of stations."""
        self.count += len(orders)
        sequences = np.array([o.sequence(self.stations) for o in orders])
        return scores_of(self.judge, self.scanner.scan(sequences, brace_off))

    def scores_inside(self, state: State, orders: Sequence[Order], low: int, high: int) -> Floats:
        """Score of each order [mm]; they differ from the state's only between two places of beads."""
        self.count += len(orders)
        counts = self.stations.counts
        first = int(counts[orders[0].beads[:low]].sum())
        last = first + int(counts[orders[0].beads[low:high]].sum())
        sequences = np.array([o.part(low, high).sequence(self.stations) for o in orders])
        return scores_of(self.judge, make_window(state, first, last).scan(sequences))

    def new(self, order: Order) -> bool:
        """Whether an order has not been met; it then counts as met."""
        key = key_of(order)
        fresh = key not in self.seen
        self.seen.add(key)
        return fresh


def search_order(
    chain: Chain,
    judge: Judge,
    evaluations: int,
    seed: int,
    tacks_first: bool = True,
    directions: bool = True,
    progress: Progress | None = None,
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
    progress : callable or None
        Called with orders evaluated and orders wanted.
    """
    beads = chain.model.beads
    counter = Counter(chain, judge)
    groups = groups_of(beads, tacks_first)
    turnable: Flags = np.array([directions and b.kind == "stitch" for b in beads])
    best, best_score = _start(counter, groups, turnable, evaluations)
    current, current_score, stalled, shakes = best, best_score, 0, 0
    ends = {key_of(best): (best_score, best)}
    patience = min(PATIENCE, int(PATIENCE_SHARE * sum(len(g) ** 2 * (1 + turnable[g].any()) for g in groups)))
    random, lawful = np.random.default_rng(seed), law_of(chain.model.stations)
    state: State | None = None
    rounds = idle = 0
    while counter.count < evaluations and idle < 200:
        rounds += 1
        if progress:
            progress(counter.count, evaluations)
        low, high = bounds(groups, random)
        wide = rounds % WIDE_EVERY == 0
        if not wide:
            low, high = window(current, low, high, chain.model.stations, random)
        most = min(WIDE_BATCH if wide else BATCH, evaluations - counter.count)
        batch = _batch(counter, current, (low, high), turnable, lawful, most, random)
        stalled += most
        idle = 0 if batch else idle + 1
        if batch and not wide and state is None:
            state = make_state(counter.scanner, current.sequence(chain.model.stations))
        if batch:
            scores = counter.scores(batch) if wide or state is None else counter.scores_inside(state, batch, low, high)
            lead = int(np.argmin(scores))
            if scores[lead] < current_score - GAIN_MM:
                current, current_score, stalled, state = batch[lead], float(scores[lead]), 0, None
                ends[key_of(current)] = (current_score, current)
        if current_score < best_score - GAIN_MM:
            best, best_score, shakes = current, current_score, 0
        if stalled >= patience and counter.count < evaluations:
            if shakes % (len(SHAKES) + 1) == len(SHAKES) and len(beads) <= FEW:
                current = mixed(best, groups, turnable, lawful, random)
            else:
                current = shaken(best, groups, turnable, SHAKES[shakes % len(SHAKES)], lawful, random)
            shakes, stalled, state = shakes + 1, 0, None
            current_score = float(counter.scores([current])[0])
    close = sorted((e for e in ends.values() if e[0] <= CLOSE * best_score), key=lambda e: -e[0])[-CLOSEST:]
    return Found(best, float(counter.scores([best])[0]), counter.count, tuple(o for _, o in close))


def _batch(
    counter: Counter,
    order: Order,
    places: tuple[int, int],
    turnable: Flags,
    lawful: Law,
    most: int,
    random: np.random.Generator,
) -> list[Order]:
    """Lawful neighbours that have not been met."""
    tries = (changed(order, *places, turnable, random) for _ in range(most))
    return [o for o in tries if lawful(o) and counter.new(o)]


def _start(counter: Counter, groups: list[Ints], turnable: Flags, evaluations: int) -> tuple[Order, float]:
    """The best of the people's orders and, where it is cheap, of a greedy one."""
    starts = list(people_orders(counter.scanner.chain.model.beads).values())
    if not turnable.any():
        starts = [Order(o.beads, np.zeros(len(o.beads), dtype=bool)) for o in starts]
    cost = sum(len(g) * (len(g) + 1) // 2 * (2 if turnable[g].any() else 1) for g in groups)
    if cost < evaluations // 4:
        starts.append(_greedy(counter, groups, turnable))
    scores = counter.scores(starts)
    return starts[int(np.argmin(scores))], float(scores.min())


def _greedy(counter: Counter, groups: list[Ints], turnable: Flags) -> Order:
    """Add the bead, and direction, that leaves the pads best at that moment, group after group."""
    beads: list[int] = []
    flags: list[bool] = []
    for group in groups:
        left = [int(b) for b in group]
        while left:
            tries = [(b, turn) for b in left for turn in ((False, True) if turnable[b] else (False,))]
            orders = [Order(np.array([*beads, b]), np.array([*flags, turn])) for b, turn in tries]
            lengths = counter.stations.counts[[b for b, _ in tries]]
            scores = np.empty(len(orders))
            for size in np.unique(lengths):
                same = np.flatnonzero(lengths == size)
                scores[same] = counter.scores([orders[i] for i in same], brace_off=False)
            bead, turn = tries[int(np.argmin(scores))]
            beads.append(bead)
            flags.append(turn)
            left.remove(bead)
    return Order(np.array(beads, dtype=np.int64), np.array(flags, dtype=bool))
