"""The opening's line against the plate's outline: the proof tells what is wrong with a line that is wrong."""

from __future__ import annotations

import pytest
from cut_jobs import job_of
from random_plates import random_plate

from cutplan.errors import GeometryError
from cutplan.geometry.contour import polygon, rectangle
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.opening import line_proof, opening_line


def job(kind: str = "butt") -> Job:
    from dataclasses import replace

    joint = Joint(kind="butt", gap_mm=1.5) if kind == "butt" else Joint(kind="lap", overlap_mm=12.0)
    return replace(job_of((), outline=rectangle(0.0, 0.0, 200.0, 120.0, 20.0)), joint=joint)


@pytest.mark.parametrize("kind", ["butt", "lap"])
def test_the_line_of_a_job_keeps_its_distance(kind: str) -> None:
    proof = line_proof(job(kind), opening_line(job(kind)))
    assert proof.nearer_mm < 1e-6 and proof.farther_mm < 1e-6 and proof.places > 100


@pytest.mark.parametrize(("nearer", "farther"), [(0.4, 0.0), (0.0, 0.3)])
def test_a_line_that_is_off_is_told_by_how_much(nearer: float, farther: float) -> None:
    off = 1.5 - nearer + farther
    line = rectangle(-off, -off, 200.0 + 2.0 * off, 120.0 + 2.0 * off, 20.0 + off)
    proof = line_proof(job(), line)
    assert proof.nearer_mm == pytest.approx(nearer, abs=1e-9)  # exact: parallel lines and arcs of one centre
    assert proof.farther_mm == pytest.approx(farther, abs=1e-6)


def test_a_line_on_the_outline_itself_is_proved() -> None:
    from dataclasses import replace

    touching = replace(job(), joint=Joint(kind="butt", gap_mm=0.0))
    assert line_proof(touching, opening_line(touching)).places == 0


def stepped(across_mm: float, step_mm: float, overlap_mm: float) -> Job:
    """A plate whose lower edge jumps by a step; a lap joint with this overlap."""
    from dataclasses import replace

    at = [(0.0, 0.0), (0.5 * across_mm, 0.0), (0.5 * across_mm, step_mm), (across_mm, step_mm)]
    outline = polygon([*at, (across_mm, 160.0), (0.0, 160.0)])
    return replace(job_of((), outline=outline), joint=Joint(kind="lap", overlap_mm=overlap_mm))


@pytest.mark.parametrize("step", [0.4, 2.2, 9.0, 24.0, 40.0])
@pytest.mark.parametrize("overlap", [3.0, 12.0, 25.0])
def test_a_step_shorter_than_the_overlap_is_no_fault_of_the_line(step: float, overlap: float) -> None:
    made = stepped(200.0, step, overlap)
    line = opening_line(made)
    # exact: the box less the overlap all round, less the step, whose corner stays sharp
    assert line.area == pytest.approx((200.0 - 2.0 * overlap) * (160.0 - 2.0 * overlap) - 100.0 * step, rel=1e-9)
    assert line_proof(made, line).farther_mm < 1e-6


def test_a_notch_whose_mouth_the_gap_closes_is_refused_in_words_of_its_own() -> None:
    from dataclasses import replace

    mouth = [(0.0, 0.0), (99.0, 0.0), (99.0, 5.0), (85.0, 20.0), (117.0, 20.0), (101.0, 5.0), (101.0, 0.0)]
    outline = polygon([*mouth, (200.0, 0.0), (200.0, 120.0), (0.0, 120.0)])
    with pytest.raises(GeometryError, match="mouth of a notch"):
        opening_line(replace(job(), plate=replace(job().plate, outline=outline)))


@pytest.mark.parametrize("block", range(3))
def test_lines_of_random_plates_keep_their_distance_or_are_refused_for_what_they_are(block: int) -> None:
    from dataclasses import replace

    for seed in range(12 * block, 12 * (block + 1)):
        outline = random_plate(seed, 0).outer
        for joint in (Joint(gap_mm=0.6), Joint(gap_mm=2.0), Joint(kind="lap", overlap_mm=[6.0, 15.0, 25.0][block])):
            try:
                opening_line(replace(job_of((), outline=outline), joint=joint))
            except GeometryError as error:
                assert "lies" not in str(error), (seed, joint)  # never refused by its own proof
