"""The trial weld's sheet: all of it, cautions last, lies on the paper, whatever the language and the units."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sheet_results import small_job

from cutplan.drawing.model import Text
from cutplan.drawing.recorder import overlaps
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
