"""The lower bound of the cut length, the rings it is searched on, and what stands in a tool's way."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
from shapely import Polygon
from shapely import box as rectangle_of

from cutplan.geometry.contour import rectangle
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.standing import brace_feet, in_the_way, overhang_mm, stand
from cutplan.opening.model import Cut
from cutplan.opening.parting.first_cuts import Forcing, LeastCuts, boxes_mm, rows_mm, turns_at
from cutplan.opening.parting.places import Limits
from cutplan.opening.parting.rings import parted_at, ring_area, ring_of, runs_at
from cutplan.opening.plan import plan_opening
from cutplan.opening.proof.simulate import simulate
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.pads import Brace, Pad
from cutplan.pattern.plate import Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.skin import Skin, Walls

SQUARE = np.array([(0.0, 0.0), (300.0, 0.0), (300.0, 300.0), (0.0, 300.0)])
U_SHAPE = np.array(
    [(0.0, 0.0), (90.0, 0.0), (90.0, 80.0), (60.0, 80.0), (60.0, 30.0), (30.0, 30.0), (30.0, 80.0), (0.0, 80.0)]
)


def forcing(poly: Polygon, longest: float = 200.0, heaviest: float = 1e6) -> Forcing:
    return Forcing.of(poly, Limits(longest, heaviest, 2e-5), 0.0)


@pytest.mark.parametrize("axis", [0, 1])
def test_a_run_parts_a_ring_into_what_lies_below_and_above(axis: int) -> None:
    places = np.array([20.0, 50.0])
    for ring in (U_SHAPE, U_SHAPE[::-1] @ np.array([[-1.0, 0.0], [0.0, 1.0]]) + np.array([90.0, 0.0])):
        for runs, place in zip(runs_at(ring, axis, places), places, strict=True):
            for run in runs:
                below, above = parted_at(ring, run)
                # exact: the parts share nothing and make up the whole
                assert ring_area(below) + ring_area(above) == pytest.approx(ring_area(ring))
                assert Polygon(below).intersection(Polygon(above)).area == pytest.approx(0.0, abs=1e-9)
                inner = 0.5 * (run.low + run.high)
                spot = (place - 1.0, inner) if axis == 0 else (inner, place - 1.0)
                assert Polygon(below).covers(_point(spot))


def _point(xy: tuple[float, float]) -> object:
    from shapely import Point as GeosPoint

    return GeosPoint(xy)


def test_runs_of_a_u_shape_are_two_above_its_notch() -> None:
    runs = runs_at(U_SHAPE, 1, np.array([10.0, 50.0]))
    assert [[(r.low, r.high) for r in row] for row in runs] == [[(0.0, 90.0)], [(0.0, 30.0), (60.0, 90.0)]]  # exact
    assert turns_at(U_SHAPE[:, 1]).tolist() == [0.0, 30.0, 80.0]  # exact


def test_rows_and_boxes_of_a_square_are_exact() -> None:
    # exact: each row and column of 300 mm is crossed once: 2 x 300; four sections are 4 x 4 x 150 round
    assert rows_mm(SQUARE, 200.0) == pytest.approx(600.0)
    assert boxes_mm(np.array([(0.0, 0.0), (400.0, 0.0), (400.0, 400.0), (0.0, 400.0)]), 200.0, 1e9) == pytest.approx(
        0.5 * (4 * 800.0 - 1600.0)
    )
    # exact: a mass that allows squares of 100 mm makes nine of them: 0.5 (9 x 400 - 1200)
    assert boxes_mm(SQUARE, 200.0, 1e4) == pytest.approx(1200.0)
    # exact: one whole section of 200 mm and a rest of area a, 4 sqrt(a) round
    side = 210.0
    ring = np.array([(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)])
    assert boxes_mm(ring, 200.0, 1e9) == pytest.approx(0.5 * (800.0 + 4.0 * sqrt(side**2 - 200.0**2) - 4.0 * side))


def test_first_cuts_see_a_shape_a_hair_too_long() -> None:
    # a lozenge 204 mm long: only 3.9 mm of its rows are longer than the limit (exact), but the shortest cut that
    # leaves a section of 5 cm2 cuts a tip of h x h / 1.02 / 2 = 500 mm2, h = 22.6 mm, and is 44 mm long (exact)
    lozenge = Polygon([(-102.0, 0.0), (0.0, -100.0), (102.0, 0.0), (0.0, 100.0)])
    search = LeastCuts(forcing(lozenge))
    assert rows_mm(ring_of(lozenge), 200.0, 2000) == pytest.approx(3.92, abs=0.3)
    found = search.raised(1e9, 2000)
    assert 38.0 < found <= 2.0 * sqrt(500.0 * 100.0 / 102.0) + 1e-6


@pytest.mark.parametrize(("w", "h", "least"), [(300.0, 150.0, 150.0), (300.0, 300.0, 600.0), (500.0, 100.0, 200.0)])
def test_first_cuts_never_pass_the_least_of_a_rectangle(w: float, h: float, least: float) -> None:
    """Exact: a rectangle needs ceil(l / L) - 1 whole cuts each way."""
    found = LeastCuts(forcing(rectangle_of(0.0, 0.0, w, h))).raised(1e9, 3000)
    assert 0.9 * least <= found <= least + 1e-6


def test_the_bound_counts_ribs_as_mass() -> None:
    poly = rectangle_of(0.0, 0.0, 150.0, 100.0)
    limits = Limits(200.0, 0.5, 2e-5, (((Point(75.0, 0.0), Point(75.0, 100.0)), 4e-3),))
    # skin 0.3 kg and rib 0.4 kg are above 0.5 kg: one cut at least as long as the short side, exact
    assert 90.0 <= LeastCuts(Forcing.of(poly, limits, 0.0)).raised(1e9, 2000) <= 100.0 + 1e-6
    light = replace(limits, ribs=())
    assert LeastCuts(Forcing.of(poly, light, 0.0)).raised(1e9, 2000) == 0.0


def test_a_square_on_its_corner_needs_no_cut_along_its_own_sides() -> None:
    skin = Skin(2.5, "mild", Walls(60, 60, 60, 60), 80.0, ())
    job = Job("a", Plate(rectangle(0, 0, 190, 190, 5).turned(0.4), (), 2.5), Joint("butt", 1.0), skin)
    plan = plan_opening(job, Shop())
    assert len(plan.sections) == 1 and plan.proof and plan.ratio == pytest.approx(1.0)


def _braced(kind: str = "tube") -> Job:
    skin = Skin(2.5, "mild", Walls(60, 60, 60, 60), 80.0, ())
    brace = Brace(kind, 40.0, 3.0, Point(0, 75), Point(300, 75))  # type: ignore[arg-type]
    return Job(
        "a",
        Plate(rectangle(0, 0, 300, 150, 10), (), 2.5),
        Joint("butt", 1.0),
        skin,
        (Pad("P1", Point(150, 75)),),
        brace,
    )


def test_a_disc_hangs_over_its_slot() -> None:
    # exact: a disc of 125 mm at half its diameter has no overhang, at depth d (125 - 2 sqrt(d (125 - d))) / 2
    assert overhang_mm(125.0, 62.5) == pytest.approx(0.0)
    assert overhang_mm(125.0, 3.5) == pytest.approx(0.5 * (125.0 - 2.0 * sqrt(3.5 * 121.5)))


def test_the_braces_feet_stand_beside_the_line_and_in_nobodys_way() -> None:
    job = _braced()
    plan = plan_opening(job, Shop())
    feet = brace_feet(job, plan.line)
    assert plan.proof and len(feet) == 2
    assert [f.area for f in feet] == pytest.approx([1600.0, 1600.0])  # exact: as wide as the brace, square
    for step in plan.steps:
        for cut in step.cuts:
            place = stand(cut.reach, cut.tool, cut.depth_mm, job.opening.disc_diameter_mm, plan.kerf_mm)
            assert not in_the_way(feet, place)
    # the real part is bolted to the plate later: until then another brace stands on the skin
    assert len(brace_feet(_braced("part"), plan.line)) == 2


def test_a_foot_in_the_way_is_found() -> None:
    """A planted fault: a disc cut that runs out towards a foot."""
    job = _braced()
    plan = plan_opening(job, Shop())
    k, step = next((k, s) for k, s in enumerate(plan.steps) if s.kind == "cut")
    line = Line(Point(10.0, 75.0), Point(120.0, 75.0))
    bad = Cut("C99", "divide", (line,), (Line(Point(3.0, 75.0), Point(127.0, 75.0)),), "cut-off disc", 3.5, 7.0)
    steps = list(plan.steps)
    steps[k] = replace(step, cuts=(*step.cuts, bad))
    found = simulate(job, plan.line, plan.kerf_mm, steps, plan.sections).failures
    assert any("foot of the brace stands in the way of cut C99" in str(f) for f in found)
