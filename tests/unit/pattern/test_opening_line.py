"""The opening's line against the plate's outline: the proof tells what is wrong with a line that is wrong."""

from __future__ import annotations

import pytest
from cut_jobs import job_of

from cutplan.geometry.contour import rectangle
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
