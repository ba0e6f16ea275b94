"""The order model's input for the main sample, as the plan itself gives it."""

from __future__ import annotations

from typing import Any

import pytest

import cutplan.welding.order
from cutplan.files.job.read import read_job
from cutplan.project.demo import demo_job
from cutplan.welding.distortion import Bead, Inherent, WeldTask
from cutplan.welding.distortion.adapter import task_of
from cutplan.welding.plan import plan_weld


class _Seen(Exception):
    """Stops a plan where its orders would be compared."""


def sample_task() -> tuple[WeldTask, list[Bead], list[Inherent]]:
    """Geometry, beads and shrinkages of the main sample."""
    seen: list[Any] = []

    def stop(*given: Any) -> None:
        seen.extend(given)
        raise _Seen

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cutplan.welding.order, "plan_order", stop)
        with pytest.raises(_Seen):
            plan_weld(read_job(demo_job()))
    task, _ = task_of(seen[0])
    return task, list(seen[1]), list(seen[2])
