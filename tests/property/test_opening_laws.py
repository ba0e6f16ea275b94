"""Laws of the opening plan on random openings with 0 to 6 ribs."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.opening_plan import OTHER_SHAPES, SHAPES, random_job
from cutplan.opening.cuts.toolset import toolset
from cutplan.opening.model import OpeningPlan
from cutplan.opening.plan import plan_opening
from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop
from cutplan.tables.by_hand.hand_tools import TOOLS


def check(job: Job, plan: OpeningPlan) -> None:
    failed = [f.message for f in plan.findings if f.code == "plan-not-proved"]
    assert not failed, failed
    assert plan.effort.cut_mm >= plan.effort.bound_mm * (1.0 - 1e-9)  # exact: nothing goes below a lower bound
    assert plan.effort.bound_mm >= plan.effort.bound_any_mm - 1e-6
    numbers = [s.number for s in plan.sections]
    assert sorted(plan.order) == sorted(numbers) == list(range(1, len(numbers) + 1))
    assert not {f.code for f in plan.findings} & {"section-over-limit"}
    assert all(s.length_mm <= job.opening.longest_section_mm * (1.0 + 2e-6) for s in plan.sections)
    assert all(s.mass_kg <= job.opening.heaviest_section_kg * (1.0 + 2e-6) for s in plan.sections)
    kit = toolset(job)
    unseen = {r.name for r in job.skin.ribs if r.knowledge != "known" or r.depth_mm is None}
    looked = {name for s in plan.steps if s.kind in ("window", "look") for name in s.ribs}
    behind = {r for s in plan.sections for r in s.ribs}
    assert unseen & behind <= looked
    kinds = [s.kind for s in plan.steps]
    first = min(kinds.index(k) for k in ("cut", "drop") if k in kinds)
    assert {"window", "look"} & set(kinds[:first])  # nobody cuts before having looked behind
    for step in plan.steps:
        for cut in step.cuts:
            if set(cut.ribs) & unseen:
                assert cut.depth_mm <= kit.touch_mm + 1e-9 and TOOLS[cut.tool].depth_set
            # nothing is told deeper than any cut of its step allows
            assert step.depth_limit_mm is None or step.depth_limit_mm <= cut.depth_mm + 1e-9
    assert plan.datum.rank == plan.datum.needed


@given(st.integers(0, 10**9), st.sampled_from(SHAPES))
@settings(max_examples=4, deadline=None, derandomize=True)
def test_plans_of_random_openings_hold(seed: int, shape: str) -> None:
    job = random_job(random.Random(seed), shape)
    check(job, plan_opening(job, Shop()))


@given(st.integers(0, 10**9), st.sampled_from(SHAPES), st.sampled_from(["jigsaw", "hand plasma", "hacksaw"]))
@settings(max_examples=2, deadline=None, derandomize=True)
def test_plans_with_other_tools_hold(seed: int, shape: str, tool: str) -> None:
    job = random_job(random.Random(seed), shape, tool=tool)
    check(job, plan_opening(job, Shop()))


@pytest.mark.slow
@pytest.mark.parametrize("block", range(4))
def test_two_hundred_random_openings(block: int) -> None:
    for k in range(50 * block, 50 * (block + 1)):
        job = random_job(random.Random(7_000_003 + k), SHAPES[k % len(SHAPES)])
        plan = plan_opening(job, Shop())
        check(job, plan)
        assert plan.effort.ratio <= 1.6, (k, plan.effort.ratio)  # tripwire: far above what any of them needs


@pytest.mark.slow
@pytest.mark.parametrize("shape", OTHER_SHAPES)
def test_random_openings_of_other_shapes(shape: str) -> None:
    for k in range(8):
        job = random_job(random.Random(9_000_011 + 31 * k), shape)
        plan = plan_opening(job, Shop())
        check(job, plan)
        assert plan.effort.ratio <= 1.6, (k, plan.effort.ratio)  # tripwire: far above what any of them needs
