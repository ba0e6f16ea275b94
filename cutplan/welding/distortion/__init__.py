"""Distortion of a welded insert, and the order of beads that keeps the pads flat.

Two doors, same result::

    plan_order(job, beads, inherent, options, ...) -> OrderPlan        from a checked job
    plan_task(task, beads, inherent, options, ...) -> OrderPlan        from plain geometry (``WeldTask``)

``beads`` is a sequence of ``Bead``: name, kind, start_mm and end_mm along the plate's outline from its first point, in
the outline's own direction, which is counter-clockwise. ``inherent`` holds one ``Inherent`` per bead. All are frozen
data; nothing here needs the heat module. The doors load scipy when called; the data classes do not.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from cutplan.welding.distortion.later.parts import LaterOrder, LaterPart, LaterPlan
from cutplan.welding.distortion.result import ExtraPlace, OrderPlan, OrderResult, Preset, Shape, Step, WithoutBrace
from cutplan.welding.distortion.task import (
    Bead,
    BracePath,
    Doubt,
    FixedBrace,
    Inherent,
    OrderOptions,
    PadPoints,
    Rib,
    Sheet,
    Strength,
    WeldTask,
)

if TYPE_CHECKING:
    from cutplan.pattern.job import Job

__all__ = [
    "Bead",
    "BracePath",
    "Doubt",
    "ExtraPlace",
    "FixedBrace",
    "Inherent",
    "LaterOrder",
    "LaterPart",
    "LaterPlan",
    "OrderOptions",
    "OrderPlan",
    "OrderResult",
    "PadPoints",
    "Preset",
    "Rib",
    "Shape",
    "Sheet",
    "Step",
    "Strength",
    "WeldTask",
    "WithoutBrace",
    "plan_order",
    "plan_task",
]


def plan_order(
    job: Job,
    beads: Sequence[Bead],
    inherent: Sequence[Inherent],
    options: OrderOptions | None = None,
    progress: Callable[[int, int], None] | None = None,
    time_of: Callable[[tuple[Step, ...]], float] | None = None,
    later: Sequence[LaterPart] = (),
) -> OrderPlan:
    """Compare orders of beads for a checked job and choose one.

    Parameters
    ----------
    job : Job
        The job.
    beads : sequence of Bead
        Tacks and stitches along the plate's outline.
    inherent : sequence of Inherent
        What each bead does when it cools.
    options : OrderOptions or None
        How hard to look.
    progress : callable or None
        Called with orders followed and orders wanted, several times a second.
    time_of : callable or None
        Time that an order takes [min]; of equal orders the quickest is chosen.
    later : sequence of LaterPart
        Sleeves and ribs, welded once the stitches are cold.

    Raises
    ------
    JobError, GeometryError
        When the job cannot be meshed, or beads are missing.
    """
    from cutplan.welding.distortion.adapter import task_of

    task, findings = task_of(job)
    plan = plan_task(task, beads, inherent, options, progress, time_of, later)
    return replace(plan, findings=(*findings, *plan.findings))


def plan_task(
    task: WeldTask,
    beads: Sequence[Bead],
    inherent: Sequence[Inherent],
    options: OrderOptions | None = None,
    progress: Callable[[int, int], None] | None = None,
    time_of: Callable[[tuple[Step, ...]], float] | None = None,
    later: Sequence[LaterPart] = (),
) -> OrderPlan:
    """Compare orders of beads for plain geometry and choose one; see `plan_order`.

    Parameters
    ----------
    task : WeldTask
        Plate, skin, joint, pads, brace.
    beads : sequence of Bead
        Tacks and stitches along the joint path.
    inherent : sequence of Inherent
        What each bead does when it cools.
    options : OrderOptions or None
        How hard to look.
    progress : callable or None
        Called with orders followed and orders wanted, several times a second.
    time_of : callable or None
        Time that an order takes [min]; of equal orders the quickest is chosen.
    later : sequence of LaterPart
        Sleeves and ribs, welded once the stitches are cold.
    """
    from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

    from cutplan.welding.distortion.plan import compare_orders
    from cutplan.welding.distortion.seam import Seam

    # thousands of small matrices: threads would wait for each other far longer than they work
    with threadpool_limits(limits=1):
        return compare_orders(Seam(task, beads, inherent, later), options or OrderOptions(), progress, time_of)
