"""Every design stands on the skin, clear of what is cut and of what a lapped plate covers, or says what room it lacks."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutplan.geometry.contour import polygon
from cutplan.geometry.vector import Point
from cutplan.pattern.brace import FittedBrace
from cutplan.pattern.brace_designs import CLEAR_MM, braces_of, laid_out, layouts, skin_box
from cutplan.pattern.job import About, Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.opening import opening_line
from cutplan.pattern.pads import Brace, Pad
from cutplan.pattern.plate import Plate
from cutplan.pattern.skin import Skin, Walls
from cutplan.sheets.plate.parts import cut_lengths
from cutplan.tables.brace_sections import USUAL


def job(walls: Walls, **more: object) -> Job:
    plate = Plate(polygon([(0, 0), (300, 0), (300, 160), (0, 160)]), (), 4.0)
    pads = (Pad("a", Point(80, 70)), Pad("b", Point(220, 70)))
    return Job(About("t"), plate, skin=Skin(walls=walls), pads=pads, **more)  # type: ignore[arg-type]


ROOMY = Walls(220.0, 220.0, 220.0, 220.0)


def stands(made: Job, brace: FittedBrace) -> None:
    line, skin = opening_line(made), skin_box(made, opening_line(made))
    rims = [line] + ([made.plate.outline] if made.joint.kind == "lap" and brace.off == "cold" else [])
    for foot in brace.foot_contours():
        for p in foot.vertices:
            assert skin.holds(p)
            assert all(not r.contains(p) and r.nearest(p)[1] >= CLEAR_MM - 1e-6 for r in rims)


@pytest.mark.parametrize("turn", [0.0, 30.0])
@pytest.mark.parametrize("joint", [Joint(), Joint("lap", overlap_mm=25.0)], ids=["butt", "lap"])
def test_feet_stand_on_the_skin_clear_of_line_and_plate(turn: float, joint: Joint) -> None:
    end = Point(80, 70).plus(Point(140, 0).turned(turn * 3.14159265 / 180.0))
    made = job(ROOMY, joint=joint, brace=Brace("tube", 38.1, 3.0, Point(80, 70), end))
    found = [x for x in layouts(made, opening_line(made), 120.0) if x.brace is not None]
    assert len(found) >= 3
    for laid in found:
        assert laid.brace is not None
        stands(made, laid.brace)


def test_a_foot_with_no_room_is_no_design() -> None:
    tight = job(Walls(20.0, 20.0, 20.0, 20.0))
    laid = laid_out(tight, opening_line(tight), "across", USUAL, 100.0)
    # exact: 16 mm clear of a grinder, a foot of 38.1 mm and 3 mm at the wall of 20 mm; feet move in steps of 2 mm
    assert laid.brace is None and 37.1 - 1e-6 <= laid.lacks_mm <= 39.2


def test_a_bar_on_edge_where_the_tube_is_too_wide() -> None:
    slim = job(Walls(60.0, 60.0, 30.0, 30.0))
    pair = next(x for x in layouts(slim, opening_line(slim), 100.0) if x.design == "pair")
    assert pair.brace is not None and pair.section.on_edge


def test_the_real_part_goes_on_once_the_plate_is_tacked() -> None:
    made = job(ROOMY, brace=Brace("part", 80.0, 6.0, Point(80, 70), Point(220, 70)))
    opening, part = braces_of(made, opening_line(made))
    assert opening.on_skin and opening.is_on("open") and opening.is_on("tacked") and not opening.is_on("cold")
    assert part.design == "part" and not part.is_on("open") and part.is_on("tacked") and part.tacks == 0


def test_what_was_chosen_is_taken_as_it_is() -> None:
    made = job(ROOMY)
    frame = next(x.brace for x in layouts(made, opening_line(made), 100.0) if x.design == "frame")
    assert frame is not None
    assert braces_of(replace(made, planned=replace(made.planned, braces=(frame,))), opening_line(made)) == (frame,)
    assert braces_of(replace(made, pads=()), opening_line(made)) == ()


def test_lengths_to_buy() -> None:
    made = job(ROOMY)
    across = laid_out(made, opening_line(made), "across", USUAL, 100.0).brace
    assert across is not None
    bar = across.bars[0]
    stock_mm = sum(n * length for length, n in cut_lengths(across))
    assert stock_mm == pytest.approx(bar.length_mm + 200.0)  # exact: one bar and two posts
