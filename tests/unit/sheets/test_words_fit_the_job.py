"""Advice on the sheet fits the job: no table for a jigsaw, no marks to join where nothing is joined, one is told as one."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sheet_results import small, small_job

from cutplan.cutting.plan import plan_cut
from cutplan.drawing.model import Document, Text
from cutplan.findings import Finding
from cutplan.geometry.contour import rectangle
from cutplan.pattern.job import About, Job
from cutplan.pattern.plate import Plate
from cutplan.pattern.shop import Shop
from cutplan.report.key_figures import key_figures
from cutplan.sheets.job_sheet import job_sheet
from cutplan.sheets.plate.template_page import template_steps
from cutplan.sheets.results import Results
from cutplan.templates.plan import plan_templates
from cutplan.texts import number, say


def words(document: Document) -> str:
    return " ".join(i.text for p in document.pages for i in p.items if isinstance(i, Text))


@pytest.mark.parametrize(("process", "by_hand"), [("jigsaw", True), ("air plasma", False)])
def test_a_saw_in_the_hand_is_told_of_no_table(process: str, by_hand: bool) -> None:
    job = small_job()
    job = replace(job, cutting=replace(job.cutting, process=process))
    results = Results(job, Shop(), plan_cut(job, Shop()), None, None, None, ())
    said = [i.text for p in job_sheet(results).pages for i in p.items if isinstance(i, Text)]
    assert any(t.startswith("Compensate once") for t in said) is not by_hand
    assert any("stay on the waste side" in t for t in said) is by_hand
    for row in ("Pierces", "Moves without cutting"):
        assert (row in said) is not by_hand
    assert "Time at the table" not in " ".join(said)
    (below,) = (more for _, _, more in key_figures(results))
    assert ("pierce" in below) is not by_hand


@pytest.mark.parametrize(("width", "joined"), [(100.0, False), (500.0, True)])
def test_marks_are_laid_on_each_other_only_where_sheets_are_joined(width: float, joined: bool) -> None:
    job = Job(About("Paper"), Plate(rectangle(0.0, 0.0, width, 150.0, 10.0), (), 4.0))
    results = Results(job, Shop(), None, plan_templates(job, Shop()), None, None, ())
    assert any("registration marks" in step for step in template_steps(results)) is joined


@pytest.mark.parametrize(("more", "told"), [(1, "1 more is in the report."), (2, "2 more are in the report.")])
def test_one_more_finding_is_told_as_one(more: int, told: str) -> None:
    findings = tuple(Finding(f"f{k}", "warning", say("the thing")) for k in range(5 + more))
    assert told in words(
        job_sheet(replace(small(), templates=None, cut=None, opening=None, weld=None, findings=findings))
    )


def test_a_degree_of_an_angle_stands_at_its_number() -> None:
    assert str(say("{bend}", bend=number(30.0, "deg", 0))) == "30°"
    assert str(say("{heat}", heat=number(100.0, "degC", 0))) == "100 °C"
