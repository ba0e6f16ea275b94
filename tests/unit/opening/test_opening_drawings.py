"""Openings for outlines that other people drew: every plan is proved."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from cutplan.files.drawing_in import read_drawing
from cutplan.geometry.contour import Contour
from cutplan.opening.plan import plan_opening
from cutplan.pattern.job import About, Job
from cutplan.pattern.plate import Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.skin import Rib, Skin

FOLDER = Path(os.environ.get("CUTPLAN_DRAWINGS", Path(__file__).resolve().parents[4] / "shared" / "drawings"))
FILES = sorted(FOLDER.glob("*.dxf"))


@pytest.mark.slow
@pytest.mark.skipif(not FILES, reason="set CUTPLAN_DRAWINGS to the folder of real drawings")
@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_plan_of_a_real_outline_is_proved(path: Path) -> None:
    for part in read_drawing(path, repair=True).parts[:2]:
        outline: Contour = part.region.outer
        middle = outline.box.centre
        arm = outline.vertices[0].minus(middle)
        ribs = (
            Rib("R1", (middle.plus(arm.times(1.5)), middle), "known", 20.0),
            Rib("R2", (middle, middle.plus(arm.left())), "suspected", None),
        )
        for skin in (Skin(2.5, box_depth_mm=60.0), Skin(2.5, box_depth_mm=None, ribs=ribs)):
            plan = plan_opening(Job(About(path.stem), Plate(outline, (), 3.0), skin=skin), Shop())
            assert plan.proof, [str(f.message) for f in plan.findings if f.severity == "error"]
