"""The order of beads: from the distortion model, or by rule where the model cannot be used."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from cutplan.errors import CutplanError
from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Span
from cutplan.tables.tack_rules import SPACING_LIMITS_MM
from cutplan.welding.distortion import Bead, ExtraPlace, Inherent, OrderOptions, OrderPlan, OrderResult, plan_order
from cutplan.welding.heat.timing import Turn
from cutplan.welding.result import BraceFigure, ShapeAfter
from cutplan.welding.shrinkage.free_bead import FreeBead, of_tack
from cutplan.welding.stitches.joint import WeldJoint
from cutplan.welding.stitches.tacks import TackPlan, sequence_by_rule

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Ordered:
    """Beads with the order chosen for them.

    Parameters
    ----------
    names : tuple of str
        Names of the beads, tacks first.
    spans : tuple of Span
        Their stretches [mm].
    tacks : int
        How many of them are tacks.
    turns : tuple of Turn
        The chosen order.
    plan : OrderPlan or None
        The model's answer; None when the order is by rule.
    reason : str
        Why this order.
    findings : tuple of Finding
        Doubts.
    """

    names: tuple[str, ...]
    spans: tuple[Span, ...]
    tacks: int
    turns: tuple[Turn, ...]
    plan: OrderPlan | None
    reason: str
    findings: tuple[Finding, ...]


RULE_NAME = "opposite pairs, back-step (rule)"


def rule_turns(tacks: TackPlan, stitches: tuple[Span, ...], joint: WeldJoint) -> tuple[Turn, ...]:
    """Return the order by rule: tacks in opposite pairs, stitches the same way, each welded backward."""
    first = [Turn(i, False) for i in tacks.sequence]
    middles = tuple(0.5 * (s.start_mm + s.end_mm) for s in stitches)
    then = sequence_by_rule(middles, joint.outline_mm, joint.closed)
    return (*first, *(Turn(len(tacks.tacks) + i, True) for i in then))


def order_beads(
    job: Job,
    joint: WeldJoint,
    tacks: TackPlan,
    stitches: tuple[Span, ...],
    bead: FreeBead,
    progress: Progress | None = None,
) -> Ordered:
    """Return the beads of a job in the order to weld them.

    Parameters
    ----------
    job : Job
        The job
    joint : WeldJoint
        Its joint
    tacks : TackPlan
        Its tacks
    stitches : tuple of Span
        Its stitches [mm]
    bead : FreeBead
        What a long bead does
    progress : callable or None
        Called with (orders tried, orders allowed)

    Returns
    -------
    Ordered
        Order from the distortion model; by rule, with a finding, where the model refuses the job.
    """
    names = tuple([f"T{i + 1}" for i in range(len(tacks.tacks))] + [f"S{i + 1}" for i in range(len(stitches))])
    spans = (*tacks.tacks, *stitches)
    count = len(tacks.tacks)
    beads = tuple(
        Bead(name, "tack" if i < count else "stitch", span.start_mm, span.end_mm, joint.throat_mm)
        for i, (name, span) in enumerate(zip(names, spans, strict=True))
    )
    small, long = of_tack(bead), bead
    inherent = tuple(
        Inherent(b.shrink_mm, b.tendon.force_N, b.angle_rad)
        for b in (small if i < count else long for i in range(len(spans)))
    )
    options = OrderOptions(evaluations=job.welding.orders)
    try:
        plan = plan_order(job, beads, inherent, options, progress)
    except CutplanError as error:
        finding = Finding(
            "order-not-computed",
            "warning",
            f"the order is by rule, its distortion was not computed: {error.message}",
            error.where,
            error.hint,
        )
        reason = "By rule: opposite pairs share out the heat and the pull, each stitch welded towards the one before."
        return Ordered(names, spans, count, rule_turns(tacks, stitches, joint), None, reason, (finding,))
    turns = tuple(Turn(s.bead, s.backward) for s in plan.chosen.steps)
    return Ordered(names, spans, count, turns, plan, plan.reason, plan.findings)


def closer_spacing_mm(joint: WeldJoint, tacks: TackPlan, ordered: Ordered, wanted_mm: float | None) -> float | None:
    """Return a closer tack spacing where the model sees the gap close before an arc arrives, else None.

    Parameters
    ----------
    joint : WeldJoint
        Joint
    tacks : TackPlan
        Tacks tried
    ordered : Ordered
        The model's answer for them
    wanted_mm : float or None
        Spacing from the job, which is never changed [mm]

    Returns
    -------
    float or None
        Spacing to try next [mm]: two thirds, at least our lower limit; None when there is nothing to change.
    """
    lowest = SPACING_LIMITS_MM[0]
    if joint.leg_mm > 0.0 or ordered.plan is None or wanted_mm is not None or tacks.spacing_mm <= lowest:
        return None
    if ordered.plan.chosen.closing_mm.mid < joint.gap_mm:
        return None
    return max(lowest, tacks.spacing_mm * 2.0 / 3.0)


def turns_of(result: OrderResult) -> tuple[Turn, ...]:
    """Return the turns of one of the model's orders."""
    return tuple(Turn(s.bead, s.backward) for s in result.steps)


#: A change below this share of what is there is not worth a tack or a brace [1] (our own).
WORTH = 0.1


def _where(extra: ExtraPlace) -> str:
    """Where one more tack goes, as a place on the plate; a brace by the pads that it joins."""
    if extra.kind == "tack":
        return f"at x {extra.at_mm[0]:.0f}, y {extra.at_mm[1]:.0f} mm"
    return extra.where


def brace_figure(job: Job, plan: OrderPlan | None) -> BraceFigure:
    """Return what the brace is worth, and where one more tack or brace would help, from the model's answer."""
    present = job.brace is not None
    if plan is None:
        return BraceFigure(present, None, None, "Not computed: the order is by rule.", ())
    helpful = [e for e in plan.extra if e.score < (1.0 - WORTH) * plan.chosen.score]
    extras = tuple(
        f"{e.kind} {_where(e)}: flatness {e.flatness_mm:.2f} mm" for e in sorted(helpful, key=lambda e: e.score)
    )
    here = plan.chosen.flatness_mm
    if plan.without_brace is None:
        return BraceFigure(
            present,
            here if present else None,
            None if present else here,
            "No brace in the job: the best place for one is listed."
            if extras
            else "No brace in the job, and none of the tacks and braces tried would make the pads flatter.",
            extras,
        )
    bare = plan.without_brace.flatness_mm
    gain = bare.mid - here.mid
    if gain > WORTH * bare.mid:
        worth = f"the brace takes {gain:.2f} mm off the pads' flatness ({bare.mid:.2f} to {here.mid:.2f} mm)"
    elif gain < -WORTH * bare.mid:
        worth = (
            f"the pads end up flatter without the brace ({bare.mid:.2f} mm) than with it ({here.mid:.2f} mm): "
            "it springs back when it comes off"
        )
    else:
        worth = f"the brace changes little ({bare.mid:.2f} mm without, {here.mid:.2f} mm with it)"
    return BraceFigure(True, here, bare, worth[0].upper() + worth[1:] + ".", extras)


def shape_after(plan: OrderPlan | None) -> ShapeAfter | None:
    """Return the displaced shapes of the chosen order, where the model computed them."""
    if plan is None or plan.shape is None:
        return None
    s = plan.shape
    return ShapeAfter(s.points, s.triangles, s.is_plate, s.lift_mm, s.labels)
