"""The weld plan: one job in, everything that the welder needs out."""

from __future__ import annotations

from dataclasses import replace
from math import degrees, pi, sqrt

from cutplan.pattern.job import Job
from cutplan.pattern.joint import Span
from cutplan.pattern.shop import Shop
from cutplan.pattern.skin import WALL_SIDES
from cutplan.texts import Message, code, say, together
from cutplan.welding.basis import Basis, weld_basis
from cutplan.welding.compared import order_figure
from cutplan.welding.distortion.unmeasured import UNMEASURED
from cutplan.welding.doubts import heat_doubts, lift_doubt, plug_note, position_doubt, stress_doubts
from cutplan.welding.heat.reach import plan_reach
from cutplan.welding.heat.timing import Turn, heat_room, hot_beads
from cutplan.welding.heat.wait import Start
from cutplan.welding.heat.warmth import cooling_band, heated, keep_away
from cutplan.welding.later.make import later_welds
from cutplan.welding.later.words import later_doubts
from cutplan.welding.order import RULE_NAME, Ordered, Progress, closer_spacing_mm, order_beads, shape_after
from cutplan.welding.order_choices import WARMER_K, choice_reason, choices
from cutplan.welding.order_words import brace_figure
from cutplan.welding.placing import placed_beads, starts_of
from cutplan.welding.result import FreeFigures, HeatFigures, OrderFigures, Tacking, WeldPlan
from cutplan.welding.settings.consumption import consumption
from cutplan.welding.shrinkage.buckling import buckling
from cutplan.welding.shrinkage.restraint import insert_restraint
from cutplan.welding.stitches.split import split_joint
from cutplan.welding.stitches.tacks import TackPlan, plan_tacks
from cutplan.welding.words import shown


def plan_weld(job: Job, shop: Shop | None = None, progress: Progress | None = None) -> WeldPlan:
    """Return how a plate is welded in.

    Parameters
    ----------
    job : Job
        The job
    shop : Shop or None
        The shop's measurements; a weld trial at this process and thickness narrows the bands
    progress : callable or None
        Called with (done, total) while orders are compared

    Returns
    -------
    WeldPlan
        Settings, heat, tacks, stitches, waits, orders and cautions. Leaving a range is a finding.

    Raises
    ------
    JobError
        When no edge is left to weld.
    """
    basis = weld_basis(job, shop)
    tacks, ordered = _tacked_and_ordered(job, basis, progress)
    starts = starts_of(job, basis, ordered.spans, ordered.turns)
    placed = placed_beads(job, basis, ordered.names, ordered.spans, ordered.tacks, ordered.turns, starts)
    heat = _heat(job, basis, ordered, starts)
    free = _free(job, shop, basis)
    order = _order(job, basis, ordered)
    # the comparison says itself whether the gap closes
    findings = [*basis.findings, *(tacks.findings if ordered.plan is None else ()), *ordered.findings]
    findings += lift_doubt(order.shape, basis.joint.thin_mm)
    findings += later_doubts(job, order)
    findings += heat_doubts(job, starts, heat.reach)
    findings += position_doubt(job, basis.joint)
    findings += [plug_note(job, basis.joint)] if basis.joint.plugs else []
    findings += stress_doubts(basis.joint, free.buckling, free.restraint, {f.code for f in findings})
    after = ordered.plan.later if ordered.plan else None
    closing = ordered.plan.chosen.closing_mm if ordered.plan else tacks.closing_mm
    return WeldPlan(
        joint=basis.joint,
        settings=basis.settings,
        runs=basis.runs,
        total_time_s=starts[-1].end_s,
        heat=heat,
        uses=consumption(basis.joint, basis.settings, placed, basis.runs, basis.laid_mm2),
        free=free,
        tacking=Tacking(tacks.length_mm, tacks.spacing_mm, tacks.rule, closing),
        order=order,
        tacks=tuple(b for b in placed if b.kind == "tack"),
        stitches=tuple(b for b in placed if b.kind == "stitch"),
        findings=tuple(findings),
        later=later_welds(job, basis.joint, sum(b.kind == "stitch" for b in placed), after),
    )


def _tacked_and_ordered(job: Job, basis: Basis, progress: Progress | None) -> tuple[TackPlan, Ordered]:
    """Tacks and the order of all beads; closer tacks, once, where the model sees the gap close."""
    joint, wish, shrink = basis.joint, job.welding, basis.bead.shrink_mm
    stitches = split_joint(joint, wish.stitch_mm)

    def minutes(spans: tuple[Span, ...], turns: tuple[Turn, ...]) -> float:
        return starts_of(job, basis, spans, turns)[-1].end_s / 60.0

    tacks = plan_tacks(joint, stitches, shrink, wish.tack_mm, wish.tack_spacing_mm)
    ordered = order_beads(job, joint, tacks, stitches, basis.bead, progress, minutes)
    closer = closer_spacing_mm(joint, tacks, ordered, wish.tack_spacing_mm)
    if closer is None:
        return tacks, ordered
    tacks = plan_tacks(joint, stitches, shrink, wish.tack_mm, closer)
    words = say("closer because the order model saw the gap close")
    tacks = replace(tacks, rule=together(tacks.rule, words, sep="; "))
    return tacks, order_beads(job, joint, tacks, stitches, basis.bead, progress, minutes)


def _heat(job: Job, basis: Basis, ordered: Ordered, starts: tuple[Start, ...]) -> HeatFigures:
    """Heat input, cooling time and distances to keep."""
    heat, joint = basis.settings.arc.heat_input_J_per_mm, basis.joint
    hot = hot_beads(job.plate.outline, ordered.spans, ordered.turns, basis.settings, basis.runs)
    reach = plan_reach(hot, starts, job.plate.outline, heat_room(job, joint), job.welding.ambient_C)
    reach = replace(reach, insert_C=heated(reach.insert_C, heat, job.welding.ambient_C))
    time, regime = cooling_band(job, joint, heat)
    return HeatFigures(heat, time, regime, job.welding.interpass_C, keep_away(job, joint, heat, reach), reach)


def _free(job: Job, shop: Shop | None, basis: Basis) -> FreeFigures:
    """What one stitch does when it is free, and what it meets in skin and plate."""
    bead, walls = basis.bead, job.skin.walls
    # what nobody measured may be as wide as the order model's widest box
    free = {s: walls.mm(s) * (UNMEASURED[2] if s in walls.assumed else 1.0) for s in WALL_SIDES}
    widest = max(WALL_SIDES, key=lambda s: free[s])
    angle = bead.angle_rad.times(degrees(1.0), "deg")
    words = Message("")
    if basis.narrowed:
        words = say(
            "{file}: shrinkage {shrink} and angle {angle} narrowed by the shop's own trial piece",
            file=code(shop.source) if shop and shop.source else say("the shop file"),
            shrink=shown(bead.shrink_mm, 2),
            angle=shown(angle, 1),
        )
    return FreeFigures(
        bead.shrink_mm,
        bead.tendon.force_N,
        angle,
        insert_restraint(bead.shrink_mm.mid, sqrt(job.plate.outline.area / pi), basis.weaker_N_per_mm2),
        buckling(bead.tendon.force_N.mid, job.skin.thickness_mm, free[widest], measured=widest not in walls.assumed),
        words,
    )


def _order(job: Job, basis: Basis, ordered: Ordered) -> OrderFigures:
    """The comparison of orders as figures."""
    plan = ordered.plan
    if plan is None:
        return OrderFigures((), RULE_NAME, ordered.reason, 0, (), Message(""), brace_figure(job, None), None)
    compared = tuple(order_figure(o, o.name == plan.chosen.name) for o in plan.orders)
    warm = replace(job, welding=replace(job.welding, interpass_C=job.welding.interpass_C + WARMER_K))
    warmer_min = starts_of(warm, basis, ordered.spans, ordered.turns)[-1].end_s / 60.0
    ways = choices(job, plan, {o.key: o.total_s / 60.0 for o in compared}, warmer_min)
    brace, shape = brace_figure(job, plan), shape_after(plan)
    return OrderFigures(
        compared, plan.chosen.name, ordered.reason, plan.draws, ways, choice_reason(ways), brace, shape, plan.later
    )
