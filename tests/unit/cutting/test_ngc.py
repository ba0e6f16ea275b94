"""The program for the table, run by an interpreter written from the standard, against the path of the drawing."""

from dataclasses import replace

import numpy as np
import pytest
from cut_jobs import job_of, region_job, sample_holes
from oracles.rs274 import Refused, run
from random_plates import random_plate

from cutplan.cutting.files.ngc import ngc_text
from cutplan.cutting.plan import plan_cut
from cutplan.cutting.result import CutPlan
from cutplan.errors import JobError
from cutplan.findings import errors
from cutplan.geometry.segment import Arc
from cutplan.pattern.job import About, Job, Shown
from cutplan.pattern.shop import Shop


def made(job: Job) -> tuple[CutPlan, str]:
    plan = plan_cut(job, Shop())
    return plan, ngc_text(job, plan)


def compare(plan: CutPlan, rows_of_cuts: list[list[tuple[float, float, float]]]) -> None:
    """Every end of the path within 0.001 mm, every sweep within what that makes of it."""
    assert len(rows_of_cuts) == len(plan.paths)
    for path, rows in zip(plan.paths, rows_of_cuts, strict=True):
        assert np.hypot(rows[0][0] - path.pierce.x, rows[0][1] - path.pierce.y) < 0.001
        run_mm, k = 0.0, 0
        for s in path.segments:
            # a segment may be cut in two where the feed changes
            turned, sweep = 0.0, getattr(s, "sweep", 0.0)
            while True:
                turned += rows[k][2]
                k += 1
                if np.hypot(rows[k][0] - s.end.x, rows[k][1] - s.end.y) < 0.001 and (
                    not isinstance(s, Arc) or abs(turned - sweep) < 0.001 / s.radius + 0.002
                ):
                    break
                assert k < len(rows) - 1, (path.name, s)
            run_mm += s.length
        assert k == len(rows) - 1


@pytest.mark.parametrize("process", ["air plasma", "laser", "waterjet", "oxyfuel"])
@pytest.mark.parametrize("swirl", [False, True])
def test_the_program_runs_the_path_of_the_drawing(process: str, swirl: bool) -> None:
    job = job_of(sample_holes(), process=process, reversed_swirl=swirl, torch_on=True, kerf_mm=1.5)
    plan, text = made(job)
    machine = run(text)
    assert machine.fired == len(plan.paths) and not machine.lit
    compare(plan, [b.rows for b in machine.burns])
    assert all(b.delay_s == pytest.approx(0.5) for b in machine.burns)  # exact: 0.1 s/mm of 5 mm
    feed = round(plan.totals.speed_mm_per_min.mid)
    share = min(p.speed_share for p in plan.paths)
    assert {round(feed), round(feed * share)} <= set().union(*(b.feeds for b in machine.burns))


def test_a_dry_run_never_lights_the_torch_and_runs_the_same_way() -> None:
    plan, text = made(job_of(sample_holes()))
    machine = run(text)
    assert machine.fired == 0 and "M3" not in text.replace("(", "\n(").split("\n(")[0]
    assert "DRY RUN" in text and "TORCH IS LIT" not in text
    compare(plan, [b.rows for b in machine.path if b.rows])


def test_random_plates_run_as_drawn() -> None:
    for seed in range(20):
        job = replace(region_job(random_plate(seed), torch_on=True))
        plan = plan_cut(job, Shop())
        if plan.paths and not errors(plan.findings):
            compare(plan, [b.rows for b in run(ngc_text(job, plan)).burns])


def test_it_is_in_the_language_of_the_job_and_plain_ascii() -> None:
    job = replace(job_of(sample_holes()), shown=Shown(language="de"), about=About("Träger (links)"))
    text = ngc_text(job, plan_cut(job, Shop()))
    assert text.isascii() and "TROCKENLAUF" in text and "Traeger [links]" in text
    run(text)


def test_no_program_for_a_saw() -> None:
    job = job_of(sample_holes(), process="jigsaw", kerf_mm=None)
    with pytest.raises(JobError, match="led by hand"):
        ngc_text(job, plan_cut(job, Shop()))


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("G3 X30 Y10 I5 J0 F100", "radii"),
        ("G3 X20 Y10 F100", "without a centre"),
        ("G41 D1", "G41"),
        ("G1 X5 G0 Y5 F100", "two codes"),
        ("(one (two))", "comment"),
        ("G1 X1 X2 F5", "word X"),
    ],
)
def test_the_interpreter_refuses_what_the_language_does_not_allow(line: str, why: str) -> None:
    with pytest.raises(Refused, match=why):
        run(f"G17 G21 G40 G49 G80 G90 G94\nG0 X10 Y10\n{line}\nM2\n")


def test_a_planted_fault_of_two_micrometres_is_seen() -> None:
    plan, text = made(job_of(sample_holes(), torch_on=True))
    lines = text.splitlines()
    k = next(i for i, line in enumerate(lines) if line.startswith("G1 X"))
    x = float(lines[k].split()[1][1:])
    lines[k] = lines[k].replace(lines[k].split()[1], f"X{x + 0.002:.4f}")
    with pytest.raises((AssertionError, Refused)):
        compare(plan, [b.rows for b in run("\n".join(lines) + "\n").burns])
