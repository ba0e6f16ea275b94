"""Tacks keep the spacing aimed at within a fifth where a place for one is free, and none is put in without need."""

from __future__ import annotations

from itertools import combinations, pairwise
from random import Random

import numpy as np
import pytest
from random_plates import random_plate, rough_plate
from weld_jobs import plain_job

from cutplan.geometry.contour import Contour, rectangle
from cutplan.pattern.joint import Joint, Span
from cutplan.tables.band import Band
from cutplan.welding.settings.machine import settings_for
from cutplan.welding.stitches.joint import weld_joint
from cutplan.welding.stitches.split import split_joint
from cutplan.welding.stitches.tack_chain import BEYOND, MORE_SPACING, line_chain, round_chain
from cutplan.welding.stitches.tack_places import LEAST_APART, _places
from cutplan.welding.stitches.tacks import plan_tacks

SHRINK = Band(0.1, 0.2, 0.3, "mm", "test")


def outlines(count: int) -> list[Contour]:
    found = []
    for seed in range(count):
        rng = Random(seed)
        size = rng.uniform(120.0, 400.0), rng.uniform(100.0, 300.0)
        plates = (rectangle(0.0, 0.0, *size, rng.uniform(0.0, 39.0)), random_plate(seed).outer, rough_plate(seed).outer)
        found.append(plates[seed % 3])
    return found


def test_a_wide_stretch_has_no_free_place_and_no_tack_is_needless() -> None:
    stretches = 0
    for outline in outlines(36):
        job = plain_job(outline)
        joint = weld_joint(job, settings_for("butt", 2.0, job.welding))
        stitches, whole = split_joint(joint), joint.line.outline_mm
        plan = plan_tacks(joint, stitches, SHRINK)
        least = LEAST_APART * plan.length_mm
        free = _places(joint.line.spans[0], joint, stitches, plan.length_mm, plan.spacing_mm)
        middles = sorted(0.5 * (t.start_mm + t.end_mm) % whole for t in plan.tacks)
        aim = min(plan.spacing_mm, 0.25 * whole)
        gaps = [b - a for a, b in pairwise([*middles, middles[0] + whole])]
        stretches += len(gaps)
        # a twentieth more is let be: tacks come in pairs, and two more for so little would stand close
        wide = [(at, gap) for at, gap in zip(middles, gaps, strict=True) if gap > 1.25 * aim]
        fit = [any(least <= (p - at) % whole <= gap - least for p in free) for at, gap in wide]
        assert sum(fit) <= 1, "two tacks more would fit"
        # of an even number one may be there for the pair only
        close = [a + b <= MORE_SPACING * aim - 1.0 for a, b in pairwise([*gaps, gaps[0]])]
        assert sum(close) <= 2
    assert stretches > 300


def test_an_edge_with_room_for_every_tack_keeps_the_spacing_within_a_fifth() -> None:
    """The four straight edges of a large plate: only what lies across a corner may be wider."""
    joint = weld_joint(job := plain_job(rectangle(0, 0, 640.0, 210.0, 20.0)), settings_for("butt", 2.0, job.welding))
    plan = plan_tacks(joint, split_joint(joint), SHRINK)
    whole = joint.line.outline_mm
    middles = sorted(0.5 * (t.start_mm + t.end_mm) % whole for t in plan.tacks)
    corners = [0.5 * (c.start_mm + c.end_mm) % whole for c in joint.line.corners]
    for a, b in pairwise([*middles, middles[0] + whole]):
        if not any((c - a) % whole < b - a for c in corners):
            assert 0.7 * plan.spacing_mm <= b - a <= 1.2 * plan.spacing_mm


def test_an_open_joint_has_a_tack_near_either_end() -> None:
    job = plain_job(rectangle(0, 0, 400.0, 200.0, 0.0), joint=Joint("butt", 1.0, unwelded=(Span(390.0, 1190.0),)))
    joint = weld_joint(job, settings_for("butt", 2.0, job.welding))
    plan = plan_tacks(joint, split_joint(joint), SHRINK)
    [span] = joint.line.spans
    middles = sorted((0.5 * (t.start_mm + t.end_mm) - span.start_mm) % joint.line.outline_mm for t in plan.tacks)
    room = span.end_mm - span.start_mm
    assert middles[0] <= 0.8 * plan.spacing_mm and room - middles[-1] <= 0.8 * plan.spacing_mm
    assert max(b - a for a, b in pairwise(middles)) <= 1.2 * plan.spacing_mm


def cost(ratios: list[float]) -> float:
    return sum((r - 1.0) ** 2 + BEYOND * max(r - MORE_SPACING, 0.0) ** 2 for r in ratios)


@pytest.mark.parametrize("seed", range(6))
def test_the_chain_is_the_best_of_all_sets_of_places(seed: int) -> None:
    """Exact: every set of places tried by itself, those too near to each other left out."""
    random = np.random.default_rng(seed)
    keys = np.sort(random.choice(400, 11, replace=False)).astype(float).tolist()
    aim, least, whole = 60.0, 12.0, 400.0

    def of(chain: tuple[float, ...]) -> float:
        gaps = [b - a for a, b in pairwise(chain)]
        if min(gaps, default=least) < least:
            return np.inf
        return cost([2.0 * chain[0] / aim_open, *(g / aim_open for g in gaps), 2.0 * (whole - chain[-1]) / aim_open])

    def round_of(chain: tuple[float, ...]) -> float:
        gaps = [b - a for a, b in pairwise([*chain, chain[0] + whole])]
        return np.inf if min(gaps) < least else cost([g / aim for g in gaps])

    aim_open = whole / 7.0  # by hand: 400 / 60 is 6.7
    sets = [c for n in range(1, 12) for c in combinations(keys, n)]
    assert of(tuple(line_chain(keys, (0.0, whole), aim, least))) == pytest.approx(min(map(of, sets)), rel=1e-6)
    found = round_chain(keys, whole, aim, least)
    assert len(found) % 2 == 0
    best = min(round_of(c) for c in sets if len(c) % 2 == 0)
    assert round_of(tuple(found)) == pytest.approx(best, rel=1e-6)
