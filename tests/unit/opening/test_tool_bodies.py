"""Every cut of the samples and of random openings reached by a solid tool, judged by clouds of points."""

from __future__ import annotations

import itertools
import random
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from oracles.tool_solids import boxes, reached

from benchmarks.opening_plan import OTHER_SHAPES, SHAPES, random_job
from cutplan.files.job.read import read_job
from cutplan.opening.model import OpeningPlan
from cutplan.opening.plan import plan_opening
from cutplan.pattern.brace import FittedBrace
from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop

SAMPLES = sorted(p for p in (Path(__file__).parents[3] / "sample_parts").glob("*/job.toml"))
TOOLS = ("cut-off disc", "cut-off disc", "jigsaw", "hacksaw", "hand plasma", "reciprocating saw")
#: What a disc or a bit with a stop can be held off a rib by; anything else strikes it.
HELD = ("cut-off disc", "drilled row")


def faults(job: Job, plan: OpeningPlan) -> list[str]:
    """What a bench would find wrong with a plan, without the planner's own help."""
    wrong = []
    standing = boxes(plan)
    kinds = [s.kind for s in plan.steps]
    first = min((kinds.index(k) for k in ("cut", "drop") if k in kinds), default=0)
    if not {"look", "window"} & set(kinds[:first]):
        wrong.append("nobody looks behind before the first cut")
    touch = job.skin.thickness_mm + 1.0
    for step in plan.steps:
        for cut in step.cuts:
            if not reached(cut, job.opening.disc_diameter_mm, standing):
                wrong.append(f"{cut.name} ({cut.tool}) is blocked")
            if step.depth_limit_mm is not None and step.depth_limit_mm > cut.depth_mm + 1e-9:
                wrong.append(f"step {step.number} is told deeper than {cut.name}")
            for rib in job.skin.ribs:
                if distance(cut, [np.array(p) for p in rib.path]) < 4.5 and (
                    cut.tool not in HELD or cut.depth_mm > touch + 1e-6
                ):
                    wrong.append(f"{cut.name} ({cut.tool}) strikes rib {rib.name}")
    return wrong


def distance(cut: object, path: list[np.ndarray]) -> float:
    """Least distance of sampled points of a cut from a polyline."""
    pts = [np.array(s.point_at(t)) for s in cut.path for t in np.linspace(0.0, 1.0, max(2, int(s.length / 2.0)))]  # type: ignore[attr-defined]
    best = np.inf
    for a, b in itertools.pairwise(path):
        run = b - a
        for p in pts:
            t = float(np.clip((p - a) @ run / (run @ run), 0.0, 1.0))
            best = min(best, float(np.linalg.norm(p - a - t * run)))
    return best


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.parent.name)
def test_every_cut_of_a_sample_is_reached(path: Path) -> None:
    job = read_job(path)
    plan = plan_opening(job, Shop())
    assert plan.proof
    assert faults(job, plan) == []


def lowered(brace: FittedBrace, to: float) -> FittedBrace:
    """A brace whose bars hang at a part of their height."""
    bars = tuple(replace(b, underside_mm=to * b.underside_mm, feet=tuple(replace(f, height_mm=to * f.height_mm) for f in b.feet)) for b in brace.bars)  # fmt: skip
    return replace(brace, bars=bars)


def test_the_judge_sees_a_bar_put_in_the_way() -> None:
    job = read_job(SAMPLES[-2])
    plan = plan_opening(job, Shop())
    bracing = replace(plan.bracing, fitted=tuple(lowered(b, 0.1) for b in plan.bracing.fitted))
    low = replace(plan, bracing=bracing)
    assert boxes(plan) and any("blocked" in w for w in faults(job, low))


@pytest.mark.slow
@pytest.mark.parametrize("block", range(4))
def test_sixty_random_openings(block: int) -> None:
    shapes = SHAPES + OTHER_SHAPES
    told = 0
    for k in range(15 * block, 15 * (block + 1)):
        job = random_job(random.Random(51_000 + k), shapes[k % len(shapes)], tool=TOOLS[k % len(TOOLS)])
        plan = plan_opening(job, Shop())
        if any(f.code == "plan-not-proved" for f in plan.findings):
            told += 1  # a cut that no tool reaches is told before anything is printed
            continue
        assert faults(job, plan) == [], k
    assert told <= 2
