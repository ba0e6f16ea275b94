"""The lower bound of the cut length, the rings it is searched on, and what stands in a tool's way."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
from shapely import Polygon

from cutplan.geometry.contour import rectangle
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point
from cutplan.opening.brace.taken import with_braces
from cutplan.opening.cuts.surroundings import around
from cutplan.opening.model import Cut
from cutplan.opening.parting.forcing import boxes_mm
from cutplan.opening.parting.places import along_border, chords_at
from cutplan.opening.parting.rings import parted_at, ring_area, runs_at
from cutplan.opening.parting.rows import rows_mm, turns_at
from cutplan.opening.plan import plan_opening
from cutplan.opening.proof.simulate import simulate
from cutplan.pattern.job import About, Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.pads import Brace, Pad
from cutplan.pattern.plate import Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.skin import Skin, Walls

SQUARE = np.array([(0.0, 0.0), (300.0, 0.0), (300.0, 300.0), (0.0, 300.0)])
U_SHAPE = np.array(
    [(0.0, 0.0), (90.0, 0.0), (90.0, 80.0), (60.0, 80.0), (60.0, 30.0), (30.0, 30.0), (30.0, 80.0), (0.0, 80.0)]
)


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


def test_a_square_on_its_corner_needs_no_cut_along_its_own_sides() -> None:
    skin = Skin(2.5, "mild", Walls(60, 60, 60, 60), 80.0, ())
    job = Job(About("a"), Plate(rectangle(0, 0, 190, 190, 5).turned(0.4), (), 2.5), Joint("butt", 1.0), skin)
    plan = plan_opening(job, Shop())
    assert len(plan.sections) == 1 and plan.proof and plan.effort.ratio == pytest.approx(1.0)


def _braced(kind: str = "tube") -> Job:
    skin = Skin(2.5, "mild", Walls(60, 60, 60, 60), 80.0, ())
    brace = Brace(kind, 40.0, 3.0, Point(0, 75), Point(300, 75))  # type: ignore[arg-type]
    return Job(
        About("a"),
        Plate(rectangle(0, 0, 300, 150, 10), (), 2.5),
        Joint("butt", 1.0),
        skin,
        (Pad("P1", Point(150, 75)),),
        brace,
    )


def test_the_brace_stands_beside_the_line_and_in_nobodys_way() -> None:
    job = with_braces(_braced())
    plan = plan_opening(job, Shop())
    assert plan.proof and len(plan.bracing.fitted) == 1 and plan.bracing.fitted == job.planned.braces
    near = around(job, plan.bracing.fitted)
    for step in plan.steps:
        for cut in step.cuts:
            assert near.clear(cut.reach, cut.tool, cut.depth_mm, above_only=True), cut.name
    # the real part is bolted to the plate later: until then another brace stands on the skin
    opening, part = plan_opening(_braced("part"), Shop()).bracing.fitted
    assert opening.on_skin and part.design == "part" and part.on == "tacked"


def test_a_foot_in_the_way_is_found() -> None:
    """A planted fault: a disc cut that runs out towards a post."""
    job = with_braces(replace(_braced(), brace=replace(_braced().brace, design="across")))  # type: ignore[type-var]
    plan = plan_opening(job, Shop())
    k, step = next((k, s) for k, s in enumerate(plan.steps) if s.kind == "cut")
    line = Line(Point(10.0, 75.0), Point(120.0, 75.0))
    bad = Cut("C99", "divide", (line,), (Line(Point(-20.0, 75.0), Point(127.0, 75.0)),), "cut-off disc", 3.5, 7.0)
    steps = list(plan.steps)
    steps[k] = replace(step, cuts=(*step.cuts, bad))
    found = simulate(job, plan.line, plan.tools.kerf_mm, steps, plan.sections).failures
    assert any("the brace stands in the way of cut C99" in str(f) for f in found)


def test_where_nothing_lies_deeper_than_the_border_no_chord_is_found() -> None:
    slim = Polygon([(0.0, 0.0), (200.0, 0.0), (200.0, 3.0), (0.0, 3.0)])
    places = np.array([50.0, 100.0])
    assert chords_at(slim.buffer(-5.0), 0, places, slim.bounds) == [[], []]
    (a, b), *none = chords_at(slim, 0, places[:1], slim.bounds)[0]
    assert none == [] and a.distance(b) == pytest.approx(3.0)  # exact: the strip's width
    chords = chords_at(slim, 0, places, slim.bounds)
    assert along_border(slim, 0, places, chords).tolist() == [0.0, 0.0]
