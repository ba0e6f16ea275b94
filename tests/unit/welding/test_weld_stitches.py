"""Stitches: they cover the joint once, keep their length, and never stop in a corner."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from weld_jobs import plain_job, rectangle_job

from cutplan.geometry.contour import circle_contour, rectangle
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Joint, Span
from cutplan.pattern.skin import Rib
from cutplan.welding.settings.machine import settings_for
from cutplan.welding.stitches.joint import WeldJoint, weld_joint
from cutplan.welding.stitches.split import split_joint, stitch_limits_mm


def joint_of(job: Job) -> WeldJoint:
    thin = min(job.plate.thickness_mm, job.skin.thickness_mm)
    return weld_joint(job, settings_for(job.joint.kind, thin, job.welding))


def covers_once(joint: WeldJoint, stitches: tuple[Span, ...]) -> None:
    """The stitches lie end to end over every span, nothing twice."""
    assert sum(s.end_mm - s.start_mm for s in stitches) == pytest.approx(joint.line.length_mm, abs=1e-6)
    ends = sorted((s.start_mm % joint.line.outline_mm, s.end_mm - s.start_mm) for s in stitches)
    for (a, length), (b, _) in pairwise(ends):
        assert a + length <= b + 1e-6
    for s in stitches:
        middle = 0.5 * (s.start_mm + s.end_mm)
        assert any(
            p.start_mm - 1e-6 <= middle + turn <= p.end_mm + 1e-6
            for p in joint.line.spans
            for turn in (-joint.line.outline_mm, 0.0, joint.line.outline_mm)
        )


def stops_in_a_corner(joint: WeldJoint, stitches: tuple[Span, ...]) -> list[float]:
    ends = {round(e % joint.line.outline_mm, 6) for p in joint.line.spans for e in (p.start_mm, p.end_mm)}
    open_ends = set() if joint.line.closed else ends
    stops = [s.start_mm % joint.line.outline_mm for s in stitches] + [
        s.end_mm % joint.line.outline_mm for s in stitches
    ]
    return [
        stop
        for stop in stops
        if round(stop, 6) not in open_ends
        and any(
            c.start_mm + 1e-6 < stop + turn < c.end_mm - 1e-6
            for c in joint.line.corners
            for turn in (-joint.line.outline_mm, 0.0, joint.line.outline_mm)
        )
    ]


@pytest.mark.parametrize("radius", [0.0, 3.0, 8.0, 15.0, 29.0])
@pytest.mark.parametrize("size", [(60.0, 60.0), (120.0, 90.0), (220.0, 140.0), (640.0, 210.0)])
def test_closed_joints(size: tuple[float, float], radius: float) -> None:
    joint = joint_of(plain_job(rectangle(0, 0, *size, radius)))
    stitches = split_joint(joint)
    covers_once(joint, stitches)
    assert stops_in_a_corner(joint, stitches) == []
    for s in stitches:
        holds_corner = any(
            s.start_mm <= c.start_mm + t + 1e-6 and c.end_mm + t <= s.end_mm + 1e-6
            for c in joint.line.corners
            for t in (0.0, joint.line.outline_mm, -joint.line.outline_mm)
        )
        assert s.end_mm - s.start_mm <= (80.0 if holds_corner else 50.0) + 1e-6  # 20 to 50 mm sheet rule, from memory
        assert s.end_mm - s.start_mm >= 20.0 - 1e-6


def test_circle_gets_an_even_number_of_equal_stitches() -> None:
    joint = joint_of(plain_job(circle_contour(Point(0, 0), 50.0)))
    stitches = split_joint(joint)
    assert len(stitches) % 2 == 0
    assert {round(s.end_mm - s.start_mm, 9) for s in stitches} == {round(joint.line.length_mm / len(stitches), 9)}


def test_open_joint_starts_and_ends_at_its_span() -> None:
    joint = joint_of(rectangle_job(joint=Joint("butt", 1.0, unwelded=(Span(80.0, 130.0), Span(300.0, 330.0)))))
    stitches = split_joint(joint)
    covers_once(joint, stitches)
    assert stops_in_a_corner(joint, stitches) == []
    starts = {round(s.start_mm, 6) for s in stitches}
    assert {130.0, 330.0} <= starts


def test_a_wanted_length_is_kept_within_forty_per_cent() -> None:
    joint = joint_of(plain_job(rectangle(0, 0, 400, 300, 60)))
    assert stitch_limits_mm(60.0) == (36.0, 60.0, 84.0)
    for s in split_joint(joint, 60.0):
        assert 36.0 <= s.end_mm - s.start_mm <= 84.0


@settings(max_examples=150, deadline=None)
@given(
    width=st.floats(45, 500),
    height=st.floats(45, 400),
    radius=st.floats(0, 20),
    cuts=st.lists(st.tuples(st.floats(0, 1), st.floats(0.01, 0.2)), max_size=3),
)
def test_law_any_joint_is_covered_once(
    width: float, height: float, radius: float, cuts: list[tuple[float, float]]
) -> None:
    outline = rectangle(0, 0, width, height, radius if radius > 0.5 else 0.0)
    total = outline.length
    unwelded = tuple(Span(a * total, (a + b) % 1.0 * total) for a, b in cuts)
    joint = joint_of(plain_job(outline, joint=Joint("butt", 1.0, unwelded=unwelded)))
    if not joint.line.spans:
        return
    stitches = split_joint(joint)
    covers_once(joint, stitches)
    if sum(c.end_mm - c.start_mm for c in joint.line.corners) < 0.9 * total:  # else all of it is corner
        assert stops_in_a_corner(joint, stitches) == []
        if joint.line.closed:
            assert min(s.end_mm - s.start_mm for s in stitches) >= min(20.0, 0.2 * total) - 1e-6


def test_a_short_side_is_shared_evenly_by_its_corners() -> None:
    joint = joint_of(plain_job(rectangle(0, 0, 50, 50)))
    stitches = split_joint(joint)
    # exact: 15 mm are left between two stitches of 35, half to each, so each is 50 long with its corner in the middle
    assert [s.end_mm - s.start_mm for s in stitches] == pytest.approx([50.0] * 4)
    assert sorted(0.5 * (s.start_mm + s.end_mm) % 200.0 for s in stitches) == pytest.approx([0.0, 50.0, 100.0, 150.0])


def test_no_stop_over_a_rib() -> None:
    base = rectangle_job()
    ribs = (Rib("R1", (Point(80.0, -30.0), Point(80.0, 170.0))), Rib("R2", (Point(-20.0, 70.0), Point(240.0, 70.0))))
    joint = joint_of(replace(base, skin=replace(base.skin, ribs=ribs)))
    # exact: the lower edge is crossed 68 mm after the outline's start at x = 12
    middles = sorted(0.5 * (c.start_mm + c.end_mm) for c in joint.line.crossings)
    assert middles[0] == pytest.approx(68.0)
    assert len(middles) == 4
    stitches = split_joint(joint)
    covers_once(joint, stitches)
    ribbed = replace(joint, line=replace(joint.line, corners=joint.line.crossings))
    assert stops_in_a_corner(ribbed, stitches) == []
    assert stops_in_a_corner(joint, stitches) == []
