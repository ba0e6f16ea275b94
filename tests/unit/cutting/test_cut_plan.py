import time
from dataclasses import replace
from pathlib import Path

import pytest
from cut_jobs import drawings, job_of, region_job, round_hole, sample_holes, slot_hole
from oracles.played_cut import simulate
from random_plates import random_plate

from cutplan.cutting.plan import plan_cut
from cutplan.cutting.proof.prove import prove
from cutplan.findings import errors
from cutplan.geometry.contour import circle_contour, polygon, rectangle
from cutplan.geometry.vector import Point
from cutplan.pattern.joint import Joint, Span
from cutplan.pattern.pads import Pad
from cutplan.pattern.plate import Hole
from cutplan.pattern.shop import Shop

#: What a cut may miss anywhere but where a lead touches down [mm].
MISS_MM = 0.01
#: Deepest bite: 0.001 mm, and as much again for the chords of the judge [mm].
BITE_MM = 0.002


def codes(plan) -> list[str]:
    return [f.code for f in plan.findings]


def assert_cut_is_true(plan, *, tabs: bool = False) -> None:
    seen = simulate(plan)
    assert plan.proof.proved and plan.proof.bite_mm <= 0.001
    assert seen.gouge_mm <= BITE_MM
    assert seen.lead_gouge_mm <= BITE_MM
    # a step too short for a table is bridged into the waste and the finding says so
    assert seen.left_mm <= (0.03 if "short-segment-removed" in codes(plan) else MISS_MM)
    assert seen.freed != tabs
    least = min((p.clear_mm for p in plan.paths if p.lead != "none"), default=0.0)
    assert seen.pierce_clear_mm >= least - 0.01
    # a step that could only be bridged into the part stays
    assert sum(s.length < 0.1 - 1e-9 for p in plan.paths for s in p.segments) <= 5


def test_the_sample_plate_is_planned_whole() -> None:
    plan = plan_cut(job_of(sample_holes()), Shop())
    assert sorted(p.name for p in plan.paths) == ["H2", "H3", "H4", "S1", "S2", "outline"]
    assert [d.name for d in plan.drilled] == ["H1", "H5"]
    assert plan.paths[-1].name == "outline"  # inner cuts before the outline that frees them
    assert plan.net.area == pytest.approx(plan_area(plan))
    assert len(plan.rapids) == 6 and plan.totals.pierces == 6
    assert plan.rapids[0].start == pytest.approx((-10.0, -10.0))
    for rapid, path in zip(plan.rapids, plan.paths, strict=True):
        assert rapid.end == path.pierce
    for rapid, path in zip(plan.rapids[1:], plan.paths, strict=False):
        assert rapid.start == path.end
    assert errors(plan.findings) == ()


def plan_area(plan) -> float:
    return plan.net.outer.area - sum(h.contour.area for h in plan.cut_holes)


@pytest.mark.parametrize("process", ["air plasma", "laser", "waterjet", "oxyfuel"])
@pytest.mark.parametrize("reversed_swirl", [False, True])
def test_simulated_cut_leaves_the_net_plate(process: str, reversed_swirl: bool) -> None:
    kerf = 0.25 if process == "laser" else 1.5
    job = job_of(sample_holes(), process=process, kerf_mm=kerf, reversed_swirl=reversed_swirl)
    plan = plan_cut(job, Shop())
    assert_cut_is_true(plan)
    for path in plan.paths:  # published: part on the right of travel, or on the left with reversed swirl
        assert path.contour.ccw == (path.inner != reversed_swirl)


@pytest.mark.parametrize("process", ["cut-off disc", "jigsaw", "hacksaw"])
def test_hand_processes_have_a_line_and_no_pierce(process: str) -> None:
    plan = plan_cut(job_of(sample_holes(), process=process, kerf_mm=None), Shop())
    assert plan.by_hand and plan.rapids == () and plan.totals.pierces == 0
    assert all(p.lead_in == () and p.lead == "none" and p.closed for p in plan.paths)
    assert_cut_is_true(plan)


def test_tabs_hold_the_plate() -> None:
    plan = plan_cut(job_of(sample_holes(), tabs=3), Shop())
    pieces = [p for p in plan.paths if not p.inner]
    assert [p.name for p in plan.paths[-3:]] == [p.name for p in pieces]
    assert sorted(p.name for p in pieces) == ["outline 1 of 3", "outline 2 of 3", "outline 3 of 3"]
    assert all(p.lead == "straight" and not p.closed for p in pieces)
    assert_cut_is_true(plan, tabs=True)
    # exact: what is not cut is three tabs of 4 mm and the kerf at each
    whole = plan_cut(job_of(sample_holes()), Shop()).paths[-1].contour.length
    assert sum(sum(s.length for s in p.cut) for p in pieces) == pytest.approx(whole - 3 * (4.0 + 1.5))


def test_too_many_tabs_are_told() -> None:
    plan = plan_cut(job_of(outline=rectangle(0.0, 0.0, 40.0, 30.0), tabs=9), Shop())
    assert "fewer-tabs" in codes(plan)


def test_starts_keep_away_from_pads_weld_starts_and_unwelded_ends() -> None:
    job = job_of()
    usual = plan_cut(job, Shop()).paths[-1].touch_down  # where it starts when nothing is in the way

    def start(changed, avoid=()) -> Point:
        return plan_cut(changed, Shop(), avoid=avoid).paths[-1].touch_down

    assert start(job, (usual,)).distance(usual) >= 15.0
    pad = Pad("P", usual, 40.0)
    assert start(replace(job, pads=(pad,))).distance(usual) >= 35.0
    along, _ = job.plate.outline.nearest(usual)
    span = Span(along - 5.0, along + 80.0)
    moved = start(replace(job, joint=Joint(unwelded=(span,))))
    for end in (span.start_mm, span.end_mm):
        assert moved.distance(job.plate.outline.point_at_length(end)[0]) >= 15.0


def test_a_slot_narrower_than_the_kerf_stops_nothing_and_is_drilled_at_its_ends() -> None:
    plan = plan_cut(job_of((slot_hole("S7", 50.0, 50.0, 60.0, 1.2, cut=True),)), Shop())
    assert errors(plan.findings) == ()
    (said,) = [f for f in plan.findings if f.code == "slot-narrower-than-kerf"]
    assert said.severity == "warning" and "S7" in str(said.message) and "drilled instead" in str(said.fix)
    assert {d.name for d in plan.drilled} == {"S7a", "S7b"}
    assert [p.name for p in plan.paths] == ["outline"]


def test_a_hole_without_room_for_a_pierce_is_marked_and_said_once() -> None:
    holes = tuple(Hole(f"N{k}", rectangle(40.0 + 60.0 * k, 50.0, 40.0, 8.0).reversed()) for k in range(3))
    plan = plan_cut(job_of(holes), Shop())
    said = [f for f in plan.findings if f.code == "no-lead-fits"]
    assert len(said) == 1 and "N0, N1, N2" in str(said[0].message)
    assert [d.name for d in plan.drilled] == ["N0", "N1", "N2"]
    forced = plan_cut(job_of(tuple(replace(h, cut=True) for h in holes)), Shop())
    assert {p.name for p in forced.paths} == {"N0", "N1", "N2", "outline"}
    assert codes(forced).count("pierce-near-edge") == 3
    assert_cut_is_true(forced)


def test_same_shapes_get_the_same_cut() -> None:
    holes = tuple(slot_hole(f"S{k}", 30.0 + 80.0 * k, 50.0, 60.0, 20.0) for k in range(3))
    plan = plan_cut(job_of(holes), Shop())
    lengths = {round(p.contour.length, 6) for p in plan.paths if p.inner}
    assert len(lengths) == 1
    assert_cut_is_true(plan)


def test_two_thousand_holes_are_planned_within_seconds() -> None:
    holes = tuple(round_hole(f"H{k}", 20.0 + 22.0 * (k % 50), 20.0 + 22.0 * (k // 50), 11.0) for k in range(2000))
    job = job_of(holes, outline=rectangle(0.0, 0.0, 1120.0, 920.0, 10.0))
    started = time.process_time()
    plan = plan_cut(job, Shop())
    whole = time.process_time() - started
    assert whole < 8.0
    spent = []
    for _ in range(3):  # the least of three: the first loads what it needs, and another process may be in the way
        started = time.process_time()
        assert prove(plan.net, [h.name for h in plan.cut_holes], plan.paths).proved
        spent.append(time.process_time() - started)
    # the documents of such a job take five times as long as its path
    assert min(spent) < 0.25 * whole
    assert len(plan.paths) == 2001 and plan.paths[-1].name == "outline"
    assert len(plan.findings) < 25


def test_the_plan_is_always_the_same() -> None:
    job = job_of(sample_holes())
    assert plan_cut(job, Shop()) == plan_cut(job, Shop())


def test_a_round_plate_can_be_cut() -> None:
    plan = plan_cut(job_of(outline=circle_contour(Point(0.0, 0.0), 60.0)), Shop())
    assert_cut_is_true(plan)


def test_a_triangle_of_sharp_corners_can_be_cut() -> None:
    plan = plan_cut(job_of(outline=polygon([(0.0, 0.0), (120.0, 0.0), (10.0, 40.0)])), Shop())
    assert_cut_is_true(plan)


@pytest.mark.parametrize("seed", range(12))
def test_random_plates_cut_true(seed: int) -> None:
    plan = plan_cut(region_job(random_plate(seed)), Shop())
    if not errors(plan.findings):
        assert_cut_is_true(plan)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(12, 150))
def test_many_random_plates_cut_true(seed: int) -> None:
    process, kerf = (("air plasma", 1.5), ("laser", 0.2), ("waterjet", 1.0))[seed % 3]
    plan = plan_cut(region_job(random_plate(seed), process=process, kerf_mm=kerf), Shop())
    if not errors(plan.findings):
        assert_cut_is_true(plan)


@pytest.mark.slow
@pytest.mark.parametrize("path", drawings(), ids=lambda p: p.name)
@pytest.mark.parametrize(("process", "thickness", "kerf"), [("air plasma", 5.0, 1.5), ("laser", 3.0, 0.2)])
def test_real_drawings_cut_true(path, process: str, thickness: float, kerf: float) -> None:
    from cutplan.files.drawing_in import read_drawing

    region = read_drawing(path, repair=True).parts[0].region
    plan = plan_cut(region_job(region, thickness, process=process, kerf_mm=kerf), Shop())
    assert errors(plan.findings) == ()
    assert_cut_is_true(plan)


@pytest.mark.parametrize(
    "path",
    sorted((Path(__file__).resolve().parents[3] / "sample_parts").glob("*/job.toml")),
    ids=lambda p: p.parent.name,
)
def test_sample_parts_cut_true(path: Path) -> None:
    from cutplan.files.job.read import read_job

    plan = plan_cut(read_job(path), Shop())
    assert errors(plan.findings) == ()
    assert_cut_is_true(plan)


@pytest.mark.parametrize(("process", "tabs"), [("laser", 0), ("laser", 4), ("air plasma", 4)])
def test_a_lead_never_jumps_a_thin_edge_when_the_kerf_is_fine(process: str, tabs: int) -> None:
    # a lead longer than the waste is wide once crossed the part unseen between two samples
    for thickness in (5.0, 12.0):
        job = region_job(random_plate(305), thickness, process=process, kerf_mm=0.1, tabs=tabs)
        plan = plan_cut(job, Shop())
        assert_cut_is_true(plan, tabs=tabs > 0)
        assert not any(plan.net.contains(p.pierce) for p in plan.paths)
