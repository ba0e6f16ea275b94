"""Readings on the way from the form to a new weld page: which rows steer, what is fixed, what is said and printed."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from bench_dials import JOB, dials
from sheet_results import small

from cutplan.cli.inspect import _tell_bench
from cutplan.drawing.model import Text
from cutplan.inspection.form import form_csv
from cutplan.inspection.on_the_way import bench_readings
from cutplan.inspection.readings import Reading, read_readings
from cutplan.inspection.verdict import inspect
from cutplan.pattern.joint import Joint
from cutplan.project.inspect import page_of
from cutplan.sheets.page import Builder
from cutplan.sheets.welding.bead_list import bead_cells
from cutplan.sheets.welding.bench_page import bench_document
from cutplan.tables.band import Band
from cutplan.texts import ENGLISH, say
from cutplan.welding.bench.history import history_of, written_row
from cutplan.welding.bench.later import later_left, outlook_before
from cutplan.welding.bench.replan import _watched, replan
from cutplan.welding.bench.result import BenchPlan, BenchReadings, GapRead, Outlook, Reread
from cutplan.welding.bench.words import headline, reasons
from cutplan.welding.distortion.bench.result import Against, RestPlan
from cutplan.welding.distortion.later.parts import LaterOrder, LaterPlan
from cutplan.welding.distortion.result import AfterStitches, OrderResult, Step
from cutplan.welding.later.words import bend_doubts
from cutplan.welding.order_words import chance_words


def planned(readings: BenchReadings) -> BenchPlan:
    plan = small().weld
    assert plan is not None
    return replan(JOB, None, plan, readings)


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


def test_what_is_planned_and_read_reaches_the_model_and_comes_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """The model's answer made up: planned turn and welded parts go in; each reading keeps its own value; a rib is warned of."""
    plan = small().weld
    assert plan is not None and plan.order.later is not None
    later = plan.order.later
    turned = replace(later, chosen=replace(later.chosen, name="ribs first", parts=("R1", "H4")))
    other = replace(plan, order=replace(plan.order, later=turned))
    rest = history_rest()
    history = history_of(plan, BenchReadings())
    steps = tuple(Step(t.bead, history.names[t.bead], t.backward) for t in history.turns)
    low = Band(0.1, 0.2, 0.3, "mm", "made up for a test")
    bent = replace(later, chosen=replace(later.chosen, chance_within=0.2))
    chosen = replace(rest.chosen, steps=steps, stitched=AfterStitches(low, 0.9))
    seen: list[tuple[object, ...]] = []

    def answer(*given: object) -> RestPlan:
        seen.append(given)
        band = rest.chosen.flatness_mm
        told = tuple(Against(i, 0.5, band, band, False) for i in (1, 0))
        return replace(rest, readings=told, chosen=chosen, planned=chosen, orders=(chosen,), laid=2, later=bent)

    monkeypatch.setattr("cutplan.welding.bench.replan.plan_rest", answer)
    two = dials("R1")[:2]
    found = replan(
        JOB, None, other, BenchReadings((), (replace(two[0], value_mm=0.11), replace(two[1], value_mm=0.22)))
    )
    assert seen[0][-2:] == ("ribs first", ("R1",))
    assert [r.form_mm for r in found.readings] == [0.22, 0.11]
    assert [w.name for w in found.later] == ["H4"]
    assert "later-welds-bend" in [f.code for f in found.findings]


def test_the_page_of_a_part_that_is_being_welded_says_what_to_do_first(still: BenchPlan) -> None:
    blank = read_readings(form_csv(JOB))
    tight = [replace(r, measured_mm=0.2) if r.kind == "gap" else r for r in blank]
    found = inspect(JOB, small(), tight)
    assert found.verdict == "out" and found.advice
    pages = page_of(small(), found, still).pages
    said = " ".join(i.text for p in pages for i in p.items if isinstance(i, Text))
    assert found.advice[0][:30] in said


def test_after_a_rib_only_what_is_left_is_told() -> None:
    found = planned(BenchReadings((), (), (*((b.name, False) for b in small().weld.stitches), ("R1", False))))
    assert [w.name for w in found.later] == ["H4"] and not found.left
    assert str(headline(found)) == "Go on as planned. Left to weld: H4"


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
    # the ribs that bend the pads are warned of whatever was read
    assert [f.code for f in few.findings if f.code != "later-welds-bend"] == ["dials-too-few"]
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
