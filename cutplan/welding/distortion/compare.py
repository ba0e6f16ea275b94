"""Orders compared by fresh draws: bands, the chance to stay within what the pads allow, and which orders are equal."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutplan.fem.mesh import Floats, Ints
from cutplan.tables.band import Band
from cutplan.texts import say
from cutplan.welding.distortion.chain.elastic import Chain
from cutplan.welding.distortion.chain.yielding import Run, Yielded, follow_together
from cutplan.welding.distortion.draws import Draws
from cutplan.welding.distortion.model.condensed import Model
from cutplan.welding.distortion.result import (
    ENOUGH,
    NEARLY_ALL,
    TOLD_CHANCE,
    TOLD_MM,
    AfterStitches,
    OrderResult,
    Step,
)
from cutplan.welding.distortion.search.judge import Judge
from cutplan.welding.distortion.search.orders import Order

SOURCE = say("condensed plate and skin with metal that yields; median and 10 to 90 % of fresh draws")
#: Pitch change of a single pad, and of none.
NO_PITCH = Band(0.0, 0.0, 0.0, "mm", say("exact: no two pads, so no distance between them"))
#: Ends of the bands [percent].
LOW, HIGH = 10.0, 90.0


@dataclass(frozen=True, slots=True, eq=False)
class World:
    """One state of box and joint, with what was drawn for it, and what it leaves where all orders begin alike."""

    chain: Chain
    draws: Draws
    begun: tuple[int, Yielded] | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """An order with its result and, draw by draw, its pad outputs, flatness and score [mm]; what it leaves in each state."""

    order: Order
    result: OrderResult
    outputs: Floats
    flatness: Floats
    score: Floats
    left: tuple[Yielded, ...]


#: From states and orders after the last stitch to the orders as they end after all welds.
End = Callable[[list[World], list[Judged]], list[Judged]]


def judge_orders(worlds: Sequence[World], judge: Judge, named: Mapping[str, Order]) -> list[Judged]:
    """Return everything about several orders, by their names.

    Parameters
    ----------
    worlds : sequence of World
        States of box and joint with their draws.
    judge : Judge
        What is measured.
    named : mapping of str to Order
        The orders.
    """
    model = worlds[0].chain.model
    sequences = [order.sequence(model.stations) for order in named.values()]
    left = follow_together([Run(w.chain, s, w.draws, w.begun) for s in sequences for w in worlds])
    return [
        _judged(model, judge, name, order, sequences[i], left[i * len(worlds) : (i + 1) * len(worlds)])
        for i, (name, order) in enumerate(named.items())
    ]


def _judged(model: Model, judge: Judge, name: str, order: Order, sequence: Ints, left: Sequence[Yielded]) -> Judged:
    """Everything about one order from what it leaves in each state."""
    outputs = np.concatenate([y.outputs for y in left])
    closing = np.concatenate([y.closing for y in left])
    worst = closing.max(axis=1)
    flatness, pitch = judge.flatness_mm(outputs), judge.pitch_mm(outputs)
    score = judge.full_score(outputs, worst)
    at = int(np.argmax(np.median(closing, axis=0)))
    length = (model.stations.end_mm - model.stations.start_mm)[sequence]
    flowed = np.concatenate([y.flowed for y in left]) @ length / length.sum()
    result = OrderResult(
        name=name,
        steps=tuple(
            Step(int(b), model.beads[int(b)].name, bool(r)) for b, r in zip(order.beads, order.backward, strict=True)
        ),
        flatness_mm=drawn_band(flatness, "mm"),
        tilt_mm_per_m=drawn_band(judge.tilt_mm_per_m(outputs), "mm/m"),
        pitch_mm=drawn_band(pitch, "mm") if len(judge.pitch) else NO_PITCH,
        closing_mm=drawn_band(worst, "mm"),
        closing_at=model.beads[int(model.stations.bead[sequence[at]])].name,
        score_mm=drawn_band(score, "mm"),
        chance_within=chance_within(model, flatness, pitch),
        flowing=float(np.median(flowed)),
        equal_to_best=False,
        flatter_than_chosen=0.0,
    )
    return Judged(order, result, outputs, flatness, score, tuple(left))


def ended(model: Model, judge: Judge, stitched: Judged, outputs: Floats) -> Judged:
    """Return an order of stitches as it ends after the welds that follow; what it left after its last stitch is kept.

    Parameters
    ----------
    model : Model
        Its pads say what they allow.
    judge : Judge
        What is measured.
    stitched : Judged
        The order after its last stitch.
    outputs : ndarray (draws, outputs)
        Pad outputs after all welds [mm].
    """
    worst = np.concatenate([y.closing for y in stitched.left]).max(axis=1)
    flatness, pitch = judge.flatness_mm(outputs), judge.pitch_mm(outputs)
    score, before = judge.full_score(outputs, worst), stitched.result
    result = replace(
        before,
        flatness_mm=drawn_band(flatness, "mm"),
        tilt_mm_per_m=drawn_band(judge.tilt_mm_per_m(outputs), "mm/m"),
        pitch_mm=drawn_band(pitch, "mm") if len(judge.pitch) else NO_PITCH,
        score_mm=drawn_band(score, "mm"),
        chance_within=chance_within(model, flatness, pitch),
        stitched=AfterStitches(before.flatness_mm, before.chance_within),
    )
    return replace(stitched, result=result, outputs=outputs, flatness=flatness, score=score)


def drawn_band(values: Floats, unit: str) -> Band:
    """Return the median of drawn values (n,) [unit] with what holds four fifths of them."""
    low, mid, high = (float(v) for v in np.percentile(values, (LOW, 50.0, HIGH)))
    return Band(low, mid, high, unit, SOURCE)


def chance_within(model: Model, flatness_mm: Floats, pitch_mm: Floats) -> float:
    """Return the share of draws in which all pads keep what they allow; 1 without pads.

    Parameters
    ----------
    model : Model
        Its pads say what they allow.
    flatness_mm, pitch_mm : ndarray (draws,)
        Out of flat and change of pitch [mm].
    """
    pads = model.task.pads
    if not pads:
        return 1.0
    good = flatness_mm <= min(p.flatness_mm for p in pads)
    if len(pads) > 1:
        good = good & (pitch_mm <= min(p.pitch_mm for p in pads))
    return float(np.mean(good))


def best_of(judged: Sequence[Judged]) -> int:
    """Return the number of the best order: the least mean score of those whose chance is not told to be lower.

    Of orders alike to a micrometre it is the first: the search may find one that people follow, and rounding tells nothing.
    """
    most = max(j.result.chance_within for j in judged)
    able = [i for i, j in enumerate(judged) if j.result.chance_within >= most - TOLD_CHANCE]
    return min(able, key=lambda i: (round(float(judged[i].score.mean()), 3), i))


def equal(one: Judged, best: Judged) -> bool:
    """Return whether an order cannot be told from the best one, draw against draw.

    It can where its chance is lower by more than the draws' own error, or where in the middle of the draws its score is
    higher by more than feelers can tell.
    """
    if one.result.chance_within < best.result.chance_within - TOLD_CHANCE:
        return False
    return float(np.median(one.score - best.score)) <= TOLD_MM


def enough(one: Judged, best: Judged, allowed_mm: float) -> bool:
    """Return whether an order does for pads that allow a flatness [mm]: nearly always kept, and a small share of it lost."""
    lost = float(np.median(one.score - best.score))
    return one.result.chance_within >= NEARLY_ALL and lost <= max(TOLD_MM, ENOUGH * allowed_mm)


def compared(judged: Sequence[Judged], chosen: int, best: int) -> list[OrderResult]:
    """Return the results with what can be said about each against the best and the chosen order.

    Parameters
    ----------
    judged : sequence of Judged
        All orders.
    chosen, best : int
        Numbers of the chosen and the best one.
    """
    return [
        replace(
            j.result,
            equal_to_best=i == best or equal(j, judged[best]),
            flatter_than_chosen=float(np.mean(j.flatness < judged[chosen].flatness)),
        )
        for i, j in enumerate(judged)
    ]
