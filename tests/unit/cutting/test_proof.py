"""The proof of a path: silent on sound plans, loud on planted faults, and never slow."""

from dataclasses import replace

import numpy as np
import pytest
from cut_jobs import job_of, region_job, round_hole, sample_holes
from random_plates import random_plate

from cutplan.cutting.plan import plan_cut
from cutplan.cutting.proof.faults import fault_findings
from cutplan.cutting.proof.prove import prove
from cutplan.cutting.result import CutPlan, Proof
from cutplan.findings import errors
from cutplan.geometry.contour import rectangle
from cutplan.geometry.segment import Arc, Line
from cutplan.geometry.vector import Point
from cutplan.pattern.shop import Shop


@pytest.fixture(scope="module")
def plan() -> CutPlan:
    return plan_cut(job_of(sample_holes()), Shop())


def proved(plan: CutPlan, paths) -> Proof:
    return prove(plan.net, [h.name for h in plan.cut_holes], paths)


def test_a_sound_plan_is_proved_with_its_figures(plan: CutPlan) -> None:
    assert plan.proof.proved and errors(plan.findings) == ()
    assert plan.proof.bite_mm < 1e-6 and plan.proof.rest_mm < 1e-6
    assert plan.proof.places > 100


def test_what_a_square_corner_keeps_is_told_apart() -> None:
    # pinned reach of the places asked; exact bound: 0.75 (sqrt 2 - 1) stays in the corner itself
    notch = rectangle(0.0, 0.0, 0.9, 30.0)
    wide = plan_cut(job_of((round_hole("H1", 100.0, 100.0, 60.0),)), Shop())
    assert wide.proof.corner_mm == 0.0 and notch.area > 0.0
    square = plan_cut(region_job(random_plate(3), kerf_mm=1.5), Shop())
    assert square.proof.rest_mm <= 0.021


@pytest.mark.parametrize(("dx", "kind"), [(0.002, "bite"), (-0.002, "bite")])
def test_a_cut_moved_by_two_micrometres_bites(plan: CutPlan, dx: float, kind: str) -> None:
    hole = plan.paths[0]
    moved = replace(hole, cut=tuple(s.moved(dx, 0.0) for s in hole.cut))
    proof = proved(plan, (moved, *plan.paths[1:]))
    bite = [f for f in proof.faults if f.kind == kind]
    assert [f.name for f in bite] == [hole.name]
    assert bite[0].size_mm == pytest.approx(0.002, abs=1e-4)  # exact: as far as it was moved
    assert fault_findings(proof)[0].severity == "error" and "part" in str(fault_findings(proof)[0].message)


def test_a_full_circle_into_the_part_is_found(plan: CutPlan) -> None:
    outline = plan.paths[-1]
    at = outline.cut[0].end
    ring = Arc(at, at, Point(at.x, at.y + 0.75), 0.75, 2.0 * np.pi)
    broken = replace(outline, cut=(outline.cut[0], ring, *outline.cut[1:]))
    assert "bite" in {f.kind for f in proved(plan, (*plan.paths[:-1], broken)).faults}


def test_a_hole_that_nobody_cuts_and_a_gap_are_found(plan: CutPlan) -> None:
    without = proved(plan, plan.paths[1:])
    assert {f.kind for f in without.faults} == {"rest"}
    outline = plan.paths[-1]
    hole_less = replace(outline, cut=(*outline.cut[:2], *outline.cut[3:]))
    kinds = {f.kind for f in proved(plan, (*plan.paths[:-1], hole_less)).faults}
    assert {"broken", "rest"} <= kinds


def test_a_pierce_on_the_part_is_found(plan: CutPlan) -> None:
    outline = plan.paths[-1]
    inside = replace(outline, lead_in=(Line(Point(150.0, 30.0), outline.cut[0].start),))
    assert "inside" in {f.kind for f in proved(plan, (*plan.paths[:-1], inside)).faults}


def test_tabs_may_stay() -> None:
    plan = plan_cut(job_of(sample_holes(), tabs=3), Shop())
    assert plan.proof.proved
    assert not proved(plan, plan.paths).proved  # without being told of tabs their metal is a fault
