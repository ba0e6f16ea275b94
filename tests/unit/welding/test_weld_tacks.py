"""Tacks: rules for length and spacing, off corners, opposite pairs first, closer where the gap would close."""

from __future__ import annotations

import random
import time
from math import pi
from types import SimpleNamespace

import pytest
from weld_jobs import plain_job, rectangle_job

from cutplan.geometry.contour import Contour, circle_contour, rectangle
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Joint, Span
from cutplan.tables.band import Band
from cutplan.tables.welding.tack_rules import tack_length_mm, tack_spacing_mm
from cutplan.welding.settings.machine import settings_for
from cutplan.welding.stitches.joint import WeldJoint, weld_joint
from cutplan.welding.stitches.split import split_joint
from cutplan.welding.stitches.tack_places import _away, apart
from cutplan.welding.stitches.tacks import gap_closing, plan_tacks, sequence_by_rule

SHRINK = Band(0.1, 0.2, 0.3, "mm", "test")


def joint_of(job: Job) -> WeldJoint:
    thin = min(job.plate.thickness_mm, job.skin.thickness_mm)
    return weld_joint(job, settings_for(job.joint.kind, thin, job.welding))


@pytest.mark.parametrize(("thick", "length"), [(1.5, 8.0), (2.0, 8.0), (4.0, 16.0), (6.0, 24.0)])
def test_length_rule(thick: float, length: float) -> None:
    assert tack_length_mm(thick) == length  # published 4 t, our floor of 8 mm


@pytest.mark.parametrize(("thin", "spacing"), [(1.5, 50.0), (2.5, 62.5), (4.0, 100.0), (6.0, 120.0)])
def test_spacing_default(thin: float, spacing: float) -> None:
    assert tack_spacing_mm(thin) == spacing  # our stated default


def test_opposite_then_quarter_points() -> None:
    assert sequence_by_rule((0.0, 25.0, 50.0, 75.0), 100.0, closed=True) == (0, 2, 1, 3)
    assert sequence_by_rule((0.0, 50.0, 100.0), 200.0, closed=False) == (0, 2, 1)
    assert sequence_by_rule((), 10.0, closed=True) == ()


@pytest.mark.parametrize("size", [(120.0, 90.0), (220.0, 140.0), (640.0, 210.0)])
@pytest.mark.parametrize("radius", [0.0, 10.0, 30.0])
def test_tacks_keep_off_corners_and_near_the_spacing(size: tuple[float, float], radius: float) -> None:
    joint = joint_of(plain_job(rectangle(0, 0, *size, radius)))
    stitches = split_joint(joint)
    plan = plan_tacks(joint, stitches, SHRINK)
    assert len(plan.tacks) % 2 == 0 and len(plan.tacks) >= 4
    length = joint.line.outline_mm
    for tack in plan.tacks:
        for corner in joint.line.corners:
            for turn in (-length, 0.0, length):
                assert tack.end_mm <= corner.start_mm + turn + 1e-9 or tack.start_mm >= corner.end_mm + turn - 1e-9
    middles = sorted(0.5 * (t.start_mm + t.end_mm) % length for t in plan.tacks)
    apart = [b - a for a, b in zip(middles, [*middles[1:], middles[0] + length], strict=True)]
    # a place is moved by at most a stitch or a corner, so two neighbours by twice that
    assert max(apart) <= plan.spacing_mm + 80.0
    assert min(apart) > plan.length_mm
    assert sorted(plan.sequence) == list(range(len(plan.tacks)))


def test_first_two_tacks_of_a_circle_face_each_other() -> None:
    joint = joint_of(plain_job(circle_contour(Point(0, 0), 80.0)))
    plan = plan_tacks(joint, split_joint(joint), SHRINK)
    a, b = (0.5 * (plan.tacks[i].start_mm + plan.tacks[i].end_mm) for i in plan.sequence[:2])
    assert abs(abs(a - b) - 80.0 * pi) < 30.0


def test_each_tack_lies_within_one_stitch() -> None:
    joint = joint_of(rectangle_job())
    stitches = split_joint(joint)
    for tack in plan_tacks(joint, stitches, SHRINK).tacks:
        assert (
            sum(
                s.start_mm + t <= tack.start_mm + 1e-9 and tack.end_mm <= s.end_mm + t + 1e-9
                for s in stitches
                for t in (-joint.line.outline_mm, 0.0, joint.line.outline_mm)
            )
            == 1
        )


def test_closing_grows_with_spacing_and_brings_tacks_closer() -> None:
    near, far = gap_closing(SHRINK, 50.0, 35.0), gap_closing(SHRINK, 100.0, 35.0)
    assert (near.low, near.mid) == (0.05, 0.2)  # exact: S/2 of the low, S of the middle
    assert far.high == pytest.approx(0.3 * (1 + 100 / 35))  # exact: scissors
    assert far.high > near.high
    tight = joint_of(rectangle_job(joint=Joint("butt", 0.55)))
    stitches = split_joint(tight)
    assert plan_tacks(tight, stitches, SHRINK).spacing_mm < tack_spacing_mm(2.5)
    assert "reduced" in str(plan_tacks(tight, stitches, SHRINK).rule)


def test_a_gap_that_closes_is_a_warning_with_the_gap_to_use() -> None:
    joint = joint_of(rectangle_job(joint=Joint("butt", 0.1)))
    plan = plan_tacks(joint, split_joint(joint), SHRINK)
    assert [(f.code, f.severity) for f in plan.findings] == [("gap-closes", "warning")]
    lap = joint_of(rectangle_job(joint=Joint("lap", 0.0, 20.0)))
    assert plan_tacks(lap, split_joint(lap), SHRINK).findings == ()


def test_lengths_from_the_job_win_and_open_spans_get_their_own_tacks() -> None:
    joint = joint_of(rectangle_job(joint=Joint("butt", 1.0, unwelded=(Span(90.0, 130.0), Span(400.0, 640.0)))))
    plan = plan_tacks(joint, split_joint(joint), SHRINK, length_mm=10.0, spacing_mm=80.0)
    assert plan.length_mm == 10.0 and plan.spacing_mm == 80.0
    for span in joint.line.spans:
        assert any(
            span.start_mm <= t.start_mm + turn and t.end_mm + turn <= span.end_mm
            for t in plan.tacks
            for turn in (0.0, joint.line.outline_mm)
        )


@pytest.mark.parametrize(
    "outline",
    [
        rectangle(0, 0, 20, 20, 2),
        rectangle(0, 0, 45, 45, 13),
        circle_contour(Point(0, 0), 12.0),
        rectangle(0, 0, 60, 18),
    ],
)
def test_a_small_part_still_gets_opposite_tacks(outline: Contour) -> None:
    joint = joint_of(plain_job(outline))
    plan = plan_tacks(joint, split_joint(joint), SHRINK)
    assert len(plan.tacks) >= 2
    middles = sorted(0.5 * (t.start_mm + t.end_mm) % joint.line.outline_mm for t in plan.tacks)
    apart = [b - a for a, b in zip(middles, [*middles[1:], middles[0] + joint.line.outline_mm], strict=True)]
    assert min(apart) >= 1.25 * plan.length_mm - 1e-9
    assert max(apart) <= 0.75 * joint.line.outline_mm


def test_the_nearest_of_sorted_places_is_the_nearest_of_all() -> None:
    """Exact: against looking at every place, round a closed joint and along an open one."""
    chance = random.Random(5)
    for closed in (True, False):
        line = SimpleNamespace(outline_mm=100.0, closed=closed)
        joint = SimpleNamespace(line=line)
        for count in (1, 2, 3, 9, 40):
            others = sorted(chance.uniform(0.0, 100.0) for _ in range(count))
            for _ in range(40):
                place = chance.uniform(0.0, 100.0)
                assert _away(place, others, joint) == min(apart(place, q, joint) for q in others)  # type: ignore[arg-type]


def test_the_time_for_tacks_grows_less_than_with_the_square_of_the_seam() -> None:
    """A ratio of processor times of one run: going through all places for every tack and round was cubic."""
    took = []
    for width in (1000.0, 5000.0):
        joint = joint_of(plain_job(rectangle(0.0, 0.0, width, 120.0, 20.0)))
        stitches = split_joint(joint)
        start = time.process_time()
        plan = plan_tacks(joint, stitches, SHRINK, spacing_mm=60.0)
        took.append(time.process_time() - start)
        assert len(plan.tacks) > width / 35.0
    assert took[1] < 20.0 * took[0] + 0.2
