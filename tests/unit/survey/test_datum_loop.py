"""Datum distances from stage to stage: who moved, how far, with which error, and what to do; told through inspect too."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sheet_results import small

from cutplan.geometry.vector import Point
from cutplan.inspection.datum_loop import datum_loop, loop_advice
from cutplan.inspection.form import datum_of, form_csv
from cutplan.inspection.readings import STAGES, Reading, read_readings
from cutplan.inspection.verdict import inspect

JOB = small().job
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
