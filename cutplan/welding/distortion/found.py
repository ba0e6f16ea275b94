"""The best order found: of very many stitches in groups, within as many orders as its length lets be followed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cutplan.welding.distortion.chain.elastic import make_chain
from cutplan.welding.distortion.coarse import grouped, spread
from cutplan.welding.distortion.draws import Draws, drawn
from cutplan.welding.distortion.model.condensed import make_model
from cutplan.welding.distortion.result import TOLD_MM, Searched
from cutplan.welding.distortion.seam import Seam
from cutplan.welding.distortion.search.descent import Follower, Progress, descend, turnable_of
from cutplan.welding.distortion.search.every import Every, best_of_every
from cutplan.welding.distortion.search.greedy import laid_flattest
from cutplan.welding.distortion.search.orders import Order, people_orders
from cutplan.welding.distortion.task import OrderOptions

#: Up to this many stations as many orders are followed as are wished, and all draws and extras are made.
FULL_STATIONS = 100
#: Up to this many stations more orders are followed than are wished: they are quick.
QUICK_STATIONS = 50
#: Fewest orders that the search follows.
LEAST_ORDERS = 10
#: Orders of few stitches that are all followed, for each order that is wished [1]: five stitches, either way each, take
#: three or four seconds of a processor.
EVERY_SHARE = 45
#: Up to this many stitches an order is also laid bead by bead: its cost grows with the cube of their number.
GREEDY_BEADS = 40


def found_order(
    seam: Seam,
    options: OrderOptions,
    follower: Follower,
    progress: Progress | None = None,
    told_mm: float = TOLD_MM,
) -> tuple[Order, Searched]:
    """Return the best order found, and how far orders were looked through for it.

    Parameters
    ----------
    seam : Seam
        Geometry, beads and what each does when it cools.
    options : OrderOptions
        How hard to look.
    follower : Follower
        Follows orders of all stations.
    progress : callable or None
        Called with orders followed and orders wanted.
    told_mm : float
        Least difference of two scores that can be told on the part; the search ends where no more is left to gain [mm].
    """
    stations = follower.chain.model.stations.count
    starts = list(people_orders(follower.chain.model.beads).values())
    coarse, before = _in_groups(seam, options, follower, told_mm)
    starts += _laid(follower) if coarse is None else [coarse]
    # what people do is followed beside the coarse order: groups may mislead where beads by themselves do not
    count = max(affordable(options.evaluations, stations), len(starts))
    order, searched = best_order(follower, starts, count, options, progress, told_mm=told_mm)
    return order, replace(searched, followed=before + searched.followed)


def best_order(
    follower: Follower,
    starts: Sequence[Order],
    count: int,
    options: OrderOptions,
    progress: Progress | None = None,
    laid: int = 0,
    told_mm: float = TOLD_MM,
) -> tuple[Order, Searched]:
    """Return the best order: of few stitches the best of all there are, of more what a search from some starts finds.

    Parameters
    ----------
    follower : Follower
        Follows orders.
    starts : sequence of Order
        Orders to begin with.
    count : int
        Orders that the search may follow, the starts included; all orders of few stitches are followed besides.
    options : OrderOptions
        How hard to look.
    progress : callable or None
        Called with orders followed and orders wanted.
    laid : int
        Beads at the beginning of every start that stay as they are.
    told_mm : float
        Least difference of two scores that can be told on the part; the search ends where no more is left to gain [mm].
    """
    every = _few(follower, starts[0], options, laid)
    if every is not None:
        best = min(follower.follow_all(starts), key=lambda f: f.score)
        starts = [best_of_every(follower, replace(every, start=best.order), progress).order]
        count += follower.count
    found = descend(
        follower, starts, count, options.seed, options.tacks_first, progress=progress, laid=laid, told_mm=told_mm
    )
    if every is None:
        return found.order, Searched(follower.count, 0, False)
    return found.order, Searched(follower.count, every.count, bool(every.turned.any()))


def _few(follower: Follower, start: Order, options: OrderOptions, laid: int) -> Every | None:
    """All orders of the stitches after the tacks, either way each or as in a start; None where there are too many."""
    beads = follower.chain.model.beads
    left = [b for b in start.beads[laid:].tolist() if beads[b].kind == "stitch" or not options.tacks_first]
    kept, turned = len(start.beads) - len(left), turnable_of(beads)
    for some in (turned, np.zeros_like(turned)):
        every = Every(start, kept, some)
        if 1 < every.count <= EVERY_SHARE * options.evaluations:
            return every
    return None


def _in_groups(
    seam: Seam,
    options: OrderOptions,
    follower: Follower,
    told_mm: float,
) -> tuple[Order | None, int]:
    """The best order of a long seam's groups, bead by bead, and the orders followed; None where each counts by itself."""
    coarse = grouped(seam.beads, seam.inherent)
    if coarse is None:
        return None, 0
    few, shrinks, groups = coarse
    model = make_model(seam.task, few, shrinks, options)
    quick = Follower(make_chain(model), follower.judge, drawn(model, options.training, options.seed), follower.added)
    count = affordable(options.evaluations, model.stations.count)
    first = list(people_orders(model.beads).values())
    best = descend(quick, first, count, options.seed, options.tacks_first, told_mm=told_mm)
    order = spread(best.order, groups)
    ways = np.array([seam.beads[int(b)].way for b in order.beads])
    return Order(order.beads, np.where(ways == 0, order.backward, ways < 0)), quick.count


def _laid(follower: Follower) -> list[Order]:
    """An order laid bead by bead after the tacks, where there are not too many beads for it."""
    chain, draws = follower.chain, follower.draws
    beads = chain.model.beads
    tacks = sum(b.kind == "tack" for b in beads)
    if not 2 < len(beads) - tacks <= GREEDY_BEADS:
        return []
    middle = Draws(draws.wishes[:1], draws.limits[:1])
    added = 0.0 if follower.added is None else follower.added[0]
    start = people_orders(beads)["opposite pairs"]
    return [laid_flattest(chain, middle, lambda outputs: follower.judge.flatness_mm(outputs + added), start, tacks)]


def affordable(evaluations: int, stations: int) -> int:
    """Return how many orders are followed: as many as are wished, more up to 50 stations, fewer beyond 100.

    An order costs about the square of its stations, so the number falls with the square.
    """
    many = max(stations, 1)
    share = max(min(1.0, (FULL_STATIONS / many) ** 2), (QUICK_STATIONS / many) ** 2)
    return max(int(evaluations * share), min(evaluations, LEAST_ORDERS))
