"""From plain geometry and beads to the compared and chosen order."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutplan.findings import Finding
from cutplan.welding.distortion.chain.elastic import Chain, make_chain
from cutplan.welding.distortion.chain.influence import lift_after_steps
from cutplan.welding.distortion.chain.scan import make_scanner, scores_of
from cutplan.welding.distortion.extra import extra_braces, extra_tacks, tack_place
from cutplan.welding.distortion.model.condensed import Model, make_model, restricted
from cutplan.welding.distortion.reason import reason_of
from cutplan.welding.distortion.report import Judged, judge_order
from cutplan.welding.distortion.result import ExtraPlace, OrderPlan, Robustness, Shape
from cutplan.welding.distortion.robust import drawn_wishes, robustness_of, sampled_scores
from cutplan.welding.distortion.search.judge import Judge, make_judge
from cutplan.welding.distortion.search.local import Progress, search_order
from cutplan.welding.distortion.search.orders import Order, people_orders
from cutplan.welding.distortion.task import Bead, BracePath, Inherent, OrderOptions, WeldTask

#: Name of the order that the search gives.
COMPUTED = "computed order"

#: Up to this many stations as many orders are tried as are wished [1].
FULL_SEARCH_STATIONS = 160


def compare_orders(
    task: WeldTask,
    beads: Sequence[Bead],
    inherent: Sequence[Inherent],
    options: OrderOptions,
    progress: Progress | None = None,
) -> OrderPlan:
    """Compare orders of beads and choose one.

    Parameters
    ----------
    task : WeldTask
        Plate, skin, joint, pads, brace.
    beads : sequence of Bead
        Tacks and stitches.
    inherent : sequence of Inherent
        What each bead does when it cools.
    options : OrderOptions
        How hard to look.
    progress : callable or None
        Called with orders evaluated and orders wanted.

    Raises
    ------
    JobError
        For beads without length or without shrinkage.
    GeometryError
        For outlines that cannot be meshed.
    """
    tacks = extra_tacks(task, beads, inherent, options.extra_places)
    own = [task.brace] if task.brace else []
    bars = [] if options.extra_places == 0 else extra_braces(task, options.extra_places)
    every = make_model(
        task,
        [*beads, *(b for b, _ in tacks)],
        [*inherent, *(i for _, i in tacks)],
        options,
        [*own, *bars],
    )
    planned = range(len(beads))
    model = restricted(every, planned, range(len(own)))
    chain, judge = make_chain(model), make_judge(model, options)
    evaluations = affordable(options.evaluations, model.stations.count)
    found = search_order(chain, judge, evaluations, options.seed, options.tacks_first, progress=progress)
    people = [judge_order(chain, judge, name, order) for name, order in people_orders(model.beads).items()]
    least = min(p.result.score for p in people)
    close = [judge_order(chain, judge, COMPUTED, order) for order in found.close]
    close = [c for c in close if c.result.score <= least] or close[-1:]
    wishes = drawn_wishes(model, options.samples, options.seed)
    scores = sampled_scores([j.influence for j in (*people, *close)], judge, wishes)
    # of the orders that score alike, the one that stays best most often against those that people use
    shares = [robustness_of(scores[[*range(len(people)), len(people) + i]], len(people)) for i in range(len(close))]
    pick = max(range(len(close)), key=lambda i: (shares[i].best_or_close, i))
    chosen, robust = close[pick], shares[pick]
    ranked = [*people, chosen]
    without = None
    if own:
        bare = make_chain(restricted(every, planned, ()))
        without = judge_order(bare, judge, f"{COMPUTED}, no brace", chosen.order).result
    extra = [
        *_more_tacks(every, judge, len(beads), len(own), chosen.order),
        *_more_braces(every, judge, len(beads), len(own), bars, chosen.order),
    ]
    return OrderPlan(
        orders=tuple(j.result for j in ranked),
        chosen=chosen.result,
        reason=reason_of(model, judge, chosen, people, robust),
        robustness=robust,
        without_brace=without,
        extra=tuple(sorted(extra, key=lambda e: (e.score, e.where))),
        shape=_shape(chain, chosen.order) if options.steps_shape else None,
        evaluations=found.evaluations,
        stations=model.stations.count,
        findings=_findings(model, chosen, robust),
    )


def affordable(evaluations: int, stations: int) -> int:
    """Return how many orders are tried: all that are wished up to 160 stations, then fewer, so that time stays bounded.

    An order costs about the square of its stations, so beyond 160 the number falls with the square, to no fewer than
    a tenth of what is wished.
    """
    share = min(1.0, (FULL_SEARCH_STATIONS / max(stations, 1)) ** 2)
    return max(int(evaluations * share), min(evaluations, evaluations // 10 + 1))


def _more_tacks(every: Model, judge: Judge, count: int, own: int, order: Order) -> list[ExtraPlace]:
    """Each candidate tack added after the tacks, and before them; the better counts."""
    result = []
    for number in range(count, len(every.beads)):
        chain = make_chain(restricted(every, [*range(count), number], range(own)))
        kinds = [every.beads[int(b)].kind for b in order.beads]
        tries = []
        for place in sorted({0, kinds.count("tack") if "stitch" in kinds else len(kinds)}):
            longer = Order(np.insert(order.beads, place, count), np.insert(order.backward, place, False))
            tries.append(_score(chain, judge, longer))
        score, flat = min(tries)
        bead = every.beads[number]
        result.append(ExtraPlace("tack", bead.name, tack_place(every.task, bead), flat, score))
    return result


def _more_braces(
    every: Model, judge: Judge, count: int, own: int, bars: Sequence[BracePath], order: Order
) -> list[ExtraPlace]:
    result = []
    for number, bar in enumerate(bars):
        chain = make_chain(restricted(every, range(count), [*range(own), own + number]))
        score, flat = _score(chain, judge, order)
        middle = np.mean(np.array(bar.points), axis=0)
        result.append(ExtraPlace("brace", bar.name, (float(middle[0]), float(middle[1])), flat, score))
    return result


def _score(chain: Chain, judge: Judge, order: Order) -> tuple[float, float]:
    """Score and out of flat at the middle of the bands of one order [mm]."""
    scanned = make_scanner(chain).scan(order.sequence(chain.model.stations)[None, :])
    return float(scores_of(judge, scanned)[0]), float(judge.flatness_mm(scanned.pads[0, 0]))


def _shape(chain: Chain, order: Order) -> Shape:
    """Heights of all vertices after each bead of an order."""
    model = chain.model
    sequence = order.sequence(model.stations)
    ends = np.cumsum([len(model.stations.of(int(b), False)) for b in order.beads])
    labels = ["start", *(model.beads[int(b)].name for b in order.beads)]
    rows = [0, *ends]
    if model.brace_count:
        rows.append(model.stations.count + 1)
        labels.append("brace off" if model.task.brace else "magnets off")
    plate, skin = (b.mesh for b in model.bodies)
    return Shape(
        np.vstack([plate.points, skin.points]),
        np.vstack([plate.triangles, skin.triangles + len(plate.points)]),
        np.repeat([True, False], [len(plate.points), len(skin.points)]),
        lift_after_steps(chain, sequence, rows),
        tuple(labels),
    )


def _findings(model: Model, chosen: Judged, robust: Robustness) -> tuple[Finding, ...]:
    result, found = chosen.result, []
    if result.at_yield:
        found.append(
            Finding(
                "weld-at-yield",
                "warning",
                f"tension across the joint reaches yield ({result.restraint_N_per_mm2.text(0)}): the gap cannot close "
                "freely, the weld will crack or the skin buckle rather than move",
                fix="tack with the smallest gap, weld short stitches, let each cool",
            )
        )
    if result.closing_mm.high > model.task.ligament_mm and not model.task.lap:
        found.append(
            Finding(
                "gap-closes",
                "warning",
                f"of {model.task.ligament_mm:.2f} mm of gap, {result.closing_mm.text(2)} may close ahead of the arc",
                where=f"before bead {result.closing_at}",
                fix="one more tack there, or a wider gap",
            )
        )
    if not robust.holds:
        found.append(
            Finding(
                "order-not-sure",
                "note",
                f"the chosen order is best or within 10 % in {100.0 * robust.best_or_close:.0f} % of the drawn cases",
                fix="weld the coupon to narrow the band, and look to the brace",
            )
        )
    if len(model.pads.place) < 3 or not model.task.pads:
        found.append(Finding("no-pads", "note", "no pads are given, so the plate's rim stands for them"))
    return tuple(found)
