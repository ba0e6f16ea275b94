"""What a lapped plate lies on: plug welds over the opening and edges past the bend are told, corners stay round."""

from __future__ import annotations

import pytest

from cutplan.drawing.model import Stroke
from cutplan.geometry.contour import circle_contour, rectangle
from cutplan.geometry.vector import Box, Point, box_of
from cutplan.opening.pictures.steps import datum_figure
from cutplan.opening.plan import plan_opening
from cutplan.pattern.checks.check import check_job
from cutplan.pattern.job import About, Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.plate import Hole, Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.skin import Skin, Walls
from cutplan.pattern.wishes import OpeningWork


def job(plug_x: float = 15.0, walls: Walls = Walls(120, 120, 65, 65), drill: float = 12.0, kind: str = "lap") -> Job:
    hole = Hole("H1", circle_contour(Point(plug_x, 55), 5.5, ccw=False), "plug weld")
    plate = Plate(rectangle(0, 0, 240, 110, 20), (hole,), 5.0)
    joint = Joint("lap", overlap_mm=30.0) if kind == "lap" else Joint("butt", gap_mm=1.0)
    return Job(About("lap"), plate, joint, Skin(3.0, walls=walls), opening=OpeningWork("jigsaw", corner_drill_mm=drill))


def codes(of: Job) -> set[str]:
    return {f.code for f in check_job(of)}


# exact: the opening begins 30 mm inside the edge, the hole's radius is 5.5 mm
@pytest.mark.parametrize(("x", "bare"), [(15.0, False), (24.4, False), (24.6, True), (35.0, True), (120.0, True)])
def test_a_plug_weld_needs_skin_under_it(x: float, bare: bool) -> None:
    assert ("plug-weld-over-opening" in codes(job(x))) is bare
    assert "plug-weld-over-opening" not in codes(job(x, kind="butt"))


# exact: the plate reaches 30 mm past the opening on every side
@pytest.mark.parametrize(("top", "past"), [(30.0, False), (29.0, True)])
def test_a_lapped_plate_past_the_bend_is_told(top: float, past: bool) -> None:
    found = [f for f in check_job(job(walls=Walls(120, 120, 65, top))) if f.code == "lap-past-wall"]
    assert bool(found) is past and all("top 30 mm" in str(f.message) and "bottom" not in str(f.message) for f in found)


@pytest.mark.parametrize(("drill", "sharp"), [(12.0, False), (8.0, True)])
def test_under_a_lapped_plate_corners_stay_as_round_as_they_are_drilled(drill: float, sharp: bool) -> None:
    plan = plan_opening(job(drill=drill), Shop())
    assert any(f.code == "sharp-corner" for f in plan.findings) is sharp
    said = " ".join(str(t) for t in plan.steps[-1].text)
    assert "as round as they are drilled" in said and "plate in" not in said and "square" not in said
    butt = " ".join(str(t) for t in plan_opening(job(kind="butt"), Shop()).steps[-1].text)
    assert "Try the plate in" in butt and "drilled" not in butt


def within(p: Point, box: Box) -> bool:
    return box.xmin <= p.x <= box.xmax and box.ymin <= p.y <= box.ymax


def test_the_picture_shows_the_marks_on_the_skin_and_outside_the_plate() -> None:
    plan = plan_opening(job(), Shop())
    drawn = {i.tag: i for i in datum_figure(job(), plan).items if isinstance(i, Stroke)}
    skin, plate = (box_of([s.start for s in drawn[tag].segments]) for tag in ("skin", "plate"))
    for mark in (p.at for p in plan.datum.points if p.kind == "mark"):
        assert within(mark, skin.grown(-5.0)) and not within(mark, plate.grown(4.9))
    assert "plate" not in {i.tag for i in datum_figure(job(kind="butt"), plan_opening(job(kind="butt"), Shop())).items}
