"""Readings on the way from the form to a new weld page: which rows steer, what is fixed, what is said and printed."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from sheet_results import small, small_job

from cutplan.cli.inspect import _tell_bench
from cutplan.drawing.model import Text
from cutplan.errors import JobError
from cutplan.inspection.form import form_csv
from cutplan.inspection.named_points import dial_places
from cutplan.inspection.on_the_way import bench_readings, under_way
from cutplan.inspection.readings import Reading, read_readings
from cutplan.inspection.verdict import inspect
from cutplan.pattern.joint import Joint
from cutplan.sheets.page import Builder
from cutplan.sheets.welding.bead_list import bead_cells
from cutplan.sheets.welding.bench_page import bench_document
from cutplan.tables.band import Band
from cutplan.texts import ENGLISH, say
from cutplan.welding.bench.history import history_of, written_row
from cutplan.welding.bench.later import later_left, outlook_before
from cutplan.welding.bench.replan import _watched, replan
from cutplan.welding.bench.result import BenchPlan, BenchReadings, DialRead, GapRead, Outlook, Reread
from cutplan.welding.bench.words import headline, reasons
from cutplan.welding.distortion.bench.result import RestPlan
from cutplan.welding.distortion.later.parts import LaterOrder, LaterPlan
from cutplan.welding.distortion.result import AfterStitches, OrderResult
from cutplan.welding.later.words import bend_doubts
from cutplan.welding.order_words import chance_words

JOB = small_job()


def dials(stage: str, value: float = 0.0, zero: float | None = 0.0) -> tuple[DialRead, ...]:
    return tuple(
        DialRead(pad.name, str(i), at, stage, value, zero)
        for pad in JOB.pads
        for i, at in enumerate(dial_places(JOB, pad), 1)
    )


def planned(readings: BenchReadings) -> BenchPlan:
    plan = small().weld
    assert plan is not None
    return replan(JOB, None, plan, readings)


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


def test_what_was_welded_otherwise_is_written_down_in_one_row_and_read_back() -> None:
    """A page with new numbers says what the form must say before the next readings; without it they would be taken for the plan's."""
    plan = small().weld
    assert plan is not None
    first, second = plan.stitches[1].name, plan.stitches[0].name
    found = planned(BenchReadings((), (), ((first, True), (second, False))))
    rest = " ".join(b.name for b in plan.stitches[2:])
    row = f"{first}< {second} {rest}"
    assert [str(r) for r in found.reason if f"done,{row},," in str(r)]
    # a number is another stitch's now, though the rest keeps its order
    pages = bench_document(small(), replace(found, left=(replace(found.left[0], number=9), *found.left[1:]))).pages
    said = " ".join(i.text for p in pages for i in p.items if isinstance(i, Text))
    assert "cross out the old ones" in said and "in their order of welding" not in said
    [reading] = read_readings(f"kind,name,to,after,measured\ndone,{row},,,")
    again = bench_readings(JOB, [reading])
    assert again.done[:2] == ((first, True), (second, False)) and len(again.done) == len(plan.stitches)
    history = history_of(plan, again)
    assert written_row(plan, history, history.turns) == row
    assert bench_readings(JOB, [Reading("done", "R1", "", None, 3)]).done == (("R1", False),)
    as_planned = history_of(plan, BenchReadings())
    assert written_row(plan, as_planned, as_planned.turns) == ""


def test_ribs_that_bend_the_pads_are_warned_of_after_readings_as_on_the_weld_page() -> None:
    band, less = Band(0.1, 0.2, 0.3, "mm", "made up for a test"), Band(0.6, 0.7, 0.8, "mm", "made up for a test")
    order = LaterOrder("sleeves first", ("H4", "R1"), less, band, 0.2)
    [doubt] = bend_doubts(JOB, LaterPlan((order,), order, True, ()), AfterStitches(band, 0.9))
    assert (doubt.code, doubt.severity) == ("later-welds-bend", "warning")
    plan = small().weld
    assert plan is not None and plan.order.later is not None
    chosen = next(o for o in plan.order.compared if o.chosen)
    told = bend_doubts(JOB, plan.order.later, chosen.stitched)
    assert told == [f for f in plan.findings if f.code == "later-welds-bend"]


def test_after_a_rib_only_what_is_left_is_told() -> None:
    found = planned(BenchReadings((), (), (*((b.name, False) for b in small().weld.stitches), ("R1", False))))
    assert [w.name for w in found.later] == ["H4"] and not found.left
    assert str(headline(found)) == "Go on as planned. Left to weld: H4"


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


def test_nothing_read_leaves_the_order_of_the_plan() -> None:
    plan = small().weld
    assert plan is not None
    done = tuple((b.name, False) for b in plan.stitches[:2])
    found = planned(BenchReadings((), (), done))
    assert found.kept and found.agrees
    assert [b.name for b in found.left] == [b.name for b in plan.stitches[2:]]
    assert [b.backward for b in found.left] == [b.backward for b in plan.stitches[2:]]
    # a stitch keeps the number that the weld page gave it and the chalk shows
    assert (
        [b.number for b in found.left]
        == [b.number for b in plan.stitches[2:]]
        == list(range(3, len(plan.stitches) + 1))
    )
    pages = bench_document(small(), found, advice=("Open the gap first.",)).pages
    said = " ".join(i.text for p in pages for i in p.items if isinstance(i, Text))
    assert "new order" not in said and "cross out" not in said and "in their order of welding" in said
    # what the readings ask for first stands on the page
    assert said.index("Open the gap first.") < said.index("Nothing was read")
    assert not any("kind done" in str(r) for r in found.reason)
    assert found.now == found.before


@pytest.fixture(scope="module")
def still() -> BenchPlan:
    """Dials that say that the tacks moved nothing: well within what tacks do."""
    return planned(BenchReadings((), dials("tacks")))


def test_readings_within_the_band_give_a_chance_and_a_page(still: BenchPlan) -> None:
    assert still.agrees and still.now is not None and 0.0 <= still.now.chance <= 1.0
    plan = small().weld
    assert plan is not None
    assert sorted(b.name for b in still.left) == sorted(b.name for b in plan.stitches)
    assert [b.name for b in still.done] == [b.name for b in plan.tacks]
    assert [b.number for b in still.left] == list(range(1, len(still.left) + 1))
    pages = bench_document(small(), still).pages
    said = " ".join(i.text for p in pages for i in p.items if isinstance(i, Text))
    assert "beads are left" in said and "The readings against the plan" in said
    assert all(b.name in said for b in still.left)
    inch = replace(small(), job=replace(small().job, shown=replace(small().job.shown, display="in")))
    told = [i.text for p in bench_document(inch, still).pages for i in p.items if isinstance(i, Text)]
    assert any(x.told for x in still.lessons) and not [
        t for t in told if re.fullmatch(r"-?[\d.]+ \(-?[\d.]+ / -?[\d.]+\) mm", t)
    ]
    german = bench_document(small(), still, "de").pages
    assert {len(p.items) > 0 for p in pages} == {True} and len(pages) <= 3
    for row in still.readings:
        assert row.form_mm == 0.0 and abs(row.read_mm) < 1e-9  # flat is flat, as it was written
    assert "Raupen" in " ".join(i.text for p in german for i in p.items if isinstance(i, Text))


def test_what_is_told_after_readings_holds_after_all_welds_in_the_words_of_the_weld_page(still: BenchPlan) -> None:
    plan = small().weld
    assert plan is not None and plan.order.later is not None
    chosen = next(o for o in plan.order.compared if o.chosen)
    # exact: welded as planned up to here, so what was expected is what the weld page says
    assert (still.before.chance, still.before.flatness_mm) == (chosen.chance_within, chosen.flatness_mm)
    assert still.before.stitched == chosen.stitched and still.now is not None and still.now.stitched is not None
    assert [w.name for w in still.later] == ["H4", "R1"]
    assert still.later[-1].after_mm == still.now.flatness_mm != still.now.stitched.flatness_mm
    said = [str(r) for r in still.reason]
    assert chance_words(JOB.pads, still.now.chance) in still.reason
    for begin in ("Before these readings", "Distances between pads", "Orders are compared after all welds, H4, R1"):
        assert [s for s in said if s.startswith(begin)], begin
    pages = bench_document(small(), still).pages
    texts = {i.text for p in pages for i in p.items if isinstance(i, Text)}
    assert "After the last stitch, once all is cold" in texts
    assert still.as_dict()["later"] and [w.first for w in still.later] == [w.first for w in plan.later]


def test_after_the_last_stitch_sleeves_and_ribs_are_left_and_nothing_else() -> None:
    plan = small().weld
    assert plan is not None
    found = planned(BenchReadings((), (), tuple((b.name, False) for b in plan.stitches)))
    assert not found.left and [w.name for w in found.later] == ["H4", "R1"] and found.time_s == 0.0
    pages = bench_document(small(), found).pages
    said = " ".join(i.text for p in pages for i in p.items if isinstance(i, Text))
    assert "Left to weld: H4, R1" in said
    # where the readings do not fit no figure is given of what is left
    history = history_of(plan, BenchReadings((), dials("tacks")))
    wild = replace(history_rest(), agrees=False)
    lines = later_left(JOB, plan.joint, plan, wild)
    assert [(w.first, w.after_mm) for w in lines] == [(w.first, None) for w in plan.later]
    turned = replace(history, turns=(*history.turns[:-1], replace(history.turns[-1], backward=True)))
    assert outlook_before(plan, turned, wild).flatness_mm != outlook_before(plan, history, wild).flatness_mm


def history_rest() -> RestPlan:
    """A rest of an order, made up."""
    band = Band(7.0, 8.0, 9.0, "mm", "made up for a test")
    order = OrderResult("as planned", (), band, band, band, band, "S1", band, 0.5, 0.0, True, 0.0)
    return RestPlan(0, True, 1.0, (), (), 0.0, 8, 0, order, order, (), order, True)


def test_the_command_tells_the_way_of_a_stitch_as_its_list_on_the_page_does(
    still: BenchPlan, capsys: pytest.CaptureFixture[str]
) -> None:
    """No word for against the drawn direction that would be taken for against the planned one, as the form has it."""
    some = replace(still, left=(replace(still.left[0], backward=True), *still.left[1:]))
    _tell_bench(some, ENGLISH)
    lines = [line.split() for line in capsys.readouterr().out.splitlines()]
    ways = {line[1]: line[2].rstrip(",") for line in lines if len(line) > 4 and line[0].rstrip(".").isdigit()}
    builder = Builder(JOB, None, "en")
    listed = {c[2]: c[3][0] for c in bead_cells(builder, small(), some.left)}
    arrows = {"clockwise": "↻", "counter-clockwise": "↺"}
    assert {n: arrows[ways[n]] for n in listed} == listed and set(listed.values()) == {"↻", "↺"}


def test_a_better_order_that_is_not_worth_its_while_is_named() -> None:
    """No page says that no order is better beside a chart in which one is."""
    rest = history_rest()
    flat = replace(rest.chosen, name="skip", flatness_mm=Band(1.0, 2.0, 3.0, "mm", "made up for a test"))
    read = (Reread(say("dial"), 0.1, 0.1, rest.chosen.flatness_mm, rest.chosen.flatness_mm, False),)
    before = Outlook(0.5, rest.chosen.flatness_mm)
    first, *_ = reasons(JOB, replace(rest, orders=(rest.chosen, flat)), read, before)
    assert "no order of what is left is told to be better" in str(first)
    less = replace(rest.chosen, equal_to_best=False)
    first, *_ = reasons(JOB, replace(rest, chosen=less, planned=less, orders=(less, flat)), read, before)
    assert "skip, would leave 2.00 mm" in str(first) and "no order" not in str(first)
    turned, *_ = reasons(JOB, replace(rest, later_kept=False), read, before)
    assert "the welds after them come in a new order" in str(turned)


def test_readings_that_cannot_be_give_no_chance_and_say_stop() -> None:
    pads = {p.name: n for n, p in enumerate(JOB.pads)}
    # one pad 3 mm up after the tacks, the other down: no draw comes near
    wild = tuple(replace(d, value_mm=3.0 * (-1) ** (pads[d.pad] + int(d.number))) for d in dials("tacks"))
    found = planned(BenchReadings((), wild))
    assert not found.agrees and found.kept
    assert found.now is None and not found.orders
    pages = bench_document(small(), found).pages
    said = " ".join(i.text for p in pages for i in p.items if isinstance(i, Text))
    assert "STOP" in said and "expected now" not in said


@pytest.mark.slow
def test_too_few_dials_and_gaps_under_a_lap_are_told() -> None:
    few = planned(BenchReadings((), dials("tacks")[:3]))
    assert [f.code for f in few.findings] == ["dials-too-few"]
    # exact: three readings fix their plane, so nothing is learnt
    assert not any(x.told for x in few.lessons)
    lap = replace(JOB, joint=Joint("lap", 0.0, 20.0))
    plan = small().weld
    assert plan is not None
    gap = GapRead("G1", plan.stitches[0].middle, "tacks", 0.2)
    watched, findings = _watched(lap, plan, BenchReadings((gap,)), history_of(plan, BenchReadings((gap,))))
    assert not watched and [f.code for f in findings] == ["lap-gaps-unused"]


def test_positions_without_a_table_ask_for_a_trial_piece() -> None:
    from cutplan.findings import Finding
    from cutplan.sheets.welding.weld_pages import untabled

    plan = small().weld
    assert plan is not None
    flat = replace(plan, stitches=tuple(replace(s, position="PA") for s in plan.stitches), findings=())
    assert not untabled(flat)
    doubt = Finding("no-table-for-position", "warning", "", "welding.position")
    upright = replace(flat, stitches=(replace(plan.stitches[0], position="PG"), *flat.stitches[1:]), findings=(doubt,))
    assert "PG" in str(untabled(upright)) and "trial piece" in str(untabled(upright))
