"""The order model's input for the main sample as the plan itself gives it, and whole weld plans of samples, coarsely."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sheet_results import SAMPLES

import cutplan.welding.order
from cutplan.files.job.read import read_job
from cutplan.pattern.shop import Shop
from cutplan.project.demo import demo_job
from cutplan.project.planned.plans import plans
from cutplan.texts import Message
from cutplan.texts.values import Length, Listing
from cutplan.welding.distortion import Bead, Inherent, OrderOptions, WeldTask
from cutplan.welding.distortion.adapter import task_of
from cutplan.welding.plan import plan_weld
from cutplan.welding.result import Choice, WeldPlan

#: The least that still makes every figure of a plan: few orders, draws, triangles and extras.
COARSE = OrderOptions(evaluations=10, training=1, samples=16, triangles=700, extra_places=2)

#: Thinnest leaf of feeler gauges that are sold in sets, and of shim stock that a shop has [mm] (from memory: DIN 2275 sets of
#: 0.05 to 1 mm).
THINNEST_LEAF_MM = 0.05


def shims_mm(choices: Sequence[Choice]) -> list[float]:
    """Thickness of every shim that the ways to weld ask for [mm]."""
    found: list[float] = []
    for choice in choices:
        lifts = dict(choice.cost.values).get("lifts")
        for lift in lifts.items if isinstance(lifts, Listing) else ():
            assert isinstance(lift, Message)
            thick = lift.value("lift")
            assert isinstance(thick, Length)
            found.append(thick.mm)
    return found


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


@contextmanager
def coarsely(cache: Path) -> Iterator[None]:
    """Plan welds with the coarsest model, where it is not what is looked at; their results stay in a folder of their own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cutplan.welding.order, "options_of", lambda job: COARSE)
        patch.setenv("CUTPLAN_CACHE", str(cache))
        yield


def coarse_plan(name: str) -> WeldPlan:
    """The whole weld plan of a sample, every figure of it made with the coarsest model: an eighth of the time."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cutplan.welding.order, "options_of", lambda job: COARSE)
        plan = plans(read_job(SAMPLES / name / "job.toml"), Shop(), ("weld",), remember=False).weld
    assert plan is not None
    return plan
