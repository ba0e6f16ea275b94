"""From plain geometry and beads to the compared and chosen order."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutplan.welding.distortion.chain.elastic import Chain, make_chain
from cutplan.welding.distortion.chain.shape import shape_after_beads
from cutplan.welding.distortion.choice import choose, findings_of, preset_of, without_brace
from cutplan.welding.distortion.compare import Judged, World, best_of, compared, judge_orders
from cutplan.welding.distortion.draws import Draws, drawn, variates
from cutplan.welding.distortion.extra import extra_braces, extra_tacks, extras_tried
from cutplan.welding.distortion.found import FULL_STATIONS, found_order
from cutplan.welding.distortion.later.end import Rest, added_by, later_world, later_worlds, rest_of, to_the_end
from cutplan.welding.distortion.later.plan import orders_of, plan_later
from cutplan.welding.distortion.model.condensed import Model, make_model, restricted
from cutplan.welding.distortion.model.variants import few_states, in_states, states_of, varied
from cutplan.welding.distortion.result import OrderPlan, Shape, Step
from cutplan.welding.distortion.seam import Seam
from cutplan.welding.distortion.search.descent import Progress
from cutplan.welding.distortion.search.follower import Follower
from cutplan.welding.distortion.search.judge import Judge, make_judge
from cutplan.welding.distortion.search.orders import Order, people_orders
from cutplan.welding.distortion.task import Doubt, OrderOptions
from cutplan.welding.distortion.ways import ways_tried

#: Name of the order that the search gives.
COMPUTED = "computed order"
#: Fewest draws that bands are made of.
LEAST_DRAWS = 16

#: Minutes from first arc to last of an order, waits and moves included.
TimeOf = Callable[[tuple[Step, ...]], float]


@dataclass(frozen=True, slots=True, eq=False)
class Setting:
    """The condensed model with its extras and in its states, the one without extras, and what is judged.

    Parameters
    ----------
    every, model : Model
        With every tack and brace that may be tried, and with those of the plan only.
    states : tuple of Model
        ``every`` in each state of box and joint; itself alone where nothing is varied.
    judge : Judge
        What is measured.
    beads, own : int
        Beads and braces of the plan; those beyond are tried.
    fielded : bool
        Whether there are few enough stations for all that may be varied.
    """

    every: Model
    model: Model
    states: tuple[Model, ...]
    judge: Judge
    beads: int
    own: int
    fielded: bool

    @property
    def counts(self) -> tuple[int, int]:
        """Beads and braces of the plan."""
        return self.beads, self.own

    @property
    def planned(self) -> tuple[range, range]:
        """Numbers of the plan's own beads and braces."""
        return range(self.beads), range(self.own)


def compare_orders(
    seam: Seam,
    options: OrderOptions,
    progress: Progress | None = None,
    time_of: TimeOf | None = None,
) -> OrderPlan:
    """Compare orders of beads and choose one.

    Parameters
    ----------
    seam : Seam
        Geometry, beads and what each does when it cools.
    options : OrderOptions
        How hard to look.
    progress : callable or None
        Called with orders followed and orders wanted.
    time_of : callable or None
        Minutes that an order takes; of equal orders the quickest is chosen.

    Raises
    ------
    JobError
        For beads without length or without shrinkage.
    GeometryError
        For outlines that cannot be meshed.
    """
    setting = _setting(seam, options)
    model, judge = setting.model, setting.judge
    rest = rest_of(model, seam.later) if seam.later else None
    named = people_orders(model.beads)
    follower = _follower(setting, rest, named, options)
    named[COMPUTED], searched = found_order(options, follower, progress)
    worlds = _worlds(setting, setting.planned, options, follower.chain)
    judged = judge_orders(worlds, judge, named)
    if time_of is not None:
        judged = [replace(j, result=replace(j.result, minutes=time_of(j.result.steps))) for j in judged]
    allowed = min((p.flatness_mm for p in seam.task.pads), default=None)

    def taken(some: list[Judged]) -> int:
        return choose(some, best_of(some), options.order, allowed)

    chosen, later = taken(judged), None
    if rest is not None:
        mine = later_worlds(rest, worlds, options.seed + 1)
        judged, chosen, later = plan_later(rest, mine, worlds, judge, judged, taken, orders_of(model, rest))
        del mine
    best = best_of(judged)
    results = compared(judged, chosen, best)
    pick = judged[chosen]
    shape = _shape(worlds, judge, pick) if options.steps_shape else None
    del worlds  # several chains of all stations: room for those without the brace

    def end(some: list[World], orders: list[Judged]) -> list[Judged]:
        if rest is None or later is None:
            return orders
        return to_the_end(rest, orders_of(model, rest)[later.chosen.name], some, judge, orders, options.seed + 1)

    start = follower.follow(pick.order)
    extra = extras_tried(setting.every, judge, setting.counts, pick.order, options, follower.added)
    fewer = replace(options, samples=options.samples // 2)
    ways = ways_tried(
        setting.every, judge, setting.counts, pick.order, extra, lambda some: _worlds(setting, some, fewer), end
    )
    return OrderPlan(
        orders=tuple(results),
        chosen=results[chosen],
        best=results[best],
        wanted=options.order is not None,
        without_brace=without_brace(_bare(setting, options), judge, pick, end) if setting.own else None,
        preset=preset_of(model, judge, pick),
        extra=extra,
        ways=ways,
        score_mm=start.score,
        shape=shape,
        draws=len(pick.flatness),
        searched=replace(searched, boxes=len(setting.states)),
        stations=model.stations.count,
        findings=findings_of(model, results[chosen]),
        later=later,
    )


def _setting(seam: Seam, options: OrderOptions) -> Setting:
    """The model with every tack and brace that may be tried, and the one without."""
    task, beads, inherent = seam.task, seam.beads, seam.inherent
    wanted = options.extra_places if len(beads) <= FULL_STATIONS else 0
    tacks = extra_tacks(task, beads, inherent, wanted)
    own = [task.brace] if task.brace else []
    bars = [] if wanted == 0 else extra_braces(task, wanted)
    every = make_model(
        task, [*beads, *(b for b, _ in tacks)], [*inherent, *(i for _, i in tacks)], options, [*own, *bars]
    )
    fielded = bool(every.sheets.fields)
    # the states are those of all that may be tried: what is left out of them is not computed again
    states: tuple[Model, ...] = ()
    if task.doubt is not None:
        states = in_states(every, states_of(task.doubt), options) if fielded else _few(every, task.doubt)
    # nothing is varied any more: the fields make room for the search
    every = replace(every, sheets=replace(every.sheets, fields=(), bare=np.empty((0, 0))))
    model = restricted(every, range(len(beads)), range(len(own))) if tacks or bars else every
    return Setting(every, model, states or (every,), make_judge(model, options), len(beads), len(own), fielded)


def _few(every: Model, doubt: Doubt) -> tuple[Model, ...]:
    """The stiffest and the softest box of a seam that is too long for more."""
    return tuple(varied(every, state) for state in few_states(doubt))


def _follower(setting: Setting, rest: Rest | None, named: Mapping[str, Order], options: OrderOptions) -> Follower:
    """What the search follows orders with: where sleeves and ribs come after, it sees what they add to one order."""
    chain, draws = make_chain(setting.model), drawn(setting.model, options.training, options.seed)
    added = None
    if rest is not None:
        turn = next(iter(orders_of(setting.model, rest).values()))
        days = variates(setting.model, options.training, options.seed)
        mine = later_world(rest, chain, draws, days, options.seed)
        added = added_by(mine, turn, chain, draws, next(iter(named.values())))
    return Follower(chain, setting.judge, draws, added)


def _worlds(
    setting: Setting, some: tuple[Sequence[int], Sequence[int]], options: OrderOptions, chain: Chain | None = None
) -> list[World]:
    """States of box and joint with fresh draws, all equally likely, for some of the beads and braces."""
    beads, braces = some
    whole = len(beads) == len(setting.every.beads) and len(braces) == len(setting.every.bars)
    models = setting.states if whole else tuple(restricted(m, beads, braces) for m in setting.states)
    many = models[0].stations.count > FULL_STATIONS
    count = options.samples if not many else max(LEAST_DRAWS, options.samples // 4)
    if not setting.fielded:
        count = min(count, LEAST_DRAWS // 2)
    if len(models) == 1:
        return [World(chain or make_chain(models[0]), drawn(models[0], count, options.seed + 1))]
    each = -(-count // len(models))
    return [World(make_chain(m), drawn(m, each, options.seed + 1 + i)) for i, m in enumerate(models)]


def _shape(worlds: list[World], judge: Judge, pick: Judged) -> Shape:
    """Shapes of the draw whose pads are as far out of flat after the last stitch as the median says."""
    flatness = judge.flatness_mm(np.concatenate([y.outputs for y in pick.left]))
    # two draws lie beside the middle of an even number of them, equally far but for rounding: the first is taken
    near = int(np.argmin(np.round(np.abs(flatness - np.median(flatness)), 6)))
    for world in worlds:
        if near < world.draws.count:
            one = Draws(world.draws.wishes[near : near + 1], world.draws.limits[near : near + 1])
            return shape_after_beads(world.chain, pick.order, one)
        near -= world.draws.count
    raise AssertionError("a draw belongs to a world")


def _bare(setting: Setting, options: OrderOptions) -> list[World]:
    """The same worlds without the brace."""
    return _worlds(setting, (range(setting.beads), ()), options)
