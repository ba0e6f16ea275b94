"""Rows of the form as readings on the way: which steer, what is welded by then, and what is refused in words."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bench_dials import JOB, dials
from sheet_results import small

from cutplan.errors import JobError
from cutplan.inspection.form import form_csv
from cutplan.inspection.on_the_way import bench_readings, under_way
from cutplan.inspection.readings import Reading, read_readings
from cutplan.inspection.verdict import inspect
from cutplan.welding.bench.history import history_of
from cutplan.welding.bench.replan import _watched
from cutplan.welding.bench.result import BenchReadings, GapRead


def test_rows_of_the_form_steer_the_stitches_until_the_part_is_finished() -> None:
    blank = read_readings(form_csv(JOB))
    assert not under_way(blank)
    tacked = [replace(r, measured_mm=0.02) if r.after == "tacks" else r for r in blank]
    assert under_way(tacked)
    assert len(bench_readings(JOB, tacked).dials) == sum(r.after == "tacks" for r in blank) > 0
    assert under_way([replace(r, measured_mm=1.0) if r.kind == "gap" else r for r in blank])
    ended = [replace(r, measured_mm=0.0) if r.kind == "feeler" else r for r in tacked]
    assert not under_way(ended)
    found = inspect(JOB, None, tacked)
    assert (found.verdict, found.missing, found.checked, found.advice) == ("incomplete", (), (), ())


def test_the_zero_of_a_dial_and_the_gap_before_the_tacks_come_from_their_own_rows() -> None:
    rows = [
        Reading("dial", "A", "1", 0.10, 2, "", "fit"),
        Reading("dial", "A", "1", 0.25, 3, "", "S2"),
        Reading("gap", "G1", "", 1.4, 4, "", "fit"),
        Reading("gap", "G1", "", 1.1, 5),
        Reading("gap", "G2", "", 1.0, 6),
        Reading("done", "S3", "turned", None, 7),
    ]
    found = bench_readings(JOB, rows)
    assert [(d.after, d.value_mm, d.zero_mm) for d in found.dials] == [("S2", 0.25, 0.10)]
    assert [(g.station, g.after, g.value_mm, g.before_mm) for g in found.gaps] == [
        ("G1", "tacks", 1.1, 1.4),
        ("G2", "tacks", 1.0, None),
    ]
    assert found.done == (("S3", True),)
    with pytest.raises(JobError, match="not on the plan"):
        bench_readings(JOB, [Reading("dial", "Z", "1", 0.1, 2, "", "tacks")])


def test_a_reading_on_the_way_is_only_a_gap_or_a_dial() -> None:
    head = "kind,name,to,after,measured,unit"
    with pytest.raises(JobError) as caught:
        read_readings(f"{head}\ndistance,H1,H2,S1,140,mm\ndone,S1,back,,,")
    assert "not read on the way" in str(caught.value) and "turned" in str(caught.value)


def test_history_is_the_plan_up_to_the_last_reading_or_what_was_written_down() -> None:
    plan = small().weld
    assert plan is not None
    third = plan.stitches[2].name
    history = history_of(plan, BenchReadings((), dials(third)))
    assert history.laid == len(plan.tacks) + 3
    other = plan.stitches[4].name
    written = history_of(plan, BenchReadings((), dials(other), ((other, True),)))
    assert written.laid == len(plan.tacks) + 1
    turn = written.turns[len(plan.tacks)]
    assert written.names[turn.bead] == other and turn.backward != plan.stitches[4].backward
    assert sorted(t.bead for t in written.turns) == list(range(len(written.names)))
    tacks = len(plan.tacks)
    assert (history.when(third, tacks), history.when("tacks", tacks)) == (tacks + 3, tacks)
    assert written.when(other, tacks) == tacks + 1
    for wrong, words in (
        (BenchReadings((), dials("S99")), "S99"),
        (BenchReadings((), dials(third), ((other, False),)), "not written down"),
        (BenchReadings((), (), ((other, False), (other, False))), "twice"),
        (BenchReadings((), (), (("T1", False), (other, False))), "not these tacks"),
    ):
        with pytest.raises(JobError, match=words):
            history_of(plan, wrong)


def test_readings_after_a_sleeve_or_a_rib_are_taken_once_all_stitches_are_welded() -> None:
    plan = small().weld
    assert plan is not None
    beads, tacks = len(plan.tacks) + len(plan.stitches), len(plan.tacks)
    history = history_of(plan, BenchReadings((), dials("R1")))
    assert (history.laid, history.parts) == (beads, ("H4", "R1"))  # in the planned turn
    assert (history.when("H4", tacks), history.when("R1", tacks)) == (beads + 1, beads + 2)
    turned = history_of(
        plan, BenchReadings((), dials("R1"), (*((b.name, False) for b in plan.stitches), ("R1", False)))
    )
    assert turned.parts == ("R1",) and turned.when("R1", tacks) == beads + 1
    first = (plan.stitches[0].name, False)
    for wrong, words in (
        (BenchReadings((), dials("H4"), (first,)), "comes after the stitches"),
        (BenchReadings((), dials("H4"), (("R1", False),)), "not written down"),
        (BenchReadings((), (), (("R1", False), ("R1", False))), "twice"),
    ):
        with pytest.raises(JobError, match=words):
            history_of(plan, wrong)
    blind = replace(plan, order=replace(plan.order, later=None))
    with pytest.raises(JobError, match="was not computed"):
        history_of(blind, BenchReadings((), dials("H4")))


def test_beads_and_stages_are_taken_whatever_their_capitals_and_a_number_is_answered_with_its_name() -> None:
    plan = small().weld
    assert plan is not None
    third = plan.stitches[2]
    history = history_of(plan, BenchReadings((), dials(third.name.lower())))
    assert history.laid == len(plan.tacks) + 3
    assert read_readings("kind,name,to,after,measured\ndial,A,1,Tacks,0.1")[0].after == "tacks"
    with pytest.raises(JobError) as caught:
        history_of(plan, BenchReadings((), dials("3")))
    assert f"stitch 3 of the plan is {third.name}" in str(caught.value.hint)
    with pytest.raises(JobError) as caught:
        history_of(plan, BenchReadings((), dials("S99")))
    assert f"such as S{len(plan.stitches)}" in str(caught.value.hint)


def test_a_reading_is_what_changed_since_its_own_zero() -> None:
    """By hand: a gap of 1.4 read as 1.1 has closed by 0.3; a dial at 0.25 that stood at 0.10 has risen by 0.15."""
    plan = small().weld
    assert plan is not None
    place, third = plan.stitches[-1].middle, plan.stitches[2].name
    gaps = (GapRead("G1", place, "tacks", 1.1, 1.4), GapRead("G2", place, "tacks", 0.9))
    some = (replace(dials(third, 0.25, 0.10)[0]), replace(dials("tacks", 0.25, None)[0]))
    readings = BenchReadings(gaps, some)
    watched, _ = _watched(JOB, plan, readings, history_of(plan, readings))
    tacks = len(plan.tacks)
    assert [(w.laid, round(w.value_mm, 6)) for w in watched] == [
        (tacks, 0.3),
        (tacks, round(JOB.joint.gap_mm - 0.9, 6)),
        (tacks + 3, 0.15),
        (tacks, 0.25),
    ]
    # what was not read before is less certain
    assert watched[1].error_mm > watched[0].error_mm and watched[3].error_mm > watched[2].error_mm
