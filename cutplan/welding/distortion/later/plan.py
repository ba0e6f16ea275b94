"""Orders of stitches compared after all welds, and the order of sleeves and ribs that goes with the chosen one."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from cutplan.fem.mesh import Floats
from cutplan.welding.distortion.compare import NO_PITCH, Judged, World, chance_within, drawn_band, ended
from cutplan.welding.distortion.later.end import Rest, followed_on
from cutplan.welding.distortion.later.follow import LaterWorld
from cutplan.welding.distortion.later.parts import LaterOrder, LaterPart, LaterPlan
from cutplan.welding.distortion.model.condensed import Model
from cutplan.welding.distortion.result import TOLD_MM
from cutplan.welding.distortion.search.judge import Judge

#: Orders of the welds after the stitches, the usual one first.
SLEEVES_FIRST, RIBS_FIRST, ENDS_FIRST = "sleeves first", "ribs first", "outer ribs first"

#: Number of the order of stitches to weld, of some that are compared.
Choose = Callable[[list[Judged]], int]


def later_orders(parts: Sequence[LaterPart], middle: tuple[float, float]) -> dict[str, tuple[int, ...]]:
    """Return the orders that are compared, by name, as numbers of parts in turn; the usual one first.

    Parameters
    ----------
    parts : sequence of LaterPart
        Sleeves and ribs.
    middle : (float, float)
        Middle of the plate [mm]: ribs nearest to it come first.
    """
    sleeves = [i for i, p in enumerate(parts) if p.kind == "sleeve"]
    off = {i: float(np.hypot(*(p.beads[0].mean(axis=0) - middle))) for i, p in enumerate(parts) if p.kind == "rib"}
    ribs = sorted(off, key=lambda i: (round(off[i], 3), i))
    found = {SLEEVES_FIRST: (*sleeves, *ribs)}
    if sleeves and ribs:
        found[RIBS_FIRST] = (*ribs, *sleeves)
    if len(ribs) > 1:
        found[ENDS_FIRST] = (*sleeves, *ribs[::-1])
    return found


def orders_of(model: Model, rest: Rest) -> dict[str, tuple[int, ...]]:
    """Return the orders of the parts on a plate; see `later_orders`.

    Parameters
    ----------
    model : Model
        The condensed model.
    rest : Rest
        Sleeves and ribs on its plate.
    """
    x, y = model.sheets.bodies[0].sheet.outer.mean(axis=0)
    return later_orders(rest.parts, (float(x), float(y)))


def plan_later(
    rest: Rest,
    mine: Sequence[LaterWorld],
    worlds: Sequence[World],
    judge: Judge,
    judged: Sequence[Judged],
    choose: Choose,
    orders: Mapping[str, tuple[int, ...]],
) -> tuple[list[Judged], int, LaterPlan]:
    """Return orders of stitches as they end after all welds, the number of the one to weld, and what comes after it.

    The parts are taken in the first of their orders, unless another is told to be better after the chosen order of stitches.

    Parameters
    ----------
    rest : Rest
        Sleeves and ribs on the plate.
    mine : sequence of LaterWorld
        States of box and joint with sleeves and ribs.
    worlds : sequence of World
        The same states with the stitches' draws; all draws are equally likely.
    judge : Judge
        What is measured.
    judged : sequence of Judged
        Orders of the stitches, after the last of them.
    choose : callable
        Number of the order of stitches to weld, from all as they end.
    orders : mapping of str to tuple of int
        Orders of sleeves and ribs by name, as numbers of parts in turn.
    """
    model, name = worlds[0].chain.model, next(iter(orders))
    for last in (False, True):
        steps = followed_on(mine, orders[name], worlds, judged)
        outputs = steps[-1].outputs()
        ends = [ended(model, judge, one, left) for one, left in zip(judged, outputs, strict=True)]
        chosen = choose(ends)
        others = {n: followed_on(mine, o, worlds, [judged[chosen]])[-1] for n, o in orders.items() if n != name}
        left = {n: outputs[chosen] if n == name else others[n].outputs()[0] for n in orders}
        scores = {n: judge.score(outputs) for n, outputs in left.items()}
        least = min(scores, key=lambda n: float(scores[n].mean()))
        told = {n: float(np.median(s - scores[least])) > TOLD_MM for n, s in scores.items()}
        if last or not told[name]:
            break
        name = least
    results = {n: _result(model, judge, n, [rest.parts[i].name for i in orders[n]], left[n]) for n in orders}
    before = [step.outputs(chosen, chosen + 1)[0] for step in steps[:-1]]
    after = zip(orders[name], (*before, outputs[chosen]), strict=True)
    plan = LaterPlan(
        tuple(results.values()),
        results[name],
        not any(told.values()),
        tuple((rest.parts[i].name, drawn_band(judge.flatness_mm(one), "mm")) for i, one in after),
        rest.left_out,
    )
    return ends, chosen, plan


def _result(model: Model, judge: Judge, name: str, parts: Sequence[str], outputs: Floats) -> LaterOrder:
    flatness, pitch = judge.flatness_mm(outputs), judge.pitch_mm(outputs)
    return LaterOrder(
        name,
        tuple(parts),
        drawn_band(flatness, "mm"),
        drawn_band(pitch, "mm") if len(judge.pitch) else NO_PITCH,
        chance_within(model, flatness, pitch),
    )
