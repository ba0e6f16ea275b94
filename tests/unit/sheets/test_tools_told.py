"""What the opening is really cut with, and what the brace really does, is what is warned of, bought and told."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from sheet_results import small, small_job

from cutplan.cutting.holes.choice import TWIST_DRILL_MM
from cutplan.drawing.model import Text
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point
from cutplan.opening.model import Cut, RibPart
from cutplan.opening.steps.falls import Work
from cutplan.opening.steps.worded import section_steps
from cutplan.pattern.brace import Stage
from cutplan.pattern.brace_designs import braces_of
from cutplan.pattern.job import Job, Shown
from cutplan.pattern.opening import opening_line
from cutplan.pattern.shop import Shop
from cutplan.report.summary import summary
from cutplan.sheets.cautions import cautions
from cutplan.sheets.page import Builder
from cutplan.sheets.plate.bits import bit_rows
from cutplan.sheets.plate.parts import consumable_rows, parts_page, parts_rows, weld_rows
from cutplan.sheets.results import Results
from cutplan.sheets.welding.after_page import after_keys
from cutplan.tables.by_hand.hand_tools import TOOLS
from cutplan.texts import Reader
from cutplan.texts.by_id import told


@cache
def sawn() -> Results:
    """The small job with a hacksaw wished for its opening."""
    from cutplan.opening.plan import plan_opening

    job = small_job()
    job = replace(job, opening=replace(job.opening, tool="hacksaw"))
    return replace(bare(job), opening=plan_opening(job, Shop()))


def bare(job: Job) -> Results:
    return Results(job, Shop(), None, None, None, None, ())


def test_a_tool_that_the_plan_takes_is_warned_of_and_on_the_list() -> None:
    plan = sawn().opening
    assert plan is not None
    used = {c.tool for s in plan.steps for c in s.cuts}
    assert "cut-off disc" in used, "the job no longer shows the case: a disc in a plan that wished for a saw"
    warned = cautions(sawn().job, "en", plan)
    # exact: the disc's own caution, before zinc, once
    assert warned.count(told("caution.disc")) == 1
    assert warned.index(told("caution.disc")) < warned.index(told("caution.zinc"))
    assert told("caution.disc") in summary(sawn())["cautions"]
    bought = [row[0] for row in consumable_rows(sawn())]
    for tool in used:
        assert Reader("en")(TOOLS[tool].wear) in bought


def test_a_tool_that_is_not_taken_is_not_warned_of() -> None:
    # exact: waterjet and hacksaw have no caution of their own; without a plan the wish stands for it
    job = small_job()
    quiet = replace(job, opening=replace(job.opening, tool="hacksaw"), cutting=replace(job.cutting, process="waterjet"))
    assert told("caution.disc") not in cautions(quiet)
    assert told("caution.disc") in cautions(replace(quiet, cutting=replace(job.cutting, process="cut-off disc")))
    assert told("caution.plasma") in cautions(
        replace(quiet, opening=replace(job.opening, tool="hand plasma")),
    )


@pytest.mark.parametrize(
    ("off", "holds", "keys"), [("open", "parts.brace_open_for", "unclamp"), ("cold", "parts.brace_for", "release")]
)
def test_a_brace_that_is_off_before_the_weld_is_not_told_as_holding_pads(off: Stage, holds: str, keys: str) -> None:
    job = small_job()
    fitted = tuple(replace(b, off=off) for b in braces_of(job, opening_line(job)))
    job = replace(job, planned=replace(job.planned, braces=fitted))
    rows = parts_rows(bare(job))
    assert told(holds) in [row[2] for row in rows]
    assert keys in after_keys(job)
    assert ("cool" in after_keys(job)) is (off == "cold")
    # the brace is tacked to the skin: no bolt holds it
    assert told("parts.bolt_for") in [row[2] for row in rows]


def test_the_real_part_has_no_length_to_cut() -> None:
    job = small_job()
    assert job.brace is not None
    rows = parts_rows(bare(replace(job, brace=replace(job.brace, kind="part"))))
    assert [row[1] for row in rows if row[0] == told("parts.brace.part", size="", wall="")] == ["1"]
    assert told("parts.bolt_part_for") in [row[2] for row in rows]


def test_a_rib_that_was_parted_is_not_told_to_be_left() -> None:
    plan = sawn().opening
    assert plan is not None
    section = plan.sections[0]
    path = (Line(Point(0.0, 0.0), Point(12.0, 0.0)),)
    bridge = Cut("B1", "bridge", path, path, "cut-off disc", 3.5, ribs=("R1", "R2"))
    part = RibPart("R1", Point(6.0, 0.0), Point(0.0, 1.0), "hacksaw", 30.0, (section.number,))
    steps = section_steps(Work(section, (), (bridge,), False, (part,)), (), (), True)
    said = [Reader("en")(t) for s in steps if s.kind == "drop" for t in s.text]
    # exact: R1 is parted in the step before, R2 is not
    assert any("touches rib R2: do not part it yet" in t for t in said)
    assert not any("R1" in t for t in said)


def test_metal_between_drilled_holes_is_no_bridge_in_german() -> None:
    plan = sawn().opening
    assert plan is not None
    path = (Line(Point(0.0, 0.0), Point(12.0, 0.0)),)
    row = Cut("C1", "edge", path, path, "drilled row", 3.5)
    steps = section_steps(Work(plan.sections[0], (row,), (), False, ()), (), (), True)
    said = [text for s in steps for text in (Reader("de")(t) for t in s.text) if "C1" in text]
    # "Stege" is what the sheet calls the bridges: those must stand
    assert any("Meißel" in text for text in said)
    assert not any("Steg" in text for text in said)


def test_gas_for_an_inch_shop_is_told_in_cubic_feet() -> None:
    job = replace(small().job, shown=Shown(display="in"))
    gas = weld_rows(replace(small(), job=job))[1]
    assert small().weld is not None
    litres = small().weld.uses.gas_l  # type: ignore[union-attr]
    # exact: a cubic foot holds 28.317 l
    assert gas[1].startswith(f"{litres.mid / 28.316846592:.1f} ft³ (")
    assert "ft³/h" in gas[2]


def test_every_drill_and_hole_saw_that_a_step_asks_for_is_on_the_list_by_size() -> None:
    # exact: the sizes of the opening's holes and of the drill list, in the two units of a shop
    plan, cut = small().opening, small().cut
    assert plan is not None and cut is not None
    wide = replace(small(), opening=replace(plan, drills=(*plan.drills, replace(plan.drills[0], diameter_mm=30.0))))
    asked = {d.diameter_mm for d in plan.drills} | {v for d in cut.drilled for v in (d.diameter_mm, d.pilot_mm) if v}
    asked.add(30.0)
    twist, sawn = (row[1] for row in bit_rows(wide))
    told_mm = {float(v) for row in (twist, sawn) for v in row.replace(" mm", "").replace(" and", ",").split(", ")}
    assert told_mm == {round(v, 2) for v in asked}
    assert all(float(v) <= TWIST_DRILL_MM for v in twist.replace(" mm", "").replace(" and", ",").split(", "))
    inch = replace(small(), job=replace(small().job, shown=Shown("in")))
    assert all(" in" in row[1] for row in bit_rows(inch))
    assert not bit_rows(bare(small_job())), "no plan, no drill"


def test_the_list_of_parts_asks_for_whole_pieces_and_counts_alike_ones_once() -> None:
    job = small_job()
    sleeve = next(h for h in job.plate.holes if h.purpose == "sleeve")
    other = replace(sleeve, name="H9", contour=sleeve.contour.moved(70.0, 0.0))
    two = replace(job, plate=replace(job.plate, holes=(*job.plate.holes, other), quantity=2))
    rows = parts_rows(replace(small(), job=two))
    # a tool that is worn by less than a piece is still a tool to have
    assert [row for row in rows if row[1].startswith("0")] == [row for row in rows if row[1].startswith("0.")]
    tubes = [row for row in rows if row[0] == told("parts.sleeve", size="26.0 mm")]
    assert [(row[1], row[2]) for row in tubes] == [("2", told("parts.sleeve_for", hole=f"{sleeve.name}, H9"))]
    assert "each" in rows[0][2] and "each" not in parts_rows(small())[0][2]
    b = Builder(two, small().shop)
    parts_page(b, replace(small(), job=two))
    said = " ".join(i.text for p in b.pages() for i in p.items if isinstance(i, Text))
    assert "The steel is enough for 2 plates" in said and "at least" in said
