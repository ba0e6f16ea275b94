"""A box that nobody measured: wide bands instead of a hidden usual value, and a word about it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from weld_jobs import rectangle_job
from weld_tasks import butt_task, seam

from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.skin import Rib, Skin, Walls
from cutplan.tables.band import Band
from cutplan.welding.basis import weld_basis
from cutplan.welding.beside import beside_mm2
from cutplan.welding.box_words import box_words
from cutplan.welding.distortion import Doubt, OrderOptions, plan_task
from cutplan.welding.distortion.adapter import task_of
from cutplan.welding.distortion.chain.elastic import make_chain
from cutplan.welding.distortion.chain.yielding import Run, follow_yielding
from cutplan.welding.distortion.draws import drawn
from cutplan.welding.distortion.model import condensed
from cutplan.welding.distortion.model.condensed import make_model
from cutplan.welding.distortion.model.variants import LEVEL, few_states, in_states, states_of, varied
from cutplan.welding.distortion.search.judge import make_judge
from cutplan.welding.distortion.search.orders import people_orders
from cutplan.welding.distortion.task import BoxSize, FixedBrace
from cutplan.welding.distortion.unmeasured import walls_round
from cutplan.welding.later.make import later_parts
from cutplan.welding.plan import _free

COARSE = OrderOptions(triangles=420)
TASK = butt_task(rib=True)
MADE = Band(1.0, 1.0, 1.0, "1", "made up for a test")


def job_with(walls: Walls, depth: float | None, rib_mm: float | None) -> Job:
    rib = Rib("R1", (Point(-50.0, 70.0), Point(280.0, 70.0)), "known", rib_mm)
    return replace(rectangle_job(), skin=Skin(2.5, "mild", walls, depth, (rib,)))


def test_what_was_measured_is_drawn_narrowly_and_the_rest_widely() -> None:
    """Exact: half to twice of what nobody measured, on those sides only."""
    walls = Walls(50.0, 60.0, 30.0, 40.0, ("right", "bottom"))
    known, _ = task_of(job_with(replace(walls, assumed=()), 80.0, 20.0))
    assert known.doubt is not None and known.doubt.sizes is None
    assert (known.doubt.wall_depth_mm.low, known.doubt.wall_depth_mm.high) == pytest.approx((72.0, 104.0))
    task, findings = task_of(job_with(walls, None, None))
    assert task.doubt is not None and task.doubt.sizes is not None
    assert (task.doubt.wall_depth_mm.low, task.doubt.wall_depth_mm.high) == pytest.approx((45.0, 180.0))
    small, large = task.doubt.sizes
    lows, highs = ([f(b.outer, axis=0) for b in (small, large)] for f in (np.min, np.max))
    box = task.skin.outer
    assert np.array(lows) - box.min(axis=0) == pytest.approx(np.array([[0.0, 15.0], [0.0, -30.0]]))
    assert np.array(highs) - box.max(axis=0) == pytest.approx(np.array([[-30.0, 0.0], [60.0, 0.0]]))
    assert [b.ribs[0].depth_mm for b in (small, large)] == [12.5, 50.0]
    assert [f.code for f in findings] == ["box-depth-assumed", "rib-depth-assumed"]


def test_a_rib_is_no_deeper_than_the_box_and_no_foot_stands_behind_a_wall() -> None:
    task, _ = task_of(job_with(Walls(), 40.0, None))
    assert task.doubt is not None and task.doubt.sizes is not None
    assert task.doubt.sizes[1].ribs[0].depth_mm == 40.0
    from cutplan.welding.distortion.unmeasured import _sizes

    job = job_with(Walls(assumed=("left", "right", "bottom", "top")), 40.0, 20.0)
    box = job.plate.outline.box
    foot = FixedBrace("brace", np.array([[box.xmin - 40.0, 70.0], [110.0, 70.0]]), (False, True), np.zeros((10, 10)))
    sizes = _sizes(job, box, foot)
    assert sizes is not None
    assert sizes[0].outer.min(axis=0) == pytest.approx([box.xmin - 45.0, box.ymin - 15.0])
    assert sizes[0].outer.max(axis=0) == pytest.approx([box.xmax + 30.0, box.ymax + 15.0])


def doubted(share: float) -> Doubt:
    """All known but the box's size: distances and the rib's depth times a share at both ends."""
    middle = TASK.skin.outer.mean(axis=0)
    end = BoxSize(
        middle + share * (TASK.skin.outer - middle), tuple(replace(r, depth_mm=share * r.depth_mm) for r in TASK.ribs)
    )
    depth = Band(90.0, 90.0, 90.0, "mm", "made up for a test")
    height, gap = (Band(v, v, v, "mm", "made up for a test") for v in (TASK.weld_z_mm, TASK.ligament_mm))
    return Doubt(depth, MADE, height, gap, (end, end))


def test_a_box_of_another_size_is_that_of_a_model_made_for_it() -> None:
    beads, shrinks = seam(TASK.path, 3, 6)
    model = make_model(replace(TASK, doubt=doubted(1.0)), beads, shrinks, COARSE)
    same = in_states(model, states_of(doubted(1.0)), COARSE)
    assert {s.size for s in states_of(doubted(1.0))} == {LEVEL, -LEVEL}
    for other in same:  # exact: the plate is taken over, the same skin is solved again
        assert other.compliance == pytest.approx(model.compliance, rel=1e-7, abs=1e-12)
    share = 1.25
    model = make_model(replace(TASK, doubt=doubted(share)), beads, shrinks, COARSE)
    larger = in_states(model, states_of(doubted(share)), COARSE)[0]
    end, level = doubted(share).sizes[0], LEVEL  # type: ignore[index]
    outer = TASK.skin.outer + level * (end.outer - TASK.skin.outer)
    ribs = tuple(replace(r, depth_mm=r.depth_mm * (1.0 + level * (share - 1.0))) for r in TASK.ribs)
    made = make_model(replace(TASK, skin=replace(TASK.skin, outer=outer), ribs=ribs), beads, shrinks, COARSE)
    flat = []
    for one in (larger, made, model):
        chain, judge = make_chain(one), make_judge(one, COARSE)
        sequence = people_orders(one.beads)["skip"].sequence(one.stations)
        flat.append(judge.flatness_mm(follow_yielding(Run(chain, sequence, drawn(one, 3, 2))).outputs).mean())
    # the mesh of the plate is another one: a few hundredths
    assert flat[0] == pytest.approx(flat[1], rel=0.05)
    assert abs(flat[2] - flat[1]) > 2.0 * abs(flat[0] - flat[1]), "the box's size tells"


def test_a_deeper_rib_alone_is_solved_again_on_the_same_mesh() -> None:
    """Exact: what a model made for it from the start is."""
    beads, shrinks = seam(TASK.path, 3, 6)
    deeper = tuple(replace(r, depth_mm=2.0 * r.depth_mm) for r in TASK.ribs)
    end = BoxSize(TASK.skin.outer, deeper)
    task = replace(TASK, doubt=replace(doubted(1.0), sizes=(end, end)))
    model = make_model(task, beads, shrinks, COARSE)
    other = in_states(model, states_of(doubted(1.0)), COARSE)[0]
    assert other.sheets.bodies[1].mesh is model.sheets.bodies[1].mesh
    ribs = tuple(replace(r, depth_mm=r.depth_mm * (1.0 + LEVEL)) for r in TASK.ribs)
    made = make_model(replace(TASK, ribs=ribs), beads, shrinks, COARSE)
    assert other.compliance == pytest.approx(made.compliance, rel=1e-7, abs=1e-12)
    assert other.compliance != pytest.approx(model.compliance, rel=1e-3, abs=1e-9), "the rib tells"


def test_the_sheet_says_what_was_taken_and_how_to_measure_it() -> None:
    assert box_words(job_with(Walls(), 80.0, 20.0)) == ()
    [words] = box_words(job_with(Walls(assumed=("left",)), None, None))
    said = str(words)
    for part in ("60 mm to the left wall", "90 mm for the depth of the box", "25 mm for the depth of R1"):
        assert part in said
    for key in ("[skin.walls]", "[skin] box_depth", "[[skin.rib]] depth"):
        assert key in said
    assert "wall" not in str(box_words(job_with(Walls(), 80.0, None))[0])
    assert "half to twice" in said


def test_distances_on_measured_sides_stay() -> None:
    job = job_with(Walls(10.0, 20.0, 30.0, 40.0, ("top",)), 80.0, 20.0)
    box = job.plate.outline.box
    for share, top in ((0.5, 20.0), (2.0, 80.0)):
        outer = walls_round(job, box, share)
        assert outer.min(axis=0) == pytest.approx([box.xmin - 10.0, box.ymin - 30.0])
        assert outer.max(axis=0) == pytest.approx([box.xmax + 20.0, box.ymax + top])


def test_the_free_width_of_a_skin_that_nobody_measured_is_twice_what_is_taken() -> None:
    walls = Walls(50.0, 60.0, 30.0, 40.0)
    job = job_with(walls, 80.0, 20.0)
    widths = {}
    for sides in ((), ("right",), ("bottom",)):
        some = replace(job, skin=replace(job.skin, walls=replace(walls, assumed=sides)))
        widths[sides] = _free(some, None, weld_basis(some)).buckling.width_mm
    # exact: the widest side, twice where nobody measured it; 2 x 30 is as wide as the 60 that were measured
    assert widths == {(): 60.0, ("right",): 120.0, ("bottom",): 60.0}


def test_a_ribs_sheet_magnets_and_the_metal_beside_the_weld_are_drawn_where_nobody_measured_them() -> None:
    """Exact: half to twice of a sheet and of the nearest wall that nobody measured; magnets a third to three times."""
    job = job_with(Walls(50.0, 60.0, 30.0, 40.0, ("bottom",)), 80.0, 20.0)
    loose = replace(job, skin=replace(job.skin, ribs=(replace(job.skin.ribs[0], thickness_assumed=True),)))
    task, findings = task_of(loose)
    assert task.doubt is not None and task.doubt.sizes is not None and task.doubt.flush is not None
    assert [[r.thickness_mm for r in b.ribs] for b in task.doubt.sizes] == [[1.0], [4.0]]
    # half of 140 mm of 4 mm plate, and 2.5 mm skin to the nearest wall: 15, 30 or, the next one measured, 40 mm
    plate = 0.5 * 140.0 * 4.0
    taken = plate + 30.0 * 2.5
    assert beside_mm2(loose) == pytest.approx(taken)
    shares = [b.beside for b in task.doubt.sizes]
    assert shares == pytest.approx([(plate + 15.0 * 2.5) / taken, (plate + 40.0 * 2.5) / taken])
    assert [f.code for f in findings] == ["rib-sheet-assumed"]
    [said] = box_words(replace(loose, skin=replace(loose.skin, walls=Walls())))
    assert "2 mm for the sheet of R1" in str(said) and "[[skin.rib]] thickness" in str(said)
    assert sorted({s.flush for s in states_of(task.doubt)}) == pytest.approx([1.0 - LEVEL * 0.7, 1.0 + LEVEL * 2.0])
    # measured: nothing of it is drawn
    known, _ = task_of(job_with(Walls(50.0, 60.0, 30.0, 40.0), 80.0, 20.0))
    assert known.doubt is not None and known.doubt.sizes is None


def test_a_state_has_its_own_magnets_sheet_and_section_beside_the_weld() -> None:
    beads, shrinks = seam(TASK.path, 3, 6)
    ends = tuple(BoxSize(TASK.skin.outer, TASK.ribs, share) for share in (0.5, 2.0))
    doubt = replace(doubted(1.0), sizes=ends, flush=Band(0.3, 1.0, 3.0, "1", "made up for a test"))
    shrinks = [replace(i, pull_section_mm2=100.0) for i in shrinks]
    model = make_model(replace(TASK, doubt=doubt), beads, shrinks, COARSE)
    states = states_of(doubt)
    for state, made in zip(states, in_states(model, states, COARSE), strict=True):
        magnets = model.brace_parts[0]
        assert magnets > 0 and made.give[:magnets] == pytest.approx(model.give[:magnets] / state.flush)
        assert made.size == state.size
        section = 100.0 * (1.0 + LEVEL * (1.0 if state.size > 0.0 else -0.5))
        assert [i.pull_section_mm2 for i in made.inherent] == pytest.approx([section] * len(beads))


def test_a_rib_after_the_stitches_is_as_small_or_large_as_its_box() -> None:
    job = replace(
        rectangle_job(), skin=Skin(2.5, ribs=(Rib("R1", (Point(110.0, -50.0), Point(110.0, 190.0)), "known"),))
    )
    [part] = later_parts(job)
    assert part.section_mm == (2.0, 25.0) and part.ends_mm == ((2.0, 12.5), (2.0, 50.0))
    assert part.sized(0.0) is part and part.sized(1.0).section_mm == (2.0, 50.0)
    assert part.sized(-0.5).section_mm == pytest.approx((2.0, 18.75))
    known = replace(job.skin.ribs[0], depth_mm=20.0)
    assert later_parts(replace(job, skin=replace(job.skin, ribs=(known,))))[0].ends_mm is None


def test_a_long_seam_is_followed_in_the_stiffest_and_the_softest_box_and_the_sheet_says_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    beads, shrinks = seam(TASK.path, 2, 6)
    depth, grip = Band(60.0, 90.0, 150.0, "mm", "made up for a test"), Band(0.3, 1.0, 3.0, "1", "made up for a test")
    task = replace(
        TASK, skin=replace(TASK.skin, wall_held=True), doubt=replace(doubted(1.0), wall_depth_mm=depth, grip=grip)
    )
    assert task.doubt is not None
    few = replace(COARSE, triangles=200)
    model = make_model(task, beads, shrinks, few)
    monkeypatch.setattr(condensed, "KEPT_STATIONS", 5)
    long = make_model(task, beads, shrinks, few)
    assert model.sheets.fields and not long.sheets.fields
    gives = []
    for state in few_states(task.doubt):
        # exact: as the fields give it, the weld where it is
        one, other = varied(long, state), varied(model, state)
        assert one.compliance == pytest.approx(other.compliance, rel=1e-9, abs=1e-15)
        gives.append(float(np.trace(one.compliance)))
    assert gives[1] > gives[0] + 1e-4, (
        "the soft box gives more"
    )  # on the skin's side alone: the plate is not joined yet
    options = replace(few, evaluations=7, training=1, extra_places=0, steps_shape=False)
    plan = plan_task(task, beads, shrinks, options)
    assert (plan.searched.boxes, plan.draws) == (2, 8)
    job = job_with(Walls(assumed=("left",)), 80.0, 20.0)
    assert "seam is long" in str(box_words(job, 2)[0]) and "60 mm to the left wall" in str(box_words(job, 2)[0])
    assert "half to twice" not in str(box_words(job, 2)[0]) and "half to twice" in str(box_words(job, 4)[0])
    assert "height of the weld" in str(box_words(job_with(Walls(), 80.0, 20.0), 2)[0])
