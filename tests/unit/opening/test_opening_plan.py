"""The opening plan on plain jobs: what must be in it, in which order, and how the simulation meets a planted fault."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from random_jobs import random_job

from cutplan.errors import GeometryError
from cutplan.files.job.read import read_job
from cutplan.geometry.contour import Contour, circle_contour, polygon, rectangle
from cutplan.geometry.segment import Arc
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.disc import chord_mm, run_out_mm
from cutplan.opening.model import OpeningPlan
from cutplan.opening.plan import plan_opening
from cutplan.opening.proof.simulate import simulate
from cutplan.pattern.job import About, Job, Shown
from cutplan.pattern.joint import Joint
from cutplan.pattern.opening import opening_line
from cutplan.pattern.pads import Brace, Pad
from cutplan.pattern.plate import Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.skin import Rib, Skin
from cutplan.pattern.wishes import OpeningWork
from cutplan.tables.by_hand.hand_tools import TOOLS
from cutplan.texts import Reader

KNOWN = Rib("R1", (Point(140, -40), Point(140, 220)), "known", 22.0)
GUESSED = Rib("R2", (Point(300, -40), Point(310, 220)), "suspected", None)


def make(
    outline: Contour | None = None, ribs: tuple[Rib, ...] = (KNOWN, GUESSED), depth: float | None = 60.0, **work: object
) -> Job:
    return Job(
        About("sample"),
        Plate(outline or rectangle(0, 0, 420, 160, 12), (), 4.0),
        Joint("butt", 1.0),
        Skin(2.5, box_depth_mm=depth, ribs=ribs),
        (Pad("P1", Point(80, 80)), Pad("P2", Point(340, 80))),
        Brace("tube", 38.1, 3.0, Point(-30, 80), Point(450, 80)),
        opening=OpeningWork(**work),
    )  # type: ignore[arg-type]


def codes(plan: OpeningPlan) -> set[str]:
    return {f.code for f in plan.findings}


@pytest.fixture(scope="module")
def plan() -> OpeningPlan:
    return plan_opening(make(), Shop())


def test_plan_is_proved_and_deterministic(plan: OpeningPlan) -> None:
    assert plan.proof and "plan-not-proved" not in codes(plan)
    assert plan == plan_opening(make(), Shop())


def test_steps_come_in_the_order_of_the_trade(plan: OpeningPlan) -> None:
    kinds = [s.kind for s in plan.steps]
    assert kinds[:5] == ["measure", "mark", "drill", "window", "brace"]
    assert kinds[-1] == "dress"
    assert [s.number for s in plan.steps] == list(range(1, len(kinds) + 1))
    for number in plan.order:
        own = [s.kind for s in plan.steps if s.section == number]
        assert own in (["cut", "drop"], ["cut", "part rib", "drop"])


def test_ends_go_first(plan: OpeningPlan) -> None:
    at = [next(s.label_at.x for s in plan.sections if s.number == n) for n in plan.order]
    assert {at[0] < 210, at[1] < 210} == {True, False}  # one end, then the other
    assert abs(at[-1] - 210) == min(abs(x - 210) for x in at)


def test_sections_keep_the_limits_and_make_up_the_waste(plan: OpeningPlan) -> None:
    assert all(s.length_mm <= 200.0 + 1e-6 and s.mass_kg <= 2.0 for s in plan.sections)
    inside = plan.line.area
    # exact: the sections fill the path's inside, the net line less allowance and half a kerf all round
    gone = sum(s.contour.area for s in plan.sections)
    d = plan.tools.allowance_mm + 0.5 * plan.tools.kerf_mm
    assert gone == pytest.approx(inside - plan.perimeter_mm * d, rel=0.002)


@pytest.mark.slow
def test_heavier_steel_or_a_lower_limit_makes_more_sections() -> None:
    few = plan_opening(make(), Shop())
    many = plan_opening(make(heaviest_section_kg=0.25), Shop())
    assert len(many.sections) > len(few.sections)
    assert all(s.mass_kg <= 0.25 * 1.001 for s in many.sections)


def test_unseen_rib_gets_a_window_and_no_deep_cut(plan: OpeningPlan) -> None:
    window = next(s for s in plan.steps if s.kind == "window")
    assert window.ribs == ("R2",)
    first_cut = next(s.number for s in plan.steps if s.cuts)
    assert window.number < first_cut
    for step in plan.steps:
        for cut in step.cuts:
            if "R2" in cut.ribs or "R1" in cut.ribs:
                assert cut.depth_mm == pytest.approx(2.5 + 1.0)


def test_known_rib_is_parted_to_its_depth_with_the_disc_where_the_slot_fits(plan: OpeningPlan) -> None:
    parts = [p for p in plan.rib_parts if p.rib == "R1"]
    assert len(parts) == 2
    assert all(p.tool == "cut-off disc" and p.depth_mm == pytest.approx(2.5 + 22.0 + 2.0) for p in parts)
    assert all(p.tool == "hacksaw" and p.depth_mm is None for p in plan.rib_parts if p.rib == "R2")


def test_shallow_box_sends_the_rib_to_the_blade() -> None:
    tight = plan_opening(make(ribs=(KNOWN,), depth=26.0), Shop())
    assert {p.tool for p in tight.rib_parts} == {"hacksaw"}
    assert tight.proof


def test_rib_that_reaches_the_wall_behind_is_sawn_off_under_the_skin() -> None:
    plan = plan_opening(make(ribs=(replace(KNOWN, depth_mm=60.0),)), Shop())
    assert any(p.along for p in plan.rib_parts)
    assert plan.proof


def test_run_out_is_the_exact_chord_geometry(plan: OpeningPlan) -> None:
    for step in plan.steps:
        for cut in step.cuts:
            if cut.tool != "cut-off disc":
                continue
            face = sum(s.length for s in cut.reach)
            # exact: face slot less the length cut through is the run-out at both ends
            assert face - cut.length_mm == pytest.approx(2.0 * cut.run_out_mm, abs=1e-6)
            assert cut.run_out_mm >= run_out_mm(125.0, cut.depth_mm, 2.5) - 1e-9
            assert face >= chord_mm(125.0, cut.depth_mm) - 1e-6


def test_line_of_the_plan_is_the_opening_line() -> None:
    job = make()
    assert plan_opening(job, Shop()).line == opening_line(job)


def test_every_step_is_worded_in_both_languages(plan: OpeningPlan) -> None:
    for step in plan.steps:
        for message in (step.title, *step.text, *step.holds):
            english, german = str(message), Reader("de")(message)
            assert english != german or not any(c.isalpha() for c in message.key)
            assert "{" not in english + german and len(english) < 220


@pytest.mark.parametrize("tool", ["jigsaw", "hacksaw", "hand plasma"])
def test_other_tools(tool: str) -> None:
    plan = plan_opening(make(tool=tool, depth=90.0), Shop())
    assert plan.proof, plan.findings
    used = [c for s in plan.steps for c in s.cuts]
    assert tool in {c.tool for c in used}
    # a blade or a jet cannot be held off a rib: what has a depth stop goes there
    assert all(TOOLS[c.tool].depth_set and c.depth_mm <= 3.5 for c in used if c.ribs)


@pytest.mark.parametrize(
    "outline",
    [
        circle_contour(Point(0, 0), 110),
        polygon([(0, 0), (260, 0), (260, 90), (110, 90), (110, 240), (0, 240)]),
        rectangle(0, 0, 40, 30, 4),
        rectangle(0, 0, 300, 90, 45),
        circle_contour(Point(0, 0), 9),
        polygon([(0, 0), (240, 0), (0, 120)]),
    ],
    ids=["circle", "L", "small", "slot", "hole", "triangle"],
)
def test_shapes(outline: Contour) -> None:
    plan = plan_opening(make(outline, ribs=()), Shop())
    assert plan.proof, [f.message for f in plan.findings]


def test_no_step_trusts_a_brace_that_is_not_there(plan: OpeningPlan) -> None:
    def said(some: OpeningPlan) -> list[str]:
        return [str(t) for s in some.steps for t in (s.title, *s.text, *s.holds) if "brace" in str(t).lower()]

    bare = plan_opening(replace(make(), pads=(), brace=None), Shop())
    assert not said(bare)
    assert any("does not hold" in t for t in said(plan)) and any("holds the skin" in t for t in said(plan))


def test_no_room_for_a_cut_is_told() -> None:
    with pytest.raises(GeometryError, match="no cut fits"):
        plan_opening(make(rectangle(0, 0, 200, 1.0), ribs=()), Shop())


def test_inch_shop_reads_inches() -> None:
    plan = plan_opening(replace(make(), shown=Shown(display="in")), Shop())
    text = " ".join(Reader("en", "in")(t) for s in plan.steps for t in s.text)
    assert " in (" in text


# --- planted faults: each must be seen by the simulation ---------------------------------------------------------


def failures(job: Job, plan: OpeningPlan, **changed: object) -> str:
    steps = list(plan.steps)
    if "drop_step" in changed:
        steps = [s for s in steps if s.number != changed["drop_step"]]
    if "edit" in changed:
        steps = [changed["edit"](s) for s in steps]  # type: ignore[operator]
    return " | ".join(str(f) for f in simulate(job, plan.line, plan.tools.kerf_mm, steps, plan.sections).failures)


def test_fault_forgotten_bridges(plan: OpeningPlan) -> None:
    first = next(s for s in plan.steps if s.kind == "cut")
    bridges = first.leave
    text = failures(make(), plan, edit=lambda s: replace(s, cuts=s.cuts + bridges) if s is first else s)
    assert "loose too early" in text


def test_fault_rib_not_parted(plan: OpeningPlan) -> None:
    step = next(s for s in plan.steps if s.kind == "part rib")
    assert f"a rib still holds section {step.section}" in failures(make(), plan, drop_step=step.number)


def test_fault_cut_forgotten(plan: OpeningPlan) -> None:
    first = next(s for s in plan.steps if s.kind == "cut")
    text = failures(make(), plan, edit=lambda s: replace(s, cuts=s.cuts[1:]) if s is first else s)
    assert "0 pieces come loose" in text or "another piece" in text


def test_fault_cut_outside_the_line(plan: OpeningPlan) -> None:
    def move(s):  # type: ignore[no-untyped-def]
        if s.kind != "cut" or not s.cuts:
            return s
        c = s.cuts[0]
        shifted = tuple(x.moved(0.0, -3.0) for x in c.reach)
        return replace(s, cuts=(replace(c, reach=shifted), *s.cuts[1:]))

    assert "reaches outside the line" in failures(make(), plan, edit=move)


def test_fault_hole_outside_the_line(plan: OpeningPlan) -> None:
    def move(s):  # type: ignore[no-untyped-def]
        if s.kind != "drill":
            return s
        d = s.drills[0]
        return replace(s, drills=(replace(d, diameter_mm=d.diameter_mm + 8.0), *s.drills[1:]))

    assert "reaches outside the line" in failures(make(), plan, edit=move)


def test_fault_too_deep(plan: OpeningPlan) -> None:
    def deeper(s):  # type: ignore[no-untyped-def]
        return replace(s, cuts=tuple(replace(c, depth_mm=70.0) for c in s.cuts))

    text = failures(make(), plan, edit=deeper)
    assert "goes into what is behind" in text and "goes into rib" in text and "deeper than the disc reaches" in text
    assert "shorter than the disc's slot" in text


def test_fault_saw_without_a_hole() -> None:
    job = replace(make(tool="jigsaw", ribs=(), depth=90.0), brace=None, pads=())
    plan = plan_opening(job, Shop())
    assert {c.tool for s in plan.steps for c in s.cuts} == {"jigsaw"}
    assert "has no hole to start at" in failures(job, plan, edit=lambda s: replace(s, drills=()))


def test_fault_wrong_section_named(plan: OpeningPlan) -> None:
    def swap(s):  # type: ignore[no-untyped-def]
        return replace(s, section={1: 2, 2: 1}.get(s.section, s.section))

    assert "another piece" in failures(make(), plan, edit=swap)


def test_a_row_of_drilled_holes_turns_where_no_blade_does(tmp_path: Path) -> None:
    # an opening of small corners with a rib behind, which bars every blade: its curves of 1.6 mm are drilled out
    for file, data in random_job(1055).items():
        (tmp_path / file).write_bytes(data)
    plan = plan_opening(read_job(tmp_path), Shop())
    assert "plan-not-proved" not in codes(plan)
    rows = [c for s in plan.steps for c in s.cuts if c.tool == "drilled row"]
    assert any(isinstance(s, Arc) and s.radius < 2.0 and s.length > 2.0 for c in rows for s in c.path)


def test_a_slot_is_told_with_the_depth_that_it_belongs_to(plan: OpeningPlan) -> None:
    for step in plan.steps:
        disc = {(round(c.depth_mm, 1), round(c.run_out_mm)) for c in step.cuts if c.run_out_mm > 0.0}
        said = [str(t) for t in step.text if "its slot on the face" in str(t)]
        assert said == [f"Where the disc goes {d} mm deep its slot on the face runs {r} mm past where the skin is "
                        "through, in the waste." for d, r in sorted(disc, reverse=True)]  # fmt: skip
    assert len({d for s in plan.steps for d in (c.depth_mm for c in s.cuts if c.run_out_mm > 0.0)}) > 1
