"""From where a part is looked at stands on every sheet, of the other hand's copy too."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sheet_results import SAMPLES

from cutplan.drawing.model import Text
from cutplan.files.job.read import read_job
from cutplan.pattern.shop import Shop
from cutplan.templates.plan import plan_templates
from cutplan.templates.shapes.build import seen_from


@pytest.mark.parametrize("lang", ["en", "de"])
@pytest.mark.parametrize("size", [(210.0, 297.0), (420.0, 594.0)])
def test_each_sheet_tells_its_view(lang: str, size: tuple[float, float]) -> None:
    job = read_job(SAMPLES / "buggy-doubler" / "job.toml")
    paper = replace(job.paper, name="A4" if size[0] == 210.0 else "A2", width_mm=size[0], height_mm=size[1])
    job = replace(job, paper=paper, shown=replace(job.shown, language=lang))
    assert job.marks.mirrored_copy
    made = plan_templates(job, Shop())
    (here,), (there,) = seen_from(job), seen_from(job, mirrored=True)
    assert here != there
    for joined in made.joined:
        hands = {p.template.other_hand for p in joined.layout.placed}
        for k in range(len(joined.layout.sheets)):
            items = made.pages[joined.first_page - 1 + k].items
            said = " ".join(i.text for i in items if isinstance(i, Text) and i.tag in ("title", "label"))
            for other in hands:
                assert (there if other else here) in said
            if len(hands) == 1:
                assert (here if True in hands else there) not in said
