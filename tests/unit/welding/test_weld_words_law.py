"""Law: what is said about orders, brace and choices follows from the figures, and no message contradicts another."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from weld_jobs import rectangle_job
from weld_samples import THINNEST_LEAF_MM, shims_mm

from cutplan.geometry.vector import Point
from cutplan.pattern.pads import Brace
from cutplan.tables.band import Band
from cutplan.texts import Message
from cutplan.welding.compared import order_figure
from cutplan.welding.distortion import LaterOrder, LaterPlan, OrderPlan, OrderResult, Preset, WithoutBrace
from cutplan.welding.distortion.choice import FOLLOWED
from cutplan.welding.distortion.result import NEARLY_ALL, TOLD_MM, AfterStitches, Searched
from cutplan.welding.later.words import later_words
from cutplan.welding.order_choices import choices
from cutplan.welding.order_words import brace_figure, chance_words, reasons
from cutplan.welding.result import BraceFigure, OrderFigures

NAMES = (*FOLLOWED, "computed order")
VALUE = st.floats(0.0, 1.5, allow_nan=False).map(lambda v: round(v, 3))


@st.composite
def bands(draw: st.DrawFn) -> Band:
    low, mid, high = sorted(draw(st.tuples(VALUE, VALUE, VALUE)))
    return Band(low, mid, high, "mm", "drawn")


@st.composite
def plans(draw: st.DrawFn) -> OrderPlan:
    orders = []
    for name in NAMES:
        flat, score = draw(bands()), draw(bands())
        chance = draw(st.sampled_from([0.0, 0.01, 0.4, 0.97, 0.99, 1.0]))
        orders.append(
            OrderResult(name, (), flat, flat, flat, flat, "S1", score, chance, 0.3, draw(st.booleans()), 0.5, 5.0)
        )
    best = draw(st.integers(0, len(NAMES) - 1))
    orders[best] = replace(orders[best], equal_to_best=True)
    wanted = draw(st.booleans())
    able = [
        i
        for i, o in enumerate(orders)
        if wanted or i == best or (o.name in FOLLOWED and (o.equal_to_best or o.chance_within >= NEARLY_ALL))
    ]
    chosen = draw(st.sampled_from(able))
    bare = WithoutBrace(draw(bands()), draw(st.floats(0.0, 1.0)), draw(st.floats(0.0, 1.0)))
    preset = Preset((("P1", 0.2), ("P2", -0.2)), draw(bands()), draw(st.floats(0.0, 1.0)))
    searched = Searched(90, draw(st.sampled_from([0, 24, 3840])), draw(st.booleans()))
    return OrderPlan(
        tuple(orders), orders[chosen], orders[best], wanted, bare, preset, (), (), 0.3, None, 64, searched, 60, ()
    )  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(plan=plans(), minutes=st.lists(st.floats(1.0, 60.0), min_size=len(NAMES), max_size=len(NAMES)))
def test_no_message_contradicts_another(plan: OrderPlan, minutes: list[float]) -> None:
    job = rectangle_job()
    said = [str(m) for m in reasons(job, plan)]
    chosen, best = plan.chosen, plan.best
    text = " ".join(said)
    # the headline holds the chosen order's own figure, and calls it equal or best only where the comparison does
    assert f"{chosen.flatness_mm.mid:.2f} mm" in said[0]
    assert said[0].startswith(("The job asks for", "No order tried", chosen.name))
    calm = "not to be told from" in said[0] or "can be told to be better" in said[0]
    assert calm == (chosen.name == best.name or chosen.equal_to_best)
    assert ("more time than" in said[0]) == (not calm and not plan.wanted)
    # equal orders are listed only beside a chosen one that is equal itself, and a next best never beside equals
    equal = [o.name for o in plan.orders if o.equal_to_best and o.name != chosen.name]
    assert ("Not to be told from it" in text) == bool(equal and chosen.equal_to_best)
    assert not ("next best" in text and "Not to be told from it" in text)
    assert ("stitches are few" in text) == bool(plan.searched.every)
    # one chance, of the chosen order
    share = chosen.chance_within
    assert ("nearly all" in text) == (share >= 0.985) and ("hardly any" in text) == (share <= 0.015)
    words = str(brace_figure(replace(job, brace=None), plan).statement)
    gain = plan.without_brace.flatness_mm.mid - chosen.flatness_mm.mid  # type: ignore[union-attr]
    assert ("takes" in words) <= (gain > TOLD_MM) and ("flatter without" in words) <= (gain < -TOLD_MM)
    rows = choices(job, plan, dict(zip(NAMES, minutes, strict=True)))
    assert [r.chosen for r in rows].count(True) == 1 and rows[0].chosen
    assert rows[0].flatness_mm == chosen.flatness_mm and rows[0].chance_within == share
    assert len({str(r.what) for r in rows}) == len(rows)
    flatter = [r for r in rows[1:] if "no brace" not in str(r.what) and "set off" not in str(r.what)]
    for row in flatter:
        quick = row.minutes < rows[0].minutes
        assert quick or row.flatness_mm.mid < rows[0].flatness_mm.mid


def test_a_chance_of_several_pads_names_their_distances_too() -> None:
    job = rectangle_job()
    several = [str(chance_words(job.pads, c)) for c in (1.0, 0.5, 0.0)]
    alone = [str(chance_words(job.pads[:1], c)) for c in (1.0, 0.5, 0.0)]
    assert all("distances" in s for s in several) and not any("distances" in s for s in alone)
    for said in (several, alone):
        assert "nearly all" in said[0] and "50 %" in said[1] and "hardly any" in said[2]


def test_a_brace_that_is_off_while_the_plate_is_welded_is_no_missing_brace() -> None:
    band = Band(0.1, 0.2, 0.3, "mm", "made up for a test")
    order = OrderResult("skip", (), band, band, band, band, "S1", band, 0.9, 0.3, True, 0.5, 5.0)
    plan = OrderPlan((order,), order, order, False, None, None, (), (), 0.2, None, 64, Searched(9, 0, False), 9, ())
    braced = replace(rectangle_job(), brace=Brace("tube", 40.0, 3.0, Point(10.0, 70.0), Point(200.0, 70.0)))
    assert "comes off before" in str(brace_figure(braced, plan).statement)
    assert "No brace in the job" in str(brace_figure(rectangle_job(), plan).statement)
    for present in (True, False):
        later = LaterOrder("sleeves first", ("H4", "R1"), band, band, 0.5)
        figure = replace(order_figure(order, True), stitched=AfterStitches(band, 0.9))
        brace = BraceFigure(present, None, None, Message(""), ())
        plan_ = LaterPlan((later,), later, True, ())
        figures = OrderFigures((figure,), "skip", (), 64, (), Message(""), brace, None, plan_)
        for ribs in (True, False):
            said = " ".join(str(m) for m in later_words(figures, ribs=ribs))
            assert ("brace and clamps" in said) == present and "clamps on until all is cold" in said


def test_shims_are_as_thick_as_a_pad_rises_above_the_lowest() -> None:
    # exact: 0.20 and -0.13 lie 0.33 mm apart; no shim is thinner than nothing, and a shim of 0.02 mm is none
    band, flat = Band(0.3, 0.4, 0.5, "mm", "made up for a test"), Band(0.0, 0.01, 0.02, "mm", "made up for a test")
    order = OrderResult("skip", (), band, band, band, band, "S1", band, 0.5, 0.3, True, 0.5, 5.0)
    preset = Preset((("P1", 0.2), ("P2", -0.13), ("P3", -0.11)), flat, 1.0)
    plan = OrderPlan((order,), order, order, False, None, preset, (), (), 0.2, None, 64, Searched(9, 0, False), 9, ())
    (row,) = [c for c in choices(rectangle_job(), plan, {"skip": 5.0}) if "set off" in str(c.what)]
    assert str(row.cost) == "shims between brace and pads before tacking: P1 0.33 mm"
    level = replace(plan, preset=replace(preset, lifts_mm=(("P1", 0.01), ("P2", -0.01))))
    assert not [c for c in choices(rectangle_job(), level, {"skip": 5.0}) if "set off" in str(c.what)]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(-0.15, 0.15, allow_nan=False), min_size=2, max_size=4))
def test_no_shim_is_thinner_than_the_thinnest_leaf_that_is_sold(lifts: list[float]) -> None:
    band, flat = Band(0.3, 0.4, 0.5, "mm", "made up for a test"), Band(0.0, 0.01, 0.02, "mm", "made up for a test")
    order = OrderResult("skip", (), band, band, band, band, "S1", band, 0.5, 0.3, True, 0.5, 5.0)
    preset = Preset(tuple((f"P{i}", lift) for i, lift in enumerate(lifts)), flat, 1.0)
    plan = OrderPlan((order,), order, order, False, None, preset, (), (), 0.2, None, 64, Searched(9, 0, False), 9, ())
    asked = shims_mm(choices(rectangle_job(), plan, {"skip": 5.0}))
    assert all(thick >= THINNEST_LEAF_MM for thick in asked)
    # exact: a pad that needs so much more than the lowest is given it, and no other
    assert asked == [lift - min(lifts) for lift in lifts if lift - min(lifts) >= THINNEST_LEAF_MM]


def test_of_orders_flat_alike_the_table_shows_the_quickest() -> None:
    def order(name: str, flat: float) -> OrderResult:
        band = Band(0.1, flat, 0.6, "mm", "made up for a test")
        return OrderResult(name, (), band, band, band, band, "S1", band, 0.9, 0.3, True, 0.5, 5.0)

    # less than a micrometre apart, either way: no draw and no rounding tells them from each other
    for slow in (0.2 - 1e-7, 0.2 + 1e-7):
        orders = (order("once round", 0.3), order("ends last", slow), order("skip", 0.2), order("computed order", slow))
        plan = OrderPlan(
            orders, orders[0], orders[1], False, None, None, (), (), 0.2, None, 64, Searched(9, 0, False), 9, ()
        )
        minutes = {"once round": 10.0, "ends last": 25.0, "skip": 12.0, "computed order": 25.0}
        assert choices(rectangle_job(), plan, minutes)[1].minutes == 12.0
