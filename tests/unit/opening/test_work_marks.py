"""Paper, drawing file and table of coordinates tell the same places; what stands on the skin blocks no tape."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from cutplan.geometry.contour import rectangle
from cutplan.geometry.vector import Point
from cutplan.opening.brace.taken import with_braces
from cutplan.opening.files import opening_layers
from cutplan.opening.model import OpeningPlan
from cutplan.opening.plan import plan_opening
from cutplan.opening.work_marks import coordinates, datum_axes, work_marks
from cutplan.pattern.job import About, Job
from cutplan.pattern.pads import Brace, Pad
from cutplan.pattern.plate import Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.skin import Rib, Skin, Walls
from cutplan.templates.shapes.build import templates_of

JOB = with_braces(
    Job(
        About("marks"),
        Plate(rectangle(0, 0, 300, 160, 12), (), 4.0),
        skin=Skin(
            2.5,
            walls=Walls(70, 70, 45, 45),
            box_depth_mm=80.0,
            ribs=(
                Rib("R1", (Point(120, -60), Point(120, 260)), "known", 18.0),
                Rib("R2", (Point(220, -60), Point(220, 260)), "suspected"),
            ),
        ),
        pads=(Pad("left", Point(80, 80)), Pad("right", Point(220, 80))),
        brace=Brace("tube", 38.1, 3.0, Point(80, 80), Point(220, 80)),
    )
)


@pytest.fixture(scope="module")
def plan() -> OpeningPlan:
    made = plan_opening(JOB, Shop())
    assert made.proof
    return made


def test_every_hole_is_on_paper_drawing_and_table_at_one_place(plan: OpeningPlan) -> None:
    marks = work_marks(JOB, plan)
    on_paper = {h.name: h for h in marks.holes}
    paper = next(t for t in templates_of(replace(JOB, planned=replace(JOB.planned, work=marks))) if t.kind == "opening")
    spots = {s.name: s for s in paper.spots}
    drawn = [p for layer in opening_layers(JOB, plan) for p in layer.points]
    origin, u = datum_axes(plan)
    for step in plan.steps:
        for d in step.drills:
            assert on_paper[d.name].centre.distance(d.centre) < 0.05 and on_paper[d.name].diameter_mm == d.diameter_mm
            assert spots[d.name].centre.distance(d.centre) < 0.05 and spots[d.name].radius_mm == d.radius_mm
            assert min(p.distance(d.centre) for p in drawn) < 0.05
            # exact: back from the table's two numbers to the place
            x, y = coordinates(plan, d.centre)
            assert origin.plus(u.times(x)).plus(u.left().times(y)).distance(d.centre) < 1e-9
        for c in step.cuts:
            assert c.name in spots


def test_the_margin_holds_the_marks_outside_the_line(plan: OpeningPlan) -> None:
    marks = work_marks(JOB, plan)
    punched = [h for h in marks.holes if h.diameter_mm == 0.0]
    assert [h.name for h in punched] == ["M1", "M2", "M3", "M4"]
    for h in punched:
        assert (
            not plan.line.contains(h.centre) and plan.line.nearest(h.centre)[1] > 5.0 and marks.margin.holds(h.centre)
        )
    for line in marks.lines:
        for s in line.path:
            assert marks.margin.grown(1e-6).holds(s.start) and marks.margin.grown(1e-6).holds(s.end)
    assert {line.kind for line in marks.lines} >= {"second line", "across", "bridge", "rib", "suspected rib", "brace"}
    sides = [a.centre.distance(b.centre) for a, b in pairwise([*punched, punched[0]])]
    assert all(abs(v / 10.0 - round(v / 10.0)) < 1e-6 for v in sides)  # whole centimetres


def test_no_distance_is_asked_for_through_what_stands_on_the_skin(plan: OpeningPlan) -> None:
    at = {p.name: p.at for p in plan.datum.points}
    bars = [
        c
        for b in plan.bracing.fitted
        for bar in b.bars
        for c in ((bar.footprint(),) if bar.underside_mm == 0.0 else bar.foot_contours())
    ]
    assert bars and plan.datum.rank == plan.datum.needed
    for d in plan.datum.lines:
        for bar in bars:
            for a, b in pairwise([*bar.vertices, bar.vertices[0]]):
                assert not crosses(at[d.a], at[d.b], a, b), d.label


def crosses(p: Point, q: Point, a: Point, b: Point) -> bool:
    """Whether two stretches cross (exact, by the sides that the ends lie on)."""

    def side(o: Point, u: Point, v: Point) -> float:
        return u.minus(o).cross(v.minus(o))

    return side(p, q, a) * side(p, q, b) < 0.0 and side(a, b, p) * side(a, b, q) < 0.0


def test_a_bar_on_the_edge_of_the_paper_is_drawn_in_its_whole_width(plan: OpeningPlan) -> None:
    brace = plan.bracing.fitted[0]
    bare = work_marks(JOB, replace(plan, bracing=replace(plan.bracing, fitted=()))).margin
    edge = bare.ymin
    # the middle of the bar lies on the edge of the paper that the marks alone keep
    flat = replace(brace.bars[0], start=Point(-80.0, edge), end=Point(380.0, edge), feet=())
    moved = replace(plan, bracing=replace(plan.bracing, fitted=(replace(brace, on="marked", bars=(flat,)),)))
    marks = work_marks(JOB, moved)
    ys = [y for line in marks.lines if line.kind == "brace" for s in line.path for y in (s.start.y, s.end.y)]
    # exact: as wide as the section, and its two long sides are there
    assert max(ys) - min(ys) == pytest.approx(flat.section.width_mm, abs=1e-6)
    assert marks.margin.ymin < min(ys) and marks.margin.xmin == bare.xmin
