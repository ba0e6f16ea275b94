"""Sleeves and ribs after the chosen order of stitches: their orders compared, and what each leaves of the flatness."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.fem.mesh import Floats
from cutplan.welding.distortion.compare import NO_PITCH, Judged, World, chance_within, drawn_band
from cutplan.welding.distortion.draws import variates
from cutplan.welding.distortion.later.drawn import later_drawn
from cutplan.welding.distortion.later.follow import LaterWorld, follow_later
from cutplan.welding.distortion.later.parts import LaterOrder, LaterPart, LaterPlan
from cutplan.welding.distortion.later.rows import PartRows, part_rows
from cutplan.welding.distortion.later.world import later_chain, moved_by
from cutplan.welding.distortion.model.condensed import TENDON
from cutplan.welding.distortion.result import TOLD_MM
from cutplan.welding.distortion.search.judge import Judge

#: Orders of the welds after the stitches, the usual one first.
SLEEVES_FIRST, RIBS_FIRST, ENDS_FIRST = "sleeves first", "ribs first", "outer ribs first"


@dataclass(frozen=True, slots=True, eq=False)
class _After:
    """An order of parts followed: pad outputs after each part, all draws together."""

    name: str
    order: tuple[int, ...]
    steps: list[Floats]


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


def plan_later(
    parts: Sequence[LaterPart], worlds: Sequence[World], judge: Judge, chosen: Judged, best: Judged, seed: int
) -> LaterPlan | None:
    """Return what the welds after the stitches do to the pads; None where there are none that can be taken.

    Parameters
    ----------
    parts : sequence of LaterPart
        Sleeves and ribs.
    worlds : sequence of World
        States of box and joint with their draws; all are equally likely.
    judge : Judge
        What is measured.
    chosen, best : Judged
        The order of stitches to weld, and the best one.
    seed : int
        Seed that the draws of the first state were made with; each further one counts on.
    """
    rows, left_out = part_rows(worlds[0].chain.model.sheets.bodies[0], parts)
    if not rows:
        return None
    within = [p for p in parts if p.name not in left_out]
    mine = _worlds(worlds, rows, seed)
    stitched = _stitched(worlds, chosen)
    orders = later_orders(within, tuple(worlds[0].chain.model.sheets.bodies[0].sheet.outer.mean(axis=0)))
    tried = [_After(name, order, follow_later(mine, order, stitched)) for name, order in orders.items()]
    scores = [judge.score(t.steps[-1]) for t in tried]
    usual, least = 0, int(np.argmin([s.mean() for s in scores]))
    told = [float(np.median(s - scores[least])) > TOLD_MM for s in scores]
    pick = usual if not told[usual] else least
    stand = True
    if best.result.name != chosen.result.name:
        rival = judge.score(follow_later(mine, tried[pick].order, _stitched(worlds, best))[-1])
        stand = float(np.median(scores[pick] - rival)) <= TOLD_MM
    results = tuple(_result(worlds[0], judge, within, t) for t in tried)
    steps = zip(tried[pick].order, tried[pick].steps, strict=True)
    return LaterPlan(
        results,
        results[pick],
        not any(told),
        tuple((within[i].name, drawn_band(judge.flatness_mm(outputs), "mm")) for i, outputs in steps),
        stand,
        left_out,
    )


def _worlds(worlds: Sequence[World], rows: list[PartRows], seed: int) -> list[LaterWorld]:
    """Each state with sleeves and ribs, and what their beads do on the days drawn for the stitches."""
    moved = moved_by(worlds[0].chain.model.sheets.bodies[0], rows)
    found = []
    for i, world in enumerate(worlds):
        model = world.chain.model
        days = variates(model, world.draws.count, seed + i)
        draws = later_drawn(model, rows, days, world.draws.limits, seed + 100 + i)
        found.append(LaterWorld(later_chain(world.chain, moved), tuple(rows), draws))
    return found


def _stitched(worlds: Sequence[World], one: Judged) -> list[tuple[Floats, Floats]]:
    """What an order of stitches left in each state: forces with the brace on, pad outputs under its pull alone."""
    sequence = one.order.sequence(worlds[0].chain.model.stations)
    found = []
    for world, left in zip(worlds, one.left, strict=True):
        chain = world.chain
        own = np.empty_like(left.forces)
        own[:, chain.places(sequence)] = left.forces
        pull = world.draws.wishes[:, TENDON]
        found.append((own, pull @ chain.tendon[chain.model.spring_count :].T))
    return found


def _result(world: World, judge: Judge, parts: Sequence[LaterPart], after: _After) -> LaterOrder:
    outputs = after.steps[-1]
    flatness, pitch = judge.flatness_mm(outputs), judge.pitch_mm(outputs)
    return LaterOrder(
        after.name,
        tuple(parts[i].name for i in after.order),
        drawn_band(flatness, "mm"),
        drawn_band(pitch, "mm") if len(judge.pitch) else NO_PITCH,
        chance_within(world.chain.model, flatness, pitch),
    )
