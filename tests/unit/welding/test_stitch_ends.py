"""Ends of stitches are those of the weld plan, and the torch starts away from them."""

from __future__ import annotations

from pathlib import Path

import pytest
from weld_samples import coarse_plan

from cutplan.cutting.plan import plan_cut
from cutplan.cutting.work import WELD_START_MM
from cutplan.files.job.read import read_job
from cutplan.pattern.shop import Shop
from cutplan.project.planned.plans import plans
from cutplan.welding.stitches.stitch_ends import stitch_ends

SAMPLES = Path(__file__).resolve().parents[3] / "sample_parts"


@pytest.mark.parametrize("name", ["van-nose-mount", "truck-winch-cradle", "camper-damper-insert"])
def test_the_outline_is_started_between_two_stitches_ends(name: str) -> None:
    job = read_job(SAMPLES / name / "job.toml")
    cut = plans(job, Shop(), ("cut",)).cut
    assert cut is not None
    start = cut.paths[-1].cut[0].start
    blind = plan_cut(job, Shop()).paths[-1].cut[0].start
    ends = stitch_ends(job)
    near = min(start.distance(e) for e in ends)
    assert near >= min(e.distance(blind) for e in ends) - 1e-9
    # common practice: a weld is not started where the torch pierced; half a kerf lies between edge and torch line
    assert near >= WELD_START_MM


@pytest.mark.slow
def test_they_are_the_ends_of_the_planned_stitches() -> None:
    job = read_job(SAMPLES / "camper-damper-insert" / "job.toml")
    stitches = coarse_plan("camper-damper-insert").stitches
    planned = [p for b in stitches for p in (b.path[0].start, b.path[-1].end)]
    ends = stitch_ends(job)
    for p in planned:
        assert min(p.distance(e) for e in ends) < 1e-5
    assert len(ends) <= 2 * len(stitches)
