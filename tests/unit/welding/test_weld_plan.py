"""The plan as a whole: every bead placed once, waits kept, consumption adds up, shop and limits are said."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache, partial
from itertools import pairwise
from math import pi
from types import SimpleNamespace

import pytest
from weld_jobs import rectangle_job

from cutplan.errors import JobError
from cutplan.pattern.joint import Joint, Span
from cutplan.pattern.shop import Shop, WeldMeasured
from cutplan.tables.band import Band
from cutplan.welding.distortion import OrderOptions
from cutplan.welding.order import Ordered, closer_spacing_mm
from cutplan.welding.plan import plan_weld
from cutplan.welding.result import WeldPlan
from cutplan.welding.stitches.split import split_joint
from cutplan.welding.stitches.tacks import plan_tacks

ORDERS = 6


@pytest.fixture(autouse=True, scope="module")
def coarse_model() -> Iterator[None]:
    """The order model on a coarse mesh: these tests are about the plan around it."""
    with pytest.MonkeyPatch.context() as patch:
        coarse = partial(OrderOptions, triangles=450, samples=8, training=2, extra_places=0, steps_shape=False)
        patch.setattr("cutplan.welding.order.OrderOptions", coarse)
        yield


@cache
def butt() -> WeldPlan:
    return plan_weld(rectangle_job(orders=ORDERS))


@cache
def lap() -> WeldPlan:
    job = rectangle_job(plate_mm=3.0, joint=Joint("lap", 0.0, 20.0), purpose="plug weld", orders=ORDERS)
    return plan_weld(job)


@pytest.mark.parametrize("plan", [butt, lap])
def test_every_bead_is_placed_once_and_the_stitches_are_the_joint(plan) -> None:  # type: ignore[no-untyped-def]
    p = plan()
    names = [b.name for b in (*p.tacks, *p.stitches)]
    assert len(set(names)) == len(names)
    assert sum(b.length_mm for b in p.stitches) == pytest.approx(p.length_mm)
    assert [b.number for b in p.tacks] == list(range(1, len(p.tacks) + 1))
    assert [b.number for b in p.stitches] == list(range(1, len(p.stitches) + 1))
    for b in (*p.tacks, *p.stitches):
        assert sum(s.length for s in b.path) == pytest.approx(b.length_mm, abs=1e-6)
        assert b.path[0].start.distance(b.start) < 1e-9 and b.path[-1].end.distance(b.end) < 1e-9


def test_backward_beads_run_against_the_outline() -> None:
    job = rectangle_job(orders=ORDERS)
    outline = job.plate.outline
    for b in butt().stitches:
        start, _ = outline.nearest(b.start)
        wanted = (b.span.end_mm if b.backward else b.span.start_mm) % outline.length
        assert min(abs(start - wanted), outline.length - abs(start - wanted)) < 1e-6


def test_time_runs_forward_and_no_bead_starts_too_warm() -> None:
    p = butt()
    beads = sorted((*p.tacks, *p.stitches), key=lambda b: b.start_s)
    assert [b.kind for b in beads] == ["tack"] * len(p.tacks) + ["stitch"] * len(p.stitches)
    speed = p.settings.arc.speed_mm_per_s.mid
    for before, after in pairwise(beads):
        assert after.start_s >= before.start_s + before.length_mm / speed + 5.0 + after.wait_s - 1e-6
        assert after.before_C.mid <= p.heat.interpass_C + 1e-6
    assert p.total_time_s == pytest.approx(beads[-1].start_s + beads[-1].length_mm / speed)
    assert p.uses.arc_time_s < p.total_time_s


def test_consumption_adds_up() -> None:
    p = butt()
    section = 2.5 * 1.0 + 2 / 3 * 3.0 * 1.2  # exact: square groove and cap
    assert p.uses.metal_kg == pytest.approx(section * p.length_mm * 7.85e-6)
    assert p.uses.wire_kg.mid == pytest.approx(p.uses.metal_kg / 0.95)
    assert p.uses.gas_l.low == pytest.approx(p.settings.gas_l_per_min * p.uses.arc_time_s / 60.0)
    beads = len(p.tacks) + len(p.stitches)
    assert p.uses.gas_l.mid == pytest.approx(p.settings.gas_l_per_min * (p.uses.arc_time_s + 2.0 * beads) / 60.0)
    q = lap()
    plugs = 4 * pi * 6.5**2 * 3.0 * 7.85e-6
    assert q.uses.metal_kg == pytest.approx(q.joint.section_mm2 * q.length_mm * 7.85e-6 + plugs)


def test_the_chosen_order_is_among_those_compared_and_people_know_the_others() -> None:
    p = butt()
    assert [o.key for o in p.order.compared if o.chosen] == [p.order.chosen]
    assert len(p.order.compared) >= 4
    everything = {b.name for b in (*p.tacks, *p.stitches)}
    for o in p.order.compared:
        assert {name.rstrip("<") for name in o.order} == everything
        assert o.total_s > 0.0


def test_hotter_things_may_be_nearer() -> None:
    distances = [k.distance_mm.mid for k in butt().heat.keep_away]
    assert distances == sorted(distances)
    for k in butt().heat.keep_away:
        assert 0.0 < k.distance_mm.low <= k.distance_mm.mid <= k.distance_mm.high
        # exact: q / (sqrt(2 pi e) rho c h (T - T0)), hottest settings in the thinner part
        hottest = butt().heat.input_J_per_mm.high / (4.132731354 * 0.0045 * 2.5 * (k.limit_C - 20.0))
        assert k.distance_mm.high == pytest.approx(hottest)


def test_pull_is_held_at_half_the_yield_force_of_the_metal_beside_it() -> None:
    # exact: half of 140 mm of 4 mm plate and 30 mm to the nearest wall of 2.5 mm skin, S235; delivered up to 1.6 times
    held = 0.5 * 235.0 * (70.0 * 4.0 + 30.0 * 2.5)
    assert butt().free.tendon_N.low <= held
    assert held < butt().free.tendon_N.mid < butt().free.tendon_N.high <= 1.6 * held
    assert "section-yields" in {f.code for f in butt().findings}


@pytest.mark.slow
def test_a_trial_piece_in_the_shop_file_narrows_the_bands() -> None:
    shop = Shop("shop.toml", welds=(WeldMeasured("GMAW", 2.5, 1.2, 0.2, 0.8, 0.4),))
    p = plan_weld(rectangle_job(orders=ORDERS), shop)
    free = butt().free.shrink_mm
    assert p.free.shrink_mm.mid == pytest.approx(1.2 * free.mid)
    assert p.free.shrink_mm.high == pytest.approx(1.2 * 1.2 * free.mid)
    assert p.free.shrink_mm.low == pytest.approx(0.8 * 1.2 * free.mid)
    assert str(p.free.coupon).startswith("shop.toml")
    assert not butt().free.coupon
    other = plan_weld(rectangle_job(orders=ORDERS), Shop(welds=(WeldMeasured("GMAW", 4.0, 1.2, 0.2),)))
    assert not other.free.coupon


def test_same_job_same_plan() -> None:
    again = plan_weld(rectangle_job(orders=ORDERS))
    assert (
        again.order.compared == butt().order.compared
        and again.tacks == butt().tacks
        and again.stitches == butt().stitches
    )
    assert again.order.reason == butt().order.reason and again.findings == butt().findings


def test_open_joint_is_planned() -> None:
    job = rectangle_job(joint=Joint("butt", 1.0, unwelded=(Span(250.0, 320.0),)), orders=ORDERS)
    p = plan_weld(job)
    assert p.length_mm == pytest.approx(job.plate.outline.length - 70.0)
    assert not p.joint.line.closed


def test_nothing_to_weld_is_refused_and_unknown_steel_is_said() -> None:
    job = rectangle_job(orders=ORDERS)
    whole = Joint("butt", 1.0, unwelded=(Span(0.0, job.plate.outline.length - 1e-10),))
    with pytest.raises(JobError, match="no edge"):
        plan_weld(replace(job, joint=whole))
    odd = replace(job, plate=replace(job.plate, steel="unobtainium"))
    assert "steel-unknown" in {f.code for f in plan_weld(odd).findings}


@pytest.mark.slow
def test_tig_plan_has_no_wire_feed_but_a_rod() -> None:
    p = plan_weld(rectangle_job(process="GTAW", orders=ORDERS))
    assert p.settings.feed_mm_per_s is None
    assert p.uses.wire_kg.mid == pytest.approx(p.uses.metal_kg / 0.955)
    assert p.heat.input_J_per_mm.mid > butt().heat.input_J_per_mm.mid  # slower travel: common practice


def test_unmeshable_job_falls_back_to_the_rule_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise JobError("planted refusal")

    monkeypatch.setattr("cutplan.welding.order.plan_order", refuse)
    p = plan_weld(rectangle_job(orders=ORDERS))
    assert p.order.compared == () and p.order.draws == 0 and p.order.choices == ()
    assert "rule" in p.order.chosen
    assert [f.severity for f in p.findings if f.code == "order-not-computed"] == ["warning"]


def test_a_seam_of_more_beads_than_are_followed_is_welded_by_rule(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cutplan.welding.order.MOST_BEADS", 12)
    p = plan_weld(rectangle_job(orders=ORDERS))
    count = len(p.tacks) + len(p.stitches)
    (told,) = [f for f in p.findings if f.code == "order-not-computed"]
    assert count > 12 and p.order.compared == ()
    assert f"{count} beads" in str(told.message) and "stitch" in str(told.fix) and told.where == "welding.stitch"


def test_a_gap_that_the_model_sees_close_gets_closer_tacks() -> None:
    joint = butt().joint
    tacks = plan_tacks(joint, split_joint(joint), butt().free.shrink_mm, spacing_mm=90.0)

    def seen(closing: float) -> Ordered:
        chosen = SimpleNamespace(closing_mm=Band(0.0, closing, 2.0, "mm", "planted"))
        return Ordered((), (), 0, (), SimpleNamespace(chosen=chosen), (), ())  # type: ignore[arg-type]

    assert closer_spacing_mm(joint, tacks, seen(1.1), None) == pytest.approx(60.0)  # exact: two thirds, gap 1.0
    assert closer_spacing_mm(joint, tacks, seen(0.9), None) is None
    assert closer_spacing_mm(joint, tacks, seen(1.1), 90.0) is None  # the job's own spacing is never changed
    assert closer_spacing_mm(joint, replace(tacks, spacing_mm=50.0), seen(1.1), None) is None
    assert closer_spacing_mm(lap().joint, tacks, seen(1.1), None) is None


@pytest.mark.slow
def test_two_runs_double_heat_and_arc_time_of_a_stitch() -> None:
    thick = plan_weld(rectangle_job(plate_mm=6.0, skin_mm=6.0, orders=ORDERS))
    assert thick.runs == 2  # published: one run each side at 6 mm
    welded = sum(b.length_mm for b in (*thick.tacks, *thick.stitches))
    assert thick.uses.arc_time_s == pytest.approx(2.0 * welded / thick.settings.arc.speed_mm_per_s.mid)
    # exact: alpha / (rho c) times the heat of both runs over the thickness
    assert thick.free.shrink_mm.mid == pytest.approx(12e-6 / 0.0045 * 2.0 * thick.heat.input_J_per_mm.mid / 6.0)


def test_plug_welds_are_said_to_come_last_and_apart() -> None:
    note = next(f for f in lap().findings if f.code == "plug-welds-last")
    assert str(note.message).endswith("H1, H4, H2, H3")  # exact: the corner opposite comes second
    assert "plug-welds-last" not in {f.code for f in butt().findings}


@pytest.mark.slow
def test_progress_is_told_while_orders_are_compared() -> None:
    told: list[tuple[int, int]] = []
    plan_weld(rectangle_job(orders=ORDERS), progress=lambda done, total: told.append((done, total)))
    assert told and len({total for _, total in told}) == 1
    assert [done for done, _ in told] == sorted(done for done, _ in told)
