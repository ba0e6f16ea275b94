"""What flat patterns and wraps say of themselves: bends by both angles and way, sizes, the side of an offset."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sheet_results import SAMPLES

from cutplan.drawing.model import Text
from cutplan.files.job.read import read_job
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import Flange, TubeWrap
from cutplan.templates.plan import plan_templates
from cutplan.templates.shapes.flange import bend_correction_mm, flange_template, flat_total_mm
from cutplan.templates.shapes.wrap import wrap_template
from cutplan.units import UnitName


def test_a_bend_says_both_angles_its_way_and_where_its_line_lies() -> None:
    flange = Flange("F1", (50.0, 40.0, 30.0), (135.0, 90.0), 60.0, 3.0, 4.0, ("up", "down"))
    template = flange_template(flange)
    names = [s.name for s in template.spots]
    assert names == [
        "bend 45° up, legs end 135° apart",
        "bend 90° down",
    ]  # exact: 180 - opening; of a right angle both are one
    said = " ".join(template.says)
    first = 50.0 + 0.5 * bend_correction_mm(4.0, 3.0, 135.0)
    # exact: outside legs and half of the correction of the first bend
    assert f"Flat length {flat_total_mm(flange):.1f} mm; bend lines {first:.1f} mm, " in said


@pytest.mark.parametrize(("offset", "side"), [(6.0, "6 mm towards 90°"), (-6.0, "6 mm towards 270°")])
def test_a_wrap_says_to_which_side_the_axis_is_offset(offset: float, side: str) -> None:
    template = wrap_template(TubeWrap("T1", 38.0, 60.0, 2.0, 90.0, offset))
    assert side in template.says[0]


@pytest.mark.parametrize(("lang", "units"), [("de", "in"), ("en", "mm")])
def test_a_wrap_on_a_crowded_sheet_says_its_tubes(lang: str, units: UnitName) -> None:
    job = read_job(SAMPLES / "trailer-spring-hanger" / "job.toml")
    job = replace(job, shown=replace(job.shown, language=lang, display=units))
    pages = plan_templates(job, Shop()).pages
    said = " ".join(i.text for p in pages for i in p.items if isinstance(i, Text))
    # exact: the tubes of the sample, metric sizes by standard in every unit
    assert {"de": "SATTEL auf Ø", "en": "SADDLE on Ø"}[lang] in said
    assert "60.3 mm, 60°" in said and "Ø 42.4 mm" in said
