"""Datum distances from stage to stage: who moved, how far, with which error, and what to do; told through inspect too."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from sheet_results import small_job

from cutplan.geometry.vector import Point
from cutplan.inspection.datum_loop import datum_loop, loop_advice
from cutplan.inspection.form import asked, datum_of, form_csv
from cutplan.inspection.readings import STAGES, Reading, read_readings
from cutplan.inspection.verdict import inspect

JOB = small_job()
PLAN = datum_of(JOB)


def taped(stage: str, moved: dict[str, Point]) -> list[Reading]:
    at = {p.name: p.at.plus(moved.get(p.name, Point(0, 0))) for p in PLAN.points}
    marks = {p.name for p in PLAN.points if p.kind == "mark"}
    return [
        Reading(stage, d.a, d.b, at[d.a].distance(at[d.b]))
        for d in PLAN.lines  # type: ignore[arg-type]
        if stage != "open" or {d.a, d.b} <= marks
    ]


def test_a_moved_pad_is_found_with_its_error_and_what_to_do() -> None:
    pad = next(p.name for p in PLAN.points if p.kind == "pad")
    loop = datum_loop(PLAN, taped("before", {}) + taped("tacked", {pad: Point(3.0, -1.0)}))
    assert loop is not None and loop.since == "before"
    found = next(m for m in loop.moved if m.point == pad)
    # exact: distances without error give the shift back
    assert (found.dx_mm, found.dy_mm) == pytest.approx((3.0, -1.0), abs=1e-6) and found.told
    assert 0.3 < found.error_mm < 2.0
    advice = [str(a) for a in loop_advice(loop, 0.5)]
    assert any("Grind the tacks out" in a and pad in a for a in advice)
    still = datum_loop(PLAN, taped("before", {}) + taped("welded", {}))
    assert still is not None and "nothing moved" in str(loop_advice(still, 0.5)[0])


def test_a_slip_of_the_tape_is_named_and_left_out() -> None:
    rows = taped("before", {})
    rows[-1] = replace(rows[-1], measured_mm=float(rows[-1].measured_mm or 0.0) + 12.0)
    loop = datum_loop(PLAN, rows)
    # the readings to one pad look at the same error: the tape shows that one of them is wrong, and names them all
    assert loop is not None and len(loop.doubtful) + len(loop.disagree) == 1
    named = [label for _, label, _ in loop.doubtful] + [label for _, labels, _ in loop.disagree for label in labels]
    assert rows[-1].label in named
    assert any("Measure" in str(a) and "again" in str(a) for a in loop_advice(loop, 0.5))


def test_the_form_asks_for_every_stage_and_inspect_answers() -> None:
    rows = read_readings(form_csv(JOB))
    assert {r.kind for r in rows} >= set(STAGES)
    marks = {p.name for p in PLAN.points if p.kind == "mark"}
    assert all({r.name, r.to} <= marks for r in rows if r.kind == "open")
    found = inspect(JOB, None, taped("before", {}) + taped("open", {"M2": Point(4.0, 0.0)}))
    assert found.loop is not None and any("sprung" in a for a in found.advice)
    told = found.as_dict()["datum"]
    assert isinstance(told, dict) and told["since"] == "before"


def test_a_movement_is_told_in_one_of_twenty_where_there_is_none() -> None:
    """Law: among still points, 5 in 100 are called moved; exact for chi-squared with two degrees of freedom."""
    rng = np.random.default_rng(8)
    called = total = 0
    for _ in range(60):
        rows = [
            replace(r, measured_mm=float(r.measured_mm or 0.0) + PLAN.reading_mm * float(rng.standard_normal()))
            for r in taped("before", {}) + taped("tacked", {})
        ]
        loop = datum_loop(PLAN, rows)
        assert loop is not None
        called += sum(m.told for m in loop.moved)
        total += len(loop.moved)
    # 360 points of 60 surveys, not all independent: 5 % give or take 2.5; disagreeing readings widen some
    assert 0.005 < called / total < 0.085, called / total


def test_a_pad_that_went_too_far_is_out_at_its_last_stage_only() -> None:
    pad = next(p.name for p in PLAN.points if p.kind == "pad")
    gone, back = taped("tacked", {pad: Point(6.0, 0.0)}), taped("welded", {})
    assert inspect(JOB, None, taped("before", {}) + gone).verdict == "out"
    assert inspect(JOB, None, taped("before", {}) + gone + back).verdict != "out"


def test_a_reading_beyond_the_limit_that_the_tape_does_not_prove_is_said_so() -> None:
    pad = next(p.name for p in PLAN.points if p.kind == "pad")
    loop = datum_loop(PLAN, taped("before", {}) + taped("welded", {pad: Point(0.9, 0.0)}))
    assert loop is not None
    found = next(m for m in loop.moved if m.point == pad)
    assert not found.told and found.least_mm > 0.9 and found.size == pytest.approx(0.9 / found.error_mm, rel=0.2)
    (said,) = (str(a) for a in loop_advice(loop, 0.5))
    assert pad in said and "does not prove" in said and "0.9 mm" in said


@pytest.mark.parametrize(
    ("factor", "words"), [(0.1, "decimal point"), (10.0, "decimal point"), (1.0 / 25.4, "Inch and millimetre")]
)
@pytest.mark.parametrize("stage", ["before", "welded"])
def test_a_datum_distance_that_cannot_be_is_named_and_nothing_passes(stage: str, factor: float, words: str) -> None:
    rows = taped("before", {}) + taped("tacked", {}) + taped("welded", {})
    k = next(i for i, r in enumerate(rows) if r.kind == stage)
    rows[k] = replace(rows[k], measured_mm=float(rows[k].measured_mm or 0.0) * factor, line=k + 2)
    found = inspect(JOB, None, rows)
    (slip,) = found.findings
    assert slip.code == "reading-slip" and f"{rows[k].label} (" in slip.message and words in slip.message
    assert str(slip.where) == f"line {k + 2}"
    # exact: what is left out moves nothing, the other distances are as planned
    assert found.loop is not None and not found.loop.unfixed and max(m.distance_mm for m in found.loop.moved) < 1e-6
    assert any("again" in a for a in found.advice) and not any("File this page" in a for a in found.advice)


def test_a_mark_punched_elsewhere_is_no_slip() -> None:
    away = {"M1": Point(-40.0, 0.0)}
    rows = taped("before", away) + taped("tacked", away) + taped("welded", away)
    found = inspect(JOB, None, rows)
    assert found.findings == () and found.loop is not None
    assert max(m.distance_mm for m in found.loop.moved) < 1e-6  # exact: nothing moved from stage to stage
    once = inspect(JOB, None, taped("before", away) + taped("tacked", {}) + taped("welded", {}))
    assert {f.code for f in once.findings} == {"reading-slip"}


def test_datum_distances_in_dispute_do_not_pass() -> None:
    rows = taped("before", {}) + taped("welded", {})
    whole = [*filled_rest(), *rows]
    assert inspect(JOB, None, whole).verdict == "pass"
    rows[-1] = replace(rows[-1], measured_mm=float(rows[-1].measured_mm or 0.0) + 12.0)
    found = inspect(JOB, None, [*filled_rest(), *rows])
    assert found.verdict == "incomplete" and not any("File this page" in a for a in found.advice)
    assert inspect(JOB, None, [*filled_rest(), *rows[: len(rows) // 2], *rows[len(rows) // 2 :][:3]]).verdict == (
        "incomplete"
    )  # too few of the last stage to fix its points


def filled_rest() -> list[Reading]:
    return [Reading(a.kind, a.name, a.to, a.plan_mm, i + 100) for i, a in enumerate(asked(JOB))]


def test_datum_distances_of_another_job_are_told() -> None:
    rows = [replace(r, planned_mm=float(r.measured_mm or 0.0)) for r in taped("before", {})]
    assert inspect(JOB, None, rows).findings == ()
    rows[0] = replace(rows[0], planned_mm=float(rows[0].planned_mm or 0.0) + 3.0)
    (other,) = inspect(JOB, None, rows).findings
    assert other.code == "form-of-another-plan" and rows[0].label in str(other.message)
