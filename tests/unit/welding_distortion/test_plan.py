"""The compared and chosen order: bands, reason, braces, extra places, shape; and the door from a checked job."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from weld_jobs import rectangle_job
from weld_tasks import butt_task, inherent, lap_task, seam

from cutplan.errors import JobError
from cutplan.geometry.vector import Point
from cutplan.pattern.brace_designs import braces_of
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.opening import opening_line
from cutplan.pattern.pads import Brace
from cutplan.pattern.skin import Rib, Skin
from cutplan.tables.band import Band
from cutplan.welding.distortion import (
    Bead,
    FixedBrace,
    OrderOptions,
    OrderPlan,
    OrderResult,
    PadPoints,
    Step,
    WeldTask,
    plan_order,
    plan_task,
)
from cutplan.welding.distortion.adapter import task_of
from cutplan.welding.distortion.chain.elastic import make_chain
from cutplan.welding.distortion.chain.yielding import Run, follow_yielding
from cutplan.welding.distortion.choice import FOLLOWED, choose, findings_of, preset_of
from cutplan.welding.distortion.compare import Judged, World, judge_orders
from cutplan.welding.distortion.draws import Draws, drawn
from cutplan.welding.distortion.extra import extra_braces, extra_tacks
from cutplan.welding.distortion.found import affordable
from cutplan.welding.distortion.model.condensed import make_model
from cutplan.welding.distortion.result import Searched
from cutplan.welding.distortion.search.judge import Judge, make_judge
from cutplan.welding.distortion.search.orders import PATTERNS, Order, people_orders
from cutplan.welding.order_words import reasons

QUICK = OrderOptions(triangles=420, evaluations=12, samples=12, training=2, extra_places=2)


def job_with(joint: Joint | None = None, brace: Brace | None = None) -> Job:
    job = rectangle_job(joint=joint)
    rib = Rib("R1", (Point(-50.0, 70.0), Point(280.0, 70.0)), "suspected", None)
    return replace(job, skin=Skin(2.5, ribs=(rib,)), brace=brace)


def beads_of(task: WeldTask) -> tuple[list[Bead], list[object]]:
    beads, shrinks = seam(task.path, 4, 8)
    return beads, list(shrinks)


@pytest.fixture(scope="module")
def plan() -> OrderPlan:
    task = butt_task(brace=True)
    return plan_task(task, *seam(task.path, 4, 8), QUICK)


def test_every_order_holds_every_bead_once_with_bands_in_order(plan: OrderPlan) -> None:
    for order in plan.orders:
        assert sorted(s.bead for s in order.steps) == list(range(12))
        assert [s.name[0] for s in order.steps] == ["T"] * 4 + ["S"] * 8
        moved = (order.flatness_mm, order.tilt_mm_per_m, order.pitch_mm, order.closing_mm)
        for band in moved:
            assert band.low <= band.mid <= band.high
            assert band.unit and band.source
        assert order.flatness_mm.low < order.flatness_mm.high


def test_brace_is_shown_side_by_side_and_places_for_more_are_ranked(plan: OrderPlan) -> None:
    assert plan.without_brace is not None
    assert plan.without_brace.flatness_mm.mid != plan.chosen.flatness_mm.mid
    kinds = [e.kind for e in plan.extra]
    assert sorted(set(kinds)) == ["brace", "tack"]
    scores = [e.score for e in plan.extra]
    assert scores == sorted(scores)


def test_shape_starts_flat_and_ends_as_the_result_says(plan: OrderPlan) -> None:
    shape = plan.shape
    assert shape is not None
    assert shape.labels[0] == "start"
    assert shape.labels[1:-1] == tuple(s.name for s in plan.chosen.steps)
    assert shape.labels[-1] == "brace off"
    assert shape.lift_mm.shape == (len(shape.labels), len(shape.points))
    assert not shape.lift_mm[0].any()
    assert shape.triangles.max() == len(shape.points) - 1
    # the last row is out of flat by what the result says, over the pads' own points
    task = butt_task(brace=True)
    model = make_model(task, *seam(task.path, 4, 8), QUICK)
    apart = ((shape.points[shape.is_plate][None, :, :] - model.pads.place[:, None, :]) ** 2).sum(axis=2)
    assert apart.min(axis=1).max() < 1e-12
    heights = shape.lift_mm[-1][: shape.is_plate.sum()][apart.argmin(axis=1)]
    judge = make_judge(model, QUICK)
    found = np.ptp(judge.residual[:, : len(heights)] @ heights)
    # the shape is that of the middle of all bands, which lies among the draws
    assert 0.3 * plan.chosen.flatness_mm.low <= found <= 2.0 * plan.chosen.flatness_mm.high


def test_same_input_gives_the_same_plan(plan: OrderPlan) -> None:
    task = butt_task(brace=True)
    again = plan_task(task, *seam(task.path, 4, 8), QUICK)
    assert again.orders == plan.orders
    assert again.extra == plan.extra


def test_the_best_is_no_worse_than_any_and_the_chosen_one_is_equal_to_it(plan: OrderPlan) -> None:
    assert [o.name for o in plan.orders] == [*PATTERNS, "computed order"]
    assert plan.best.score_mm.mid <= min(o.score_mm.mid for o in plan.orders) + 0.05
    assert plan.chosen.equal_to_best and plan.best.equal_to_best
    assert plan.chosen in plan.orders and plan.best in plan.orders
    assert plan.chosen.name in FOLLOWED or plan.chosen == plan.best
    assert all(0.0 <= o.chance_within <= 1.0 and 0.0 <= o.flowing <= 1.0 for o in plan.orders)
    assert plan.searched.followed <= affordable(QUICK.evaluations, plan.stations)
    assert not plan.searched.every, "eight stitches have too many orders"


@pytest.mark.parametrize("name", ["skip", "computed order"])
def test_the_job_may_name_the_order(name: str) -> None:
    task = butt_task()
    options = replace(QUICK, evaluations=8, samples=4, extra_places=0, steps_shape=False, order=name)
    named = plan_task(task, *seam(task.path, 4, 8), options)
    assert named.chosen.name == name and named.wanted
    with pytest.raises(JobError, match="no order of welding"):
        plan_task(task, *seam(task.path, 4, 8), replace(options, order="widdershins"))


def test_of_equal_orders_the_quickest_that_people_can_follow_is_taken() -> None:
    task = butt_task()
    options = replace(QUICK, evaluations=8, samples=4, extra_places=0, steps_shape=False)
    beads, _ = seam(task.path, 4, 8)
    quiet = [inherent(1e-6, 1.0, 1e-6)] * 12  # nothing moves, so all orders are equal

    def minutes(steps: tuple[Step, ...]) -> float:
        return 10.0 if steps[5].name == "S3" else 20.0

    plan = plan_task(task, beads, quiet, options, time_of=minutes)
    assert all(o.equal_to_best for o in plan.orders)
    second = {o.name: o.steps[5].name for o in plan.orders}
    quick = [n for n in FOLLOWED if second[n] == "S3"]
    assert quick and plan.chosen.name == quick[0]


def rival(name: str, worse_mm: float, minutes: float, chance: float = 1.0) -> Judged:
    """An order as judged, made up: so much worse than the best in each draw."""
    band = Band(0.1, 0.2, 0.3, "mm", "made up for a test")
    result = OrderResult(name, (), band, band, band, band, "S1", band, chance, 0.0, False, 0.0, minutes)
    order = Order(np.arange(2), np.zeros(2, dtype=bool))
    return Judged(order, result, np.zeros((4, 1)), np.full(4, 0.2), np.full(4, 0.3 + worse_mm), ())


@pytest.mark.parametrize(
    ("loss", "minutes", "chance", "allowed", "taken"),
    [
        (0.07, 15.0, 1.0, 0.8, "skip"),  # a tenth of 0.8 is 0.08: an hour saved is worth it
        (0.09, 15.0, 1.0, 0.8, "sectors"),
        (0.07, 70.0, 1.0, 0.8, "sectors"),  # nothing much to be saved
        (0.07, 15.0, 0.97, 0.8, "sectors"),  # the pads are not sure to keep what they allow
        (0.07, 15.0, 1.0, 0.5, "sectors"),
        (0.07, 15.0, 1.0, None, "sectors"),
    ],
)
def test_much_time_is_not_spent_on_what_the_pads_do_not_ask_for(
    loss: float, minutes: float, chance: float, allowed: float | None, taken: str
) -> None:
    judged = [rival("sectors", 0.04, 73.0), rival("skip", loss, minutes, chance), rival("computed order", 0.0, 60.0)]
    assert judged[choose(judged, 2, None, allowed)].result.name == taken
    assert judged[choose(judged, 2, "sectors", allowed)].result.name == "sectors"


def test_without_shrinkage_nothing_moves() -> None:
    task = butt_task()
    beads, _ = seam(task.path, 3, 4)
    quiet = plan_task(task, beads, [inherent(0.0, 0.0, 0.0)] * 7, replace(QUICK, extra_places=0))
    for order in quiet.orders:
        assert order.flatness_mm.high == pytest.approx(0.0, abs=1e-12)
        assert order.flowing == 0.0 and order.chance_within == 1.0 and order.equal_to_best
    assert quiet.extra == ()
    assert quiet.without_brace is None


def test_metal_that_yields_holds_what_an_elastic_model_would_exaggerate() -> None:
    task = butt_task()
    beads, shrinks = seam(task.path, 4, 8)
    model = make_model(task, beads, shrinks, QUICK)
    chain, judge, draws = make_chain(model), make_judge(model, QUICK), drawn(model, 4, 3)
    hard = Draws(draws.wishes, np.full_like(draws.limits, 1e15))
    spread = {}
    for name, some in (("yields", draws), ("elastic", hard)):
        flat = [
            judge.flatness_mm(follow_yielding(Run(chain, o.sequence(model.stations), some)).outputs).mean()
            for o in people_orders(model.beads).values()
        ]
        spread[name] = np.ptp(flat)
        stress = follow_yielding(Run(chain, np.arange(model.stations.count), some)).forces[:, model.brace_count :: 4]
        if name == "yields":
            assert np.all(np.abs(stress) <= some.limits[:, :, 0] * 1.005)
        else:
            assert np.abs(stress / model.section_mm2).max() > 600.0
    assert spread["yields"] < spread["elastic"]


def test_a_lap_is_joined_to_the_skin_along_the_edge_of_the_plate() -> None:
    """Exact: on chords of the plate's edge, 80 mm, not on that of the opening, 65 mm; a butt on the opening's rim."""
    task = lap_task()
    skin = make_model(task, *seam(task.path, 4, 5), QUICK).sheets.bodies[1]
    assert np.hypot(*(skin.mesh.points[skin.joint.nodes] - 90.0).T) == pytest.approx(80.0, abs=1.0)
    butt = butt_task()
    skin = make_model(butt, *seam(butt.path, 4, 5), QUICK).sheets.bodies[1]
    rim = skin.mesh.points[skin.joint.nodes]
    assert rim.min() == pytest.approx(-1.0) and rim.max(axis=0) == pytest.approx([261.0, 161.0])


def test_a_gap_that_closes_is_told_for_a_butt_only() -> None:
    task = lap_task()
    plan = plan_task(task, *seam(task.path, 4, 5), replace(QUICK, extra_places=0, steps_shape=False))
    assert not {f.code for f in plan.findings} & {"gap-closes", "gap-may-close"}  # a lap has no gap
    butt = butt_task(120.0, 90.0)
    beads, _ = seam(butt.path, 4, 6)
    options = replace(QUICK, extra_places=0, steps_shape=False, order="once round")
    strong = plan_task(butt, beads, [inherent(1.5)] * 10, options)
    assert {f.code for f in strong.findings} & {"gap-closes", "gap-may-close"}


def test_a_lap_has_no_gap_that_closes_however_far_its_edges_move() -> None:
    chosen = replace(rival("skip", 0.0, 5.0).result, closing_mm=Band(5.0, 6.0, 7.0, "mm", "made up for a test"))
    codes = {}
    for task in (lap_task(), butt_task()):
        model = make_model(task, *seam(task.path, 3, 4), QUICK)
        codes[task.lap] = {f.code for f in findings_of(model, chosen)}
    assert "gap-closes" in codes[False] and not codes[True] & {"gap-closes", "gap-may-close"}


def test_beads_without_length_or_shrinkage_are_refused() -> None:
    task = butt_task()
    with pytest.raises(JobError, match="no length"):
        plan_task(task, [Bead("S1", "stitch", 10, 10)], [inherent()], QUICK)
    with pytest.raises(JobError, match="shrinkage"):
        plan_task(task, [Bead("S1", "stitch", 10, 30)], [], QUICK)


@pytest.mark.parametrize("joint", [Joint("butt", 1.0), Joint("lap", 0.0, 12.0)])
def test_job_becomes_plain_geometry(joint: Joint) -> None:
    brace = Brace("tube", 30.0, 2.0, Point(40.0, 40.0), Point(180.0, 40.0))
    job = job_with(joint, brace)
    task, findings = task_of(job)
    assert [f.code for f in findings] == ["box-depth-assumed", "rib-depth-assumed"]
    assert task.lap == (joint.kind == "lap")
    # the walls stand off whatever reaches farther, the opening of a butt or the lapped plate
    reach = 0.0 if task.lap else joint.gap_mm
    assert task.skin.outer.min(axis=0) == pytest.approx([-60.0 - reach, -30.0 - reach])
    assert task.skin.outer.max(axis=0) == pytest.approx([280.0 + reach, 170.0 + reach])
    box = np.ptp(task.path, axis=0)
    assert box == pytest.approx([220.0, 140.0])
    opening = np.ptp(task.skin.holes[0], axis=0)
    grow = 2.0 if joint.kind == "butt" else -24.0
    assert opening == pytest.approx([220.0 + grow, 140.0 + grow], abs=0.05)
    # heights: faces flush for a butt, plate on the skin for a lap
    assert task.plate.middle_z_mm == (2.0 if task.lap else -2.0)
    assert task.skin.middle_z_mm == -1.25
    # a fillet's centroid a third of its leg over the skin, a butt's in the middle of the thinner part
    assert task.weld_z_mm == pytest.approx(2.5 / 3.0 if task.lap else -1.25)
    assert task.ligament_mm == pytest.approx(2.5 if task.lap else 1.0)
    # as it is fitted: what the opening's braces say, by their stiffness where they are fixed; this lapped plate leaves no
    # room beside it, so that its brace comes off before the plate is laid
    fitted = [b for b in braces_of(job, opening_line(job)) if b.is_on("tacked")]
    assert bool(fitted) == (not task.lap) == (task.brace is not None)
    if task.brace is not None:
        feet = [f for b in fitted for bar in b.bars for f in bar.feet]
        assert isinstance(task.brace, FixedBrace) and len(task.brace.places) == len(feet)
        assert task.brace.matrix.shape == (5 * len(feet), 5 * len(feet))
    plan = plan_order(job, *seam(task.path, 4, 8), QUICK)
    assert plan.chosen.flatness_mm.mid > 0.0
    assert "rib-depth-assumed" in {f.code for f in plan.findings}


def test_clockwise_outline_is_refused() -> None:
    job = job_with()
    turned = replace(job, plate=replace(job.plate, outline=job.plate.outline.oriented(ccw=False)))
    with pytest.raises(JobError, match="clockwise"):
        task_of(turned)


def test_judge_sees_only_what_is_not_a_plane() -> None:
    task = butt_task()
    model = make_model(task, *seam(task.path, 3, 4), QUICK)
    judge: Judge = make_judge(model, QUICK)
    place, centre = model.pads.place, model.pads.centre
    plane = 0.3 + place @ np.array([2e-3, -1e-3])
    moved = 0.01 * centre  # even growth by one per cent
    outputs = np.concatenate([plane, moved.ravel()])
    assert judge.flatness_mm(outputs) == pytest.approx(0.0, abs=1e-12)
    assert judge.tilt_mm_per_m(outputs) == pytest.approx(np.hypot(2.0, 1.0), rel=1e-9)  # exact
    longest = max(np.hypot(*(a - b)) for a in centre for b in centre)
    assert judge.pitch_mm(outputs) == pytest.approx(0.01 * longest, rel=1e-9)  # exact
    outputs[0] += 0.2
    assert 0.15 < judge.flatness_mm(outputs) < 0.21  # the plane turns a little after the raised point
    assert judge.fine(np.array([0.4, 0.7])) == pytest.approx([0.0, 0.25 * 0.2])  # half of 1 mm is free


def test_extra_places_lie_between_tacks_and_between_pads() -> None:
    task = butt_task()
    beads, shrinks = seam(task.path, 4, 8)
    more = extra_tacks(task, beads, shrinks, 10)
    assert [b.name for b, _ in more] == ["T+1", "T+2", "T+3", "T+4"]
    middles = sorted(0.5 * (b.start_mm + b.end_mm) for b in beads[:4])
    for bead, shrink in more:
        here = 0.5 * (bead.start_mm + bead.end_mm)
        assert min(abs(here - m) for m in middles) > 50.0
        assert shrink is shrinks[0] or shrink in shrinks[:4]
    bars = extra_braces(task, 3)
    assert len(bars) == 3
    spans = [np.hypot(*np.subtract(*b.points)) for b in bars]
    assert spans == sorted(spans, reverse=True)


def test_data_classes_load_without_scipy() -> None:
    code = "import sys, cutplan.welding.distortion; sys.exit(any(m.split('.')[0] == 'scipy' for m in sys.modules))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_tacks_and_brace_are_tried_together(plan: OrderPlan) -> None:
    kinds = [(w.tack is not None, w.bar is not None) for w in plan.ways]
    assert kinds == [(True, False), (False, True), (True, True)]
    for way in plan.ways:
        assert way.flatness_mm.low < way.flatness_mm.mid < way.flatness_mm.high
        assert 0.0 <= way.chance_within <= 1.0
    # the bar between pads that is tried is not the job's own brace, so it changes something
    assert plan.ways[1].flatness_mm.mid != plan.chosen.flatness_mm.mid
    assert plan.ways[2].tack is plan.ways[0].tack and plan.ways[2].bar is plan.ways[1].bar


@pytest.mark.parametrize(("both", "way"), [(True, "either way"), (False, "one way")])
def test_the_sheet_says_that_all_orders_of_few_stitches_were_followed(plan: OrderPlan, both: bool, way: str) -> None:
    job = rectangle_job()
    assert "stitches are few" not in " ".join(map(str, reasons(job, plan)))
    last = str(reasons(job, replace(plan, searched=Searched(3900, 3840, both)))[-1])
    assert "all 3840 orders" in last and f"each stitch {way}" in last


def test_shims_move_pads_as_a_whole_and_leave_how_each_tilts() -> None:
    """Exact: two level pads at different heights become flat; a pad that only tilts asks for no shim."""
    task = replace(
        butt_task(),
        pads=(
            PadPoints("A", (40.0, 40.0)),
            PadPoints("B", (120.0, 40.0)),
            PadPoints("C", (80.0, 80.0)),
            PadPoints("D", (80.0, 10.0)),
        ),
    )
    beads, shrinks = seam(task.path, 4, 6)
    model = make_model(task, beads, shrinks, OrderOptions(triangles=400))
    judge = make_judge(model, OrderOptions())
    sizes, points = model.pads.sizes, len(model.pads.place)
    outputs = np.zeros((3, points + 8))
    heights = np.repeat([0.3, 0.2, 0.0, 0.1], sizes)
    outputs[:, :points] = heights
    [one] = judge_orders([World(make_chain(model), drawn(model, 3, 1))], judge, {"skip": people_orders(beads)["skip"]})
    preset = preset_of(model, judge, replace(one, outputs=outputs))
    assert preset is not None and preset.flatness_mm.high == pytest.approx(0.0, abs=1e-9)
    assert [lift for _, lift in preset.lifts_mm] == pytest.approx([0.15, 0.05, -0.15, -0.05])  # about their middle
    tilted = np.zeros_like(outputs)
    for pad in range(4):
        mine = slice(sum(sizes[:pad]), sum(sizes[: pad + 1]))
        x = model.pads.place[mine, 0] - model.pads.place[mine, 0].mean()
        tilted[:, mine] = 0.02 * x * (-1.0) ** pad
    assert preset_of(model, judge, replace(one, outputs=tilted)) is None
