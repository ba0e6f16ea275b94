"""The trial weld's sheet: all of it, cautions last, lies on the paper, whatever the language and the units."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sheet_results import small_job

from cutplan.drawing.font import text_width
from cutplan.drawing.model import Stroke, Text
from cutplan.drawing.recorder import overlaps
from cutplan.geometry.vector import box_of
from cutplan.pattern.job import About
from cutplan.sheets.welding.coupon_page import weld_coupon_page
from cutplan.texts import Reader
from cutplan.texts.by_id import told
from cutplan.units import UnitName
from cutplan.welding.coupon import weld_coupon


@pytest.mark.parametrize("lang", ["en", "de"])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_the_sheet_holds_its_cautions(lang: str, unit: UnitName) -> None:
    job = replace(small_job(), about=About("An insert with a name that takes two lines of the title", revision="B"))
    page = weld_coupon_page(weld_coupon(job), job, Reader(lang, unit))
    words = " ".join(i.text for i in page.items if isinstance(i, Text))
    for key in ("fire", "zinc"):
        assert told(f"caution.{key}", lang) in words
    assert [c for c in overlaps(page, margin_mm=10.0, clear_of=()) if c.kind == "outside"] == []


@pytest.mark.parametrize("lang", ["en", "de"])
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_sheet_is_on_the_paper_of_the_shop_and_names_stay_on_their_strips(lang: str, paper: str) -> None:
    base = small_job()
    plate = replace(base.plate, thickness_mm=4.7625)
    skin = replace(base.skin, thickness_mm=3.175)
    job = replace(base, plate=plate, skin=skin, paper=replace(base.paper, name=paper))
    page = weld_coupon_page(weld_coupon(job), job, Reader(lang, "in"))
    # exact: the sizes of the two papers
    assert (page.width_mm, page.height_mm) == pytest.approx({"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}[paper])
    assert [c for c in overlaps(page, margin_mm=10.0, clear_of=()) if c.kind == "outside"] == []
    strip = next(i for i in page.items if isinstance(i, Stroke) and i.tag == "plate")
    box = box_of([s.start for s in strip.segments])
    names = [i for i in page.items if isinstance(i, Text) and "in (" in i.text and box.xmin < i.at.x < box.xmin + 5.0]
    assert len(names) == 2
    for said in names:
        assert said.at.x + text_width(said.text, said.height_mm) < box.xmax
