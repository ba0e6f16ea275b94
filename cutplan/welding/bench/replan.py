"""The stitches that are left, re-planned on what was read: one job, its plan and its readings in, a new plan out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutplan.errors import JobError
from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Span
from cutplan.pattern.shop import Shop
from cutplan.texts import name, say
from cutplan.welding.basis import Basis, weld_basis
from cutplan.welding.bench.history import History, history_of, written_row
from cutplan.welding.bench.later import later_left, outlook_before
from cutplan.welding.bench.result import BenchPlan, BenchReadings, DialRead, GapRead, Lesson, Outlook, Reread
from cutplan.welding.bench.stages import spelled
from cutplan.welding.bench.words import lesson_name, reading_name, reasons, row_words
from cutplan.welding.compared import order_figure
from cutplan.welding.distortion import Step
from cutplan.welding.distortion.adapter import task_of
from cutplan.welding.distortion.bench.rest import plan_rest
from cutplan.welding.distortion.bench.result import RestPlan
from cutplan.welding.distortion.bench.watch import OpenGap, PadHeight, Watched
from cutplan.welding.distortion.draws import HALF_BAND
from cutplan.welding.distortion.seam import Seam
from cutplan.welding.distortion.search.orders import Order
from cutplan.welding.distortion.unmeasured import GAP_ERROR_MM
from cutplan.welding.heat.timing import Turn
from cutplan.welding.later.make import later_parts
from cutplan.welding.later.words import bend_doubts
from cutplan.welding.order import Progress, modelled, options_of, turns_of
from cutplan.welding.placing import placed_beads, starts_of
from cutplan.welding.result import PlacedBead, WeldPlan

#: Standard error of one reading: feelers in a gap, and a dial put back on its mark [mm] (common practice: leaves of
#: 0.05 mm; a dial of 0.01 mm on a magnetic stand).
FEELER_MM, DIAL_MM = 0.05, 0.02
#: How far a pad is out of flat before the first tack where no dial was set to zero there [mm] (our judgement).
UNREAD_MM = 0.05
#: Dial readings of one round below which nothing is told of flatness: three fix the plane of the stand.
LEAST_DIALS = 4


def replan(
    job: Job, shop: Shop | None, plan: WeldPlan, readings: BenchReadings, progress: Progress | None = None
) -> BenchPlan:
    """Return how to go on after readings.

    Parameters
    ----------
    job : Job
        The job
    shop : Shop or None
        The shop's measurements that the plan was made with
    plan : WeldPlan
        Its plan
    readings : BenchReadings
        What was read and welded
    progress : callable or None
        Called with (orders followed, orders wanted)

    Returns
    -------
    BenchPlan
        What is left in its new order, the chance with it, and what the readings said.

    Raises
    ------
    JobError
        When the order was not computed, nothing is left, or readings name what is not there.
    """
    from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

    if plan.order.draws == 0:
        raise JobError(
            say("the order is by rule, so readings cannot re-plan it"), "weld", say("see why it was not computed")
        )
    readings = spelled(plan, readings)
    history = history_of(plan, readings)
    basis = weld_basis(job, shop)
    spans = _spans(plan, history)
    tacks = len(plan.tacks)
    beads, inherent = modelled(job, basis.joint, spans[:tacks], spans[tacks:], basis.bead)
    watched, findings = _watched(job, plan, readings, history)
    task, _ = task_of(job)

    def minutes(steps: tuple[Step, ...]) -> float:
        return _left_s(job, basis, spans, turns_of(steps), history.laid) / 60.0

    planned = _order(history.turns)
    with threadpool_limits(limits=1):
        rest = plan_rest(
            Seam(task, beads, inherent, later_parts(job)),
            planned,
            planned.part(0, history.laid),
            watched,
            options_of(job),
            progress,
            minutes,
            plan.order.later.chosen.name if plan.order.later is not None else None,
            history.parts,
        )
    return _plan(job, basis, plan, history, rest, readings, findings)


def _spans(plan: WeldPlan, history: History) -> tuple[Span, ...]:
    """Stretches of all beads in the order of the model."""
    by_name = {b.name: b.span for b in (*plan.tacks, *plan.stitches)}
    return tuple(by_name[n] for n in history.names)


def _order(turns: tuple[Turn, ...]) -> Order:
    return Order(np.array([t.bead for t in turns], dtype=np.int64), np.array([t.backward for t in turns], dtype=bool))


def _watched(
    job: Job, plan: WeldPlan, readings: BenchReadings, history: History
) -> tuple[list[Watched], tuple[Finding, ...]]:
    """The readings as the model sees them; those that say nothing are told and left out."""
    tacks = len(plan.tacks)
    found: list[Watched] = []
    findings: list[Finding] = []
    if readings.gaps and job.joint.kind == "lap":
        text = say("gaps under a lap say how the parts lie, not how they shrink: they are not used here")
        findings.append(Finding("lap-gaps-unused", "note", text, "gap"))
    for g in readings.gaps if job.joint.kind == "butt" else ():
        before, error = (
            (job.joint.gap_mm, GAP_ERROR_MM / HALF_BAND) if g.before_mm is None else (g.before_mm, FEELER_MM)
        )
        along, _ = job.plate.outline.nearest(g.place)
        found.append(
            OpenGap(history.when(g.after, tacks), along, before - g.value_mm, float(np.hypot(error, FEELER_MM)))
        )
    for stage in dict.fromkeys(d.after for d in readings.dials):
        mine = [d for d in readings.dials if d.after == stage]
        if len(mine) < LEAST_DIALS:
            text = say(
                "{count} dial readings after {stage} fix their own plane only", count=len(mine), stage=name(stage)
            )
            fix = say("read at least {least} places, on two pads or more", least=LEAST_DIALS)
            findings.append(Finding("dials-too-few", "warning", text, "dial", fix))
        for d in mine:
            zero, error = (0.0, UNREAD_MM) if d.zero_mm is None else (d.zero_mm, DIAL_MM)
            at = (d.place.x, d.place.y)
            laid = history.when(stage, tacks)
            found.append(PadHeight(laid, d.pad, at, d.value_mm - zero, float(np.hypot(error, DIAL_MM))))
    return found, tuple(findings)


def _left_s(job: Job, basis: Basis, spans: tuple[Span, ...], turns: tuple[Turn, ...], laid: int) -> float:
    """Time from the next arc to the last [s]."""
    if laid >= len(turns):
        return 0.0
    starts = starts_of(job, basis, spans, turns)
    return starts[-1].end_s - starts[laid].start_s


def _plan(
    job: Job,
    basis: Basis,
    plan: WeldPlan,
    history: History,
    rest: RestPlan,
    readings: BenchReadings,
    findings: tuple[Finding, ...],
) -> BenchPlan:
    """The rest of the order as it lies on the plate, with what is said about it."""
    turns, spans = turns_of(rest.chosen.steps), _spans(plan, history)
    starts = starts_of(job, basis, spans, turns)
    placed = placed_beads(job, basis, history.names, spans, len(plan.tacks), turns, starts)
    used: list[GapRead | DialRead] = [*(readings.gaps if job.joint.kind == "butt" else ()), *_by_stage(readings)]
    reread = tuple(
        Reread(reading_name(used[r.number]), used[r.number].value_mm, r.read_mm, r.before, r.after, r.odd)
        for r in rest.readings
    )
    before, now = outlook_before(plan, history, rest), rest.chosen
    placed = _numbered(placed)
    outlook = Outlook(now.chance_within, now.flatness_mm, now.stitched) if reread else before
    return BenchPlan(
        agrees=rest.agrees,
        kept=rest.kept and rest.later_kept,
        done=placed[: rest.laid],
        left=placed[rest.laid :],
        reason=(*reasons(job, rest, reread, before), *row_words(written_row(plan, history, turns))),
        before=before,
        now=outlook if rest.agrees else None,
        readings=reread,
        lessons=tuple(Lesson(lesson_name(x.key), x.before, x.after, x.told) for x in rest.learnt),
        orders=tuple(order_figure(o, o.name == rest.chosen.name) for o in rest.orders),
        draws=rest.draws,
        effective=rest.effective,
        time_s=_left_s(job, basis, spans, turns, rest.laid),
        findings=(*findings, *(bend_doubts(job, rest.later, now.stitched) if rest.laid < len(turns) else ())),
        later=later_left(job, basis.joint, plan, rest, history.parts),
    )


def _by_stage(readings: BenchReadings) -> list[DialRead]:
    """Dial readings in the order in which the model saw them."""
    stages = dict.fromkeys(d.after for d in readings.dials)
    return [d for stage in stages for d in readings.dials if d.after == stage]


def _numbered(beads: tuple[PlacedBead, ...]) -> tuple[PlacedBead, ...]:
    """Beads numbered in the order of welding, each kind from 1, so that a number welded by the plan stays what it was."""
    found: list[PlacedBead] = []
    for bead in beads:
        found.append(replace(bead, number=sum(b.kind == bead.kind for b in found) + 1))
    return tuple(found)
