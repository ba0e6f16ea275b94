"""Tacks and brace decided together: the chosen order with one more tack, with a bar between pads, and with both."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from cutplan.welding.distortion.compare import End, World, judge_orders
from cutplan.welding.distortion.model.condensed import Model
from cutplan.welding.distortion.result import ExtraPlace, Way
from cutplan.welding.distortion.search.judge import Judge
from cutplan.welding.distortion.search.orders import Order


def ways_tried(
    every: Model,
    judge: Judge,
    counts: tuple[int, int],
    order: Order,
    extra: Sequence[ExtraPlace],
    worlds_of: Callable[[tuple[Sequence[int], Sequence[int]]], list[World]],
    end: End,
) -> tuple[Way, ...]:
    """Return the chosen order with the best extra tack, with the best extra bar, and with both.

    Parameters
    ----------
    every : Model
        Condensed with all tacks and braces that are tried.
    judge : Judge
        What is measured.
    counts : (int, int)
        Beads of the plan, and braces of the job; those beyond are tried.
    order : Order
        The order.
    extra : sequence of ExtraPlace
        What was tried one by one, the best first.
    worlds_of : callable
        States of the box with fresh draws for some of the beads and some of the braces, by number.
    end : callable
        Orders after the last stitch as they end after all welds.
    """
    beads, own = counts
    tack = next((e for e in extra if e.kind == "tack"), None)
    bar = next((e for e in extra if e.kind == "brace"), None)
    names = [b.name for b in every.beads]
    bars = [b.name for b in every.bars]
    found: list[Way] = []
    tries = [(tack, None), (None, bar), (tack, bar)] if tack and bar else [(tack, bar)] if tack or bar else []
    for with_tack, with_bar in tries:
        kept = [*range(beads), *([names.index(with_tack.where)] if with_tack else [])]
        held = [*range(own), *([bars.index(with_bar.where)] if with_bar else [])]
        worlds = worlds_of((kept, held))
        longer = _longer(worlds[0].chain.model, order) if with_tack else order
        [judged] = end(worlds, judge_orders(worlds, judge, {"way": longer}))
        found.append(Way(with_tack, with_bar, judged.result.flatness_mm, judged.result.chance_within))
    return tuple(found)


def _longer(model: Model, order: Order) -> Order:
    """The order with the last bead of the model, a tack, after the other tacks."""
    last = len(model.beads) - 1
    place = sum(model.beads[int(b)].kind == "tack" for b in order.beads)
    return Order(np.insert(order.beads, place, last), np.insert(order.backward, place, False))
