"""Sleeves and ribs after readings: as lines with what is expected after each, and what was expected before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutplan.pattern.job import Job
from cutplan.welding.bench.history import History
from cutplan.welding.bench.result import Outlook
from cutplan.welding.bench.stages import computed_parts
from cutplan.welding.distortion.bench.result import RestPlan
from cutplan.welding.later.make import later_welds
from cutplan.welding.later.result import LaterWeld
from cutplan.welding.result import WeldPlan
from cutplan.welding.stitches.joint import WeldJoint


def later_left(
    job: Job, joint: WeldJoint, plan: WeldPlan, rest: RestPlan, welded: Sequence[str] = ()
) -> tuple[LaterWeld, ...]:
    """Return sleeves and ribs that are left in their turn, numbered on from the stitches.

    Parameters
    ----------
    job : Job
        The job.
    joint : WeldJoint
        Its joint.
    plan : WeldPlan
        The plan: they stay as it says where nothing new is told of them.
    rest : RestPlan
        What is left; where the readings do not fit no figure of them is given.
    welded : sequence of str
        Those that are welded.
    """
    if rest.later is not None:
        found = later_welds(job, joint, len(plan.stitches), rest.later)
    else:
        found = tuple(replace(w, after_mm=w.after_mm if rest.agrees else None) for w in plan.later)
    return tuple(w for w in found if w.name not in welded)


def outlook_before(plan: WeldPlan, history: History, rest: RestPlan) -> Outlook:
    """Return what was to be expected before the readings: where it was welded as planned the weld page's own figures.

    Parameters
    ----------
    plan : WeldPlan
        The plan.
    history : History
        What is welded.
    rest : RestPlan
        What is left.
    """
    planned = [(b.name, b.backward) for b in (*plan.tacks, *plan.stitches)]
    chosen = next((o for o in plan.order.compared if o.chosen), None)
    begun = computed_parts(plan)[: len(history.parts)] == history.parts
    if chosen is not None and begun and planned == [(history.names[t.bead], t.backward) for t in history.turns]:
        return Outlook(chosen.chance_within, chosen.flatness_mm, chosen.stitched)
    before = rest.planned_before
    return Outlook(before.chance_within, before.flatness_mm, before.stitched)
