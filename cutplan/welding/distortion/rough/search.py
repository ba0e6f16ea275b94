"""Search of a seam that is too long for it: orders are followed roughly, and the best ones whole."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil

from cutplan.welding.distortion.rough.follower import RoughFollower
from cutplan.welding.distortion.search.descent import descend
from cutplan.welding.distortion.search.follower import Follower
from cutplan.welding.distortion.search.orders import Order, people_orders
from cutplan.welding.distortion.task import OrderOptions

#: Draws that a rough search sees: the middle of the bands. On 200 stitches it ranks orders as six do (rank correlation 0.99).
DRAWS = 1
#: Orders of a round at most; rounds at least. After each the whole chain follows the best, and the next one begins there.
ROUND, ROUNDS = 150, 2
#: Order of people that is followed whole before any other; its tacks are kept.
FIRST = "opposite pairs"


def search_roughly(
    follower: Follower,
    options: OrderOptions,
    kept: int,
    orders: int,
    progress: Callable[[int, int], None] | None = None,
    told_mm: float = 0.0,
) -> tuple[Order, int]:
    """Return the best order that was followed whole, and how many were looked at, roughly or whole.

    Parameters
    ----------
    follower : Follower
        Follows orders whole.
    options : OrderOptions
        Seed of every random choice.
    kept : int
        Tacks, which come before all stitches and stay as they are.
    orders : int
        Orders that may be followed roughly.
    progress : callable or None
        Called with orders followed roughly and orders wanted.
    told_mm : float
        Least difference of two scores that can be told on the part; 0 looks to the last order [mm].
    """
    people = people_orders(follower.chain.model.beads)
    best = follower.follow(people[FIRST])
    rough = RoughFollower(follower, best, kept, DRAWS)
    tacks = best.order.part(0, kept)
    ranked = rough.follow_all([tacks.then(o.part(kept, len(o.beads))) for o in people.values()])
    most, looked = min(ranked, key=lambda f: f.score).order, rough.count
    if follower.fresh(most):
        best = min(best, follower.follow(most), key=lambda f: f.score)
    rounds = max(ROUNDS, ceil(orders / ROUND))
    for turn in range(rounds):
        rough = RoughFollower(follower, best, kept, DRAWS)
        wanted, before = orders // rounds, turn * (orders // rounds)

        def told(done: int, _: int, before: int = before) -> None:
            if progress:
                progress(before + done, orders)

        found = descend(
            rough, [best.order], wanted, options.seed + turn, progress=told, laid=kept, told_mm=told_mm, far=True
        )
        looked += rough.count
        if follower.fresh(found.order):
            best = min(best, follower.follow(found.order), key=lambda f: f.score)
    return best.order, looked + follower.count
