"""A job with many beads and cuts: every number is found without a loupe, and no page is left with a remnant."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sheet_results import SAMPLES, hole, planned

from cutplan.drawing.model import Figure, Page, Text
from cutplan.drawing.recorder import overlaps
from cutplan.files.job.read import read_job
from cutplan.geometry.contour import rectangle
from cutplan.geometry.vector import Box
from cutplan.opening.plan import plan_opening
from cutplan.pattern.job import About, Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.plate import Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.skin import Skin
from cutplan.pattern.wishes import Welding
from cutplan.sheets.fitup_page import fitup_page
from cutplan.sheets.job_sheet import job_sheet
from cutplan.sheets.page import Builder
from cutplan.sheets.results import Results
from cutplan.sheets.welding.bead_list import MANY, large_map


def texts(page: Page, tag: str) -> list[str]:
    return [i.text for i in page.items if isinstance(i, Text) and i.tag == tag]


@pytest.fixture(scope="module")
def many() -> Results:
    plate = Plate(rectangle(0.0, 0.0, 640.0, 420.0, 30.0), (hole("H1", 320.0, 210.0, 20.0, "access"),), 5.0)
    job = Job(About("Many beads"), plate, Joint("butt", 1.5), Skin(2.5), welding=Welding(orders=2))
    return planned(replace(job, welding=replace(job.welding, order="once round")))


@pytest.mark.slow
def test_the_map_of_many_stitches_is_as_wide_as_the_paper_and_its_list_stands_whole(many: Results) -> None:
    assert many.weld is not None and len(many.weld.stitches) > MANY
    pages = job_sheet(many).pages
    (shown,) = (p for p in pages if texts(p, "stitch-number"))
    numbers = [i for i in shown.items if isinstance(i, Text) and i.tag == "stitch-number"]
    assert len(numbers) == len(many.weld.stitches)
    # exact: over the width between the margins, less what the numbers beside it reach
    assert max(n.at.x for n in numbers) - min(n.at.x for n in numbers) > 0.85 * (shown.width_mm - 20.0)
    assert not [c for c in overlaps(shown, margin_mm=10.0, smallest_mm=3.0) if c.what in {n.text for n in numbers}]
    assert sum(bool(texts(p, "stitch-beads")) for p in pages) == 1
    assert [texts(p, "title")[0] for p in pages].count("After welding") == 1


def test_a_map_of_many_stitches_is_as_high_as_its_width_allows() -> None:
    job = Job(About("Many beads"), Plate(rectangle(0.0, 0.0, 640.0, 420.0), (), 5.0))
    b = Builder(job, Shop())
    wide, tall = Figure((), Box(0.0, 0.0, 200.0, 100.0)), Figure((), Box(0.0, 0.0, 100.0, 300.0))
    # exact: A4 has 190 mm between the margins, and 10 mm for caption and border
    assert large_map(b, wide, []) == pytest.approx(0.5 * 190.0 + 10.0)
    assert large_map(b, tall, []) == pytest.approx(b.full - 2.0)


def test_what_holds_for_every_section_stands_before_the_first_section() -> None:
    # its first section is cut with other tools than the next ones, so that it shares none of their sentences
    job = read_job(SAMPLES / "van-nose-mount" / "job.toml")
    results = Results(job, Shop(), None, None, plan_opening(job, Shop()), None, ())
    assert results.opening is not None
    first = next(s.number for s in results.opening.steps if s.section)
    told = []
    for page in job_sheet(results).pages:
        for i in page.items:
            if isinstance(i, Text) and (i.text.startswith("For every section") or i.tag == "step-title"):
                told.append(i.text)
    (box,) = (k for k, t in enumerate(told) if t.startswith("For every section"))
    assert told[box + 1].startswith(f"{first}.")


@pytest.mark.parametrize("used_mm", [0.0, 60.0, 110.0, 150.0])
def test_the_steps_of_the_fit_up_stand_with_the_list_that_they_ask_for(used_mm: float) -> None:
    results = Results(
        Job(About("Gaps"), Plate(rectangle(0.0, 0.0, 640.0, 420.0, 30.0), (), 5.0)), Shop(), None, None, None, None, ()
    )
    b = Builder(results.job, results.shop)
    b.page("weld.title")
    b.skip(used_mm)
    fitup_page(b, results)
    where = [n for n, p in enumerate(b.pages()) for i in p.items if isinstance(i, Text) and i.text in ("1.", "G1")]
    assert (
        len(where) == 3 and len(set(where)) == 1
    )  # the first step, and the first station in the picture and in the list
