"""The rest of an order re-planned: draws conditioned on readings, what is welded fixed, the remaining stitches compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutplan.errors import JobError
from cutplan.texts import say
from cutplan.welding.distortion.bench.learnt import against, learnt_from
from cutplan.welding.distortion.bench.result import RestPlan
from cutplan.welding.distortion.bench.to_end import Later, later_at_bench
from cutplan.welding.distortion.bench.watch import Watched, predictor, read_of
from cutplan.welding.distortion.chain.elastic import Chain, make_chain
from cutplan.welding.distortion.chain.yielding import Run, follow_yielding
from cutplan.welding.distortion.choice import choose
from cutplan.welding.distortion.compare import Judged, World, best_of, compared, enough, equal, judge_orders
from cutplan.welding.distortion.draws import OF_THE_DAY, draws_of, variates
from cutplan.welding.distortion.found import affordable, best_order
from cutplan.welding.distortion.later.end import rest_of
from cutplan.welding.distortion.model.condensed import Model, make_model
from cutplan.welding.distortion.model.variants import BoxState, in_states, states_of
from cutplan.welding.distortion.plan import COMPUTED, TimeOf
from cutplan.welding.distortion.seam import Seam
from cutplan.welding.distortion.search.descent import Progress
from cutplan.welding.distortion.search.follower import Follower
from cutplan.welding.distortion.search.judge import Judge, make_judge
from cutplan.welding.distortion.search.orders import Order, people_orders
from cutplan.welding.distortion.task import OrderOptions
from cutplan.welding.readings.agree import agreement
from cutplan.welding.readings.cloud import Cloud
from cutplan.welding.readings.update import updated

#: Name of the order that the plan had.
PLANNED = "as planned"
#: Draws that are conditioned; of very long seams as many as their time allows.
DRAWS, FEW_DRAWS, LONG_STATIONS = 128, 64, 100


@dataclass(frozen=True, slots=True, eq=False)
class Begun:
    """A job at the bench.

    Parameters
    ----------
    model : Model
        The condensed model.
    judge : Judge
        What is measured in the end.
    states : tuple of BoxState or None
        States of the box; one None where none are told apart.
    chains : tuple of Chain
        The model in each state.
    laid : Order
        What is welded.
    later : Later or None
        Sleeves and ribs; None where none are welded.
    """

    model: Model
    judge: Judge
    states: tuple[BoxState | None, ...]
    chains: tuple[Chain, ...]
    laid: Order
    later: Later | None = None

    def worlds(self, cloud: Cloud) -> list[World]:
        """Draws by state, each followed as far as is welded."""
        sequence = self.laid.sequence(self.model.stations)
        found = []
        for state, chain in enumerate(self.chains):
            mine = np.flatnonzero(cloud.state == state)
            if not len(mine):
                continue
            draws = draws_of(chain.model, cloud.latent[mine])
            begun = (len(sequence), follow_yielding(Run(chain, sequence, draws), keep=True)) if len(sequence) else None
            found.append(World(chain, draws, begun))
        return found


def begin(
    seam: Seam, options: OrderOptions, laid: Order, later: str | None = None, welded: Sequence[str] = ()
) -> Begun:
    """Return a job at the bench, with its model in every state of the box.

    Parameters
    ----------
    seam : Seam
        Geometry, beads and what each does when it cools.
    options : OrderOptions
        Mesh size and hold.
    laid : Order
        What is welded.
    later : str or None
        Name of the planned order of sleeves and ribs.
    welded : sequence of str
        Sleeves and ribs that are welded, in turn.
    """
    model = make_model(seam.task, seam.beads, seam.inherent, options)
    doubt = seam.task.doubt
    states = states_of(doubt) if doubt is not None and model.sheets.fields else ()
    chains = tuple(make_chain(m) for m in (in_states(model, states, options) if states else (model,)))
    judge, rest = make_judge(model, options), rest_of(model, seam.later) if seam.later else None
    after = later_at_bench(rest, chains, judge, later, welded, options.seed + 13)
    return Begun(model, judge, states or (None,), chains, laid, after)


def prior_of(begun: Begun, count: int, seed: int) -> Cloud:
    """Return draws before any reading, as many in each state.

    Parameters
    ----------
    begun : Begun
        The job at the bench.
    count : int
        Number of draws.
    seed : int
        Seed.
    """
    rows = variates(begun.model, count + 1, seed)[1:]
    states = len(begun.chains)
    return Cloud(rows, np.arange(count, dtype=np.int64) % states, states, OF_THE_DAY)


def plan_rest(
    seam: Seam,
    planned: Order,
    laid: Order,
    watched: Sequence[Watched],
    options: OrderOptions,
    progress: Progress | None = None,
    time_of: TimeOf | None = None,
    later: str | None = None,
    welded: Sequence[str] = (),
) -> RestPlan:
    """Return how to go on after readings; what is told of an order holds after all welds, sleeves and ribs included.

    Parameters
    ----------
    seam : Seam
        Geometry, beads and what each does when it cools.
    planned : Order
        The order of the plan, as far as it was kept with what is welded first.
    laid : Order
        What is welded, in its order.
    watched : sequence of Watched
        Readings taken on the way; none leaves the plan as it is.
    options : OrderOptions
        How hard to look.
    progress : callable or None
        Called with orders followed and orders wanted.
    time_of : callable or None
        Minutes that an order takes.
    later : str or None
        Name of the order in which sleeves and ribs were planned; None: the usual one.
    welded : sequence of str
        Sleeves and ribs that are welded, in turn.

    Raises
    ------
    JobError
        When nothing is left to weld, or a reading names what is not there.
    """
    begun = begin(seam, options, laid, later, welded)
    if len(laid.beads) >= len(seam.beads) and (begun.later is None or len(begun.later.turn) == len(welded)):
        raise JobError(say("nothing is left to weld"), "", say("measure the finished part"))
    count = DRAWS if begun.model.stations.count <= LONG_STATIONS else FEW_DRAWS
    prior = prior_of(begun, count, options.seed + 11)
    before = _before(begun, prior, planned)
    if not watched:
        result = replace(before.result, equal_to_best=True)
        return RestPlan(
            len(laid.beads), True, 1.0, (), (), float(count), count, 0, result, result, (result,), result, True
        )
    predict = predictor(begun.chains, laid, watched, begun.later)
    predicted = predict(prior)
    read = read_of(watched, predicted)
    agreed = agreement(predicted, read)
    if not agreed.agrees:
        seen = against(watched, predicted, predicted, agreed.odd)
        return RestPlan(
            len(laid.beads), False, agreed.share, seen, (), 0.0, count, 0, before.result, before.result, (),
            before.result, True,
        )  # fmt: skip
    now = updated(prior, predict, read, options.seed + 12, predicted)
    worlds, judged = _compared(begun, now.cloud, planned, options, progress, time_of)
    allowed = min((p.flatness_mm for p in seam.task.pads), default=None)

    def taken(some: list[Judged]) -> int:
        return _chosen(some, best_of(some), allowed)

    chosen, after = taken(judged), None
    if begun.later is not None:
        judged, chosen, after = begun.later.planned_with(now.cloud, worlds, judged, taken)
    results = compared(judged, chosen, best_of(judged))
    return RestPlan(
        laid=len(laid.beads),
        agrees=True,
        share=agreed.share,
        readings=against(watched, predicted, now.after, ()),
        learnt=learnt_from(begun.model, begun.states, prior, now.cloud),
        effective=now.effective,
        draws=count,
        bits=now.bits,
        planned_before=before.result,
        planned=results[0],
        orders=tuple(results),
        chosen=results[chosen],
        kept=chosen == 0,
        later=after,
        later_kept=begun.later is None or after is None or after.chosen.name == begun.later.planned,
    )


def _before(begun: Begun, prior: Cloud, planned: Order) -> Judged:
    """The planned order before any reading, after all welds."""
    worlds = begun.worlds(prior)
    judged = judge_orders(worlds, begun.judge, {PLANNED: planned})
    return (judged if begun.later is None else begun.later.as_planned(prior, worlds, judged))[0]


def _compared(
    begun: Begun,
    cloud: Cloud,
    planned: Order,
    options: OrderOptions,
    progress: Progress | None,
    time_of: TimeOf | None,
) -> tuple[list[World], list[Judged]]:
    """The states that draws are in, and all rests after the last stitch, the planned one first."""
    model, laid = begun.model, len(begun.laid.beads)
    named = {PLANNED: planned}
    if laid < len(model.beads):
        named |= people_orders(model.beads, begun.laid)
        wanted = affordable(options.evaluations, model.stations.count)
        follower = _follower(begun, cloud, planned, options)
        named[COMPUTED], _ = best_order(follower, list(named.values()), wanted, options, progress, laid)
    worlds = begun.worlds(cloud)
    judged = judge_orders(worlds, begun.judge, named)
    if time_of is not None:
        judged = [replace(j, result=replace(j.result, minutes=time_of(j.result.steps))) for j in judged]
    return worlds, judged


def _follower(begun: Begun, cloud: Cloud, planned: Order, options: OrderOptions) -> Follower:
    """What the search follows orders with: a few of the draws, in the box that most of them are in."""
    state = int(np.bincount(cloud.state, minlength=len(begun.chains)).argmax())
    days = cloud.latent[np.flatnonzero(cloud.state == state)[: options.training]]
    chain = begun.chains[state]
    draws = draws_of(chain.model, days)
    added = None if begun.later is None else begun.later.added(chain, draws, days, planned)
    return Follower(chain, begun.judge, draws, added)


def _chosen(judged: Sequence[Judged], best: int, allowed_mm: float | None) -> int:
    """The planned rest where it cannot be told from the best, or does for the pads; else as :func:`choose` takes one."""
    if equal(judged[0], judged[best]) or (allowed_mm is not None and enough(judged[0], judged[best], allowed_mm)):
        return 0
    return choose(judged, best, None, allowed_mm)
