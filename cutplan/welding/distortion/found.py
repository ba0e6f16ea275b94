"""The best order found, within as many orders as the length of the seam lets be followed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cutplan.welding.distortion.draws import Draws
from cutplan.welding.distortion.result import TOLD_MM, Searched
from cutplan.welding.distortion.rough.search import search_roughly
from cutplan.welding.distortion.search.descent import Progress, descend, turnable_of
from cutplan.welding.distortion.search.every import Every, best_of_every
from cutplan.welding.distortion.search.follower import Follower
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
#: With more stitches than this twice as many orders are followed and changes reach far, up to this many stations: there an
#: order is still quick, and moves of single stitches are many. With more stations orders are followed roughly.
MANY_STITCHES, LONG_STATIONS = 60, 200
#: Orders followed roughly, at 100 stations, for each order that is wished [1]; of more stations fewer, as it takes longer.
ROUGH_SHARE = 3.4
#: Fewest tacks for each later station with which an order is followed roughly: they stand for what is far [1].
ROUGH_TACKS = 0.125
#: Up to this many stitches an order is also laid bead by bead: its cost grows with the cube of their number.
GREEDY_BEADS = 40


def found_order(
    options: OrderOptions,
    follower: Follower,
    progress: Progress | None = None,
    told_mm: float = TOLD_MM,
) -> tuple[Order, Searched]:
    """Return the best order found, and how far orders were looked through for it.

    Parameters
    ----------
    options : OrderOptions
        How hard to look.
    follower : Follower
        Follows orders of all stations.
    progress : callable or None
        Called with orders followed and orders wanted.
    told_mm : float
        Least difference of two scores that can be told on the part; the search ends where no more is left to gain [mm].
    """
    model = follower.chain.model
    tacks = sum(bead.kind == "tack" for bead in model.beads)
    if _roughly(options, model.stations.count, tacks):
        orders = int(ROUGH_SHARE * options.evaluations * FULL_STATIONS / model.stations.count)
        best, looked = search_roughly(follower, options, tacks, orders, progress, told_mm)
        return best, Searched(looked, 0, False)
    starts = [*people_orders(model.beads).values(), *_laid(follower)]
    count = affordable(options.evaluations, model.stations.count)
    if _many(follower) and model.stations.count <= LONG_STATIONS:
        count *= 2
    order, searched = best_order(follower, starts, max(count, len(starts)), options, progress, told_mm=told_mm)
    return order, searched


def _roughly(options: OrderOptions, stations: int, tacks: int) -> bool:
    """Whether a seam is so long that orders are followed roughly."""
    return options.tacks_first and stations > LONG_STATIONS and tacks > ROUGH_TACKS * (stations - tacks)


def _many(follower: Follower) -> bool:
    """Whether there are so many stitches that changes reach far."""
    return sum(bead.kind == "stitch" for bead in follower.chain.model.beads) > MANY_STITCHES


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
        follower,
        starts,
        count,
        options.seed,
        options.tacks_first,
        progress=progress,
        laid=laid,
        told_mm=told_mm,
        far=_many(follower),
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
