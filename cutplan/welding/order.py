"""The order of beads: from the distortion model, or by rule where the model cannot be used."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from cutplan.errors import CutplanError, JobError
from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Span
from cutplan.tables.welding.tack_rules import SPACING_LIMITS_MM
from cutplan.texts import Message, code, say
from cutplan.welding.distortion import Bead, Inherent, OrderOptions, OrderPlan, Step, plan_order
from cutplan.welding.heat.timing import Turn
from cutplan.welding.later.make import later_parts
from cutplan.welding.order_words import reasons
from cutplan.welding.result import ShapeAfter
from cutplan.welding.shrinkage.free_bead import FreeBead, of_tack
from cutplan.welding.stitches.joint import WeldJoint
from cutplan.welding.stitches.position import position_of
from cutplan.welding.stitches.tacks import TackPlan, sequence_by_rule
from cutplan.welding.words import as_value

Progress = Callable[[int, int], None]
TimeOf = Callable[[tuple[Span, ...], tuple[Turn, ...]], float]

#: Orders that the job allows for each one that is followed with metal that yields [1]: one costs as much as so many
#: elastic ones.
ORDERS_PER_EVALUATION = 22
#: Most beads that the model follows [1]: its time grows with their square or more, its memory with their square.
MOST_BEADS = 350


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
    reason : tuple of Message
        Why this order, sentence by sentence.
    findings : tuple of Finding
        Doubts.
    """

    names: tuple[str, ...]
    spans: tuple[Span, ...]
    tacks: int
    turns: tuple[Turn, ...]
    plan: OrderPlan | None
    reason: tuple[Message, ...]
    findings: tuple[Finding, ...]


RULE_NAME = "opposite pairs, back-step (rule)"


def rule_turns(
    tacks: TackPlan, stitches: tuple[Span, ...], joint: WeldJoint, ways: tuple[int, ...]
) -> tuple[Turn, ...]:
    """Return the order by rule: tacks in opposite pairs, stitches the same way, backward where gravity has no say."""
    first = [Turn(i, False) for i in tacks.sequence]
    middles = tuple(0.5 * (s.start_mm + s.end_mm) for s in stitches)
    then = sequence_by_rule(middles, joint.line.outline_mm, joint.line.closed)
    return (*first, *(Turn(len(tacks.tacks) + i, ways[i] <= 0) for i in then))


def order_beads(
    job: Job,
    joint: WeldJoint,
    tacks: TackPlan,
    stitches: tuple[Span, ...],
    bead: FreeBead,
    progress: Progress | None = None,
    time_of: TimeOf | None = None,
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
    time_of : callable or None
        Minutes that the turns of an order take, given the stretches of all beads

    Returns
    -------
    Ordered
        Order from the distortion model; by rule, with a finding, where the model refuses the job.
    """
    count = len(tacks.tacks)
    spans = (*tacks.tacks, *stitches)
    beads, inherent = modelled(job, joint, tacks.tacks, stitches, bead)
    names = tuple(b.name for b in beads)
    options = options_of(job)

    def minutes(steps: tuple[Step, ...]) -> float:
        return time_of(spans, turns_of(steps)) if time_of is not None else 0.0

    try:
        _not_too_many(len(beads))
        plan = plan_order(job, beads, inherent, options, progress, minutes, later_parts(job))
    except (CutplanError, ValueError, ArithmeticError) as error:
        return _by_rule(names, spans, tacks, stitches, joint, tuple(b.way for b in beads[count:]), error)
    return Ordered(names, spans, count, turns_of(plan.chosen.steps), plan, reasons(job, plan), plan.findings)


def modelled(
    job: Job, joint: WeldJoint, tacks: tuple[Span, ...], stitches: tuple[Span, ...], bead: FreeBead
) -> tuple[tuple[Bead, ...], tuple[Inherent, ...]]:
    """Return beads and what each does when it cools, tacks first, for the distortion model.

    Parameters
    ----------
    job : Job
        The job
    joint : WeldJoint
        Its joint
    tacks, stitches : tuple of Span
        Their stretches [mm]
    bead : FreeBead
        What a long bead does
    """
    count = len(tacks)
    names = [f"T{i + 1}" for i in range(count)] + [f"S{i + 1}" for i in range(len(stitches))]
    beads = tuple(
        Bead(
            name,
            "tack" if i < count else "stitch",
            span.start_mm,
            span.end_mm,
            joint.throat_mm,
            0 if i < count else position_of(job, span, joint.thin_mm)[1],
        )
        for i, (name, span) in enumerate(zip(names, (*tacks, *stitches), strict=True))
    )
    small, long = of_tack(bead), bead
    inherent = tuple(
        Inherent(b.shrink_mm, b.tendon.free_N, b.angle_rad, b.tendon.section_mm2)
        for b in (small if i < count else long for i in range(len(beads)))
    )
    return beads, inherent


def options_of(job: Job) -> OrderOptions:
    """Return how hard to look for an order of a job."""
    evaluations = max(job.welding.orders // ORDERS_PER_EVALUATION, 10)
    return OrderOptions(evaluations=evaluations, order=job.welding.order)


def _not_too_many(beads: int) -> None:
    if beads > MOST_BEADS:
        raise JobError(
            say("the seam has {count} beads, more than the {most} that are followed", count=beads, most=MOST_BEADS),
            "welding.stitch",
            say("ask for longer stitches with {this}", this=code("[welding] stitch")),
        )


def _by_rule(
    names: tuple[str, ...],
    spans: tuple[Span, ...],
    tacks: TackPlan,
    stitches: tuple[Span, ...],
    joint: WeldJoint,
    ways: tuple[int, ...],
    error: Exception,
) -> Ordered:
    """The order by rule, where the model refuses the job or its mesh has no answer."""
    known = isinstance(error, CutplanError)
    problem = as_value(error.message) if isinstance(error, CutplanError) else say("the plates cannot be meshed well")
    finding = Finding(
        "order-not-computed",
        "warning",
        say("the order is by rule, its distortion was not computed: {problem}", problem=problem),
        error.where if isinstance(error, CutplanError) else "plate",
        error.hint if known and isinstance(error, CutplanError) else "",
    )
    reason = say("By rule: opposite pairs share out the heat and the pull, each stitch welded towards the one before.")
    return Ordered(
        names, spans, len(tacks.tacks), rule_turns(tacks, stitches, joint, ways), None, (reason,), (finding,)
    )


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


def turns_of(steps: tuple[Step, ...]) -> tuple[Turn, ...]:
    """Return the turns that the steps of a computed order stand for."""
    return tuple(Turn(s.bead, s.backward) for s in steps)


def shape_after(plan: OrderPlan | None) -> ShapeAfter | None:
    """Return the displaced shapes of the chosen order, where the model computed them."""
    if plan is None or plan.shape is None:
        return None
    s = plan.shape
    return ShapeAfter(s.points, s.triangles, s.is_plate, s.lift_mm, s.labels)
