"""A label means one thing over a job: on templates, opening, map, weld, inspection; and sheets are counted alike."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

import pytest
from sheet_results import hole, sample, sample_names, small

from cutplan.drawing.font import drawn, not_drawn, text_width
from cutplan.drawing.model import Text
from cutplan.inspection.named_points import corners, gap_stations
from cutplan.opening.work_marks import work_marks
from cutplan.pattern.checks.check_names import PLAN_NAMES, name_findings, own_names
from cutplan.pattern.pads import Pad
from cutplan.pattern.skin import Rib
from cutplan.project.run.figures import figures
from cutplan.project.run.undrawn import undrawn_findings
from cutplan.report.summary import summary
from cutplan.sheets.job_sheet import job_sheet
from cutplan.sheets.plate.parts import parts_rows
from cutplan.sheets.results import Results
from cutplan.templates.plan import plan_templates
from cutplan.texts import Reader


def labels(results: Results) -> dict[str, set[str]]:
    """Every label of a job, by what it stands for."""
    job, opening, weld = results.job, results.opening, results.weld
    assert opening is not None and weld is not None and results.templates is not None
    cuts = [c for s in opening.steps for c in s.cuts]
    return {
        "own": {n for _, n in own_names(job)} | {p.name for p in job.pads},
        "drills and windows": {d.name for d in opening.drills},
        "bridges": {b.name for b in opening.bridges},
        "cuts": {c.name for c in cuts} - {b.name for b in opening.bridges},
        "marks": {p.name for p in opening.datum.points if p.kind == "mark"},
        "stations": {s[0] for s in gap_stations(job)},
        "corners": {c[0] for c in corners(job)},
        "crosses": {n for d in results.templates.checks for n in (d.start, d.end)},
        "tacks": {t.name for t in weld.tacks},
        "stitches": {s.name for s in weld.stitches},
    }


def judge(results: Results) -> None:
    found = labels(results)
    twice = {n: k for n, k in Counter(n for names in found.values() for n in names).items() if k > 1}
    assert twice == {}
    # what the plan adds is called by the letters that the check of names knows
    letters = {n[0] for kind, names in found.items() if kind != "own" for n in names}
    assert letters <= set(PLAN_NAMES)
    assert results.opening is not None
    job = replace(results.job, planned=replace(results.job.planned, work=work_marks(results.job, results.opening)))
    pages = plan_templates(job, results.shop).pages
    known = {n for names in found.values() for n in names}
    printed = [i.text for p in pages for i in p.items if isinstance(i, Text) and i.tag == "hole label"]
    for text in printed:
        # a label is a name, a name with its note, or the second line of one: a note alone
        named = any(text == n or text.startswith(f"{n} ") for n in known)
        assert named or not re.match(r"[A-Z]\d+\b", text), text


def test_labels_of_a_small_job() -> None:
    judge(small())


@pytest.mark.slow
@pytest.mark.parametrize("name", sample_names())
def test_labels_of_every_sample(name: str) -> None:
    judge(sample(name))


def test_a_name_that_the_plan_gives_is_told() -> None:
    job = small().job
    assert name_findings(job) == []
    plate = replace(job.plate, holes=(*job.plate.holes, hole("D3", 90.0, 90.0, 4.0, "access")))
    (found,) = name_findings(replace(job, plate=plate))
    assert found.code == "name-of-the-plan" and "D3" in Reader("en")(found.message)
    ribbed = replace(job, skin=replace(job.skin, ribs=(Rib("h1", job.skin.ribs[0].path, "known", 30.0),)))
    (found,) = name_findings(ribbed)
    assert found.code == "name-twice"


def test_a_pad_may_bear_the_name_of_its_hole() -> None:
    job = small().job
    first = job.plate.holes[0]
    assert name_findings(replace(job, pads=(Pad(first.name, first.centre),))) == []


def test_letters_without_a_glyph_are_told_and_drawn_as_a_plain_mark() -> None:
    job = small().job
    assert undrawn_findings(job) == []
    plain = replace(
        job, pads=(replace(job.pads[0], name="前部 Ä Ж Ω"), *job.pads[1:]), about=replace(job.about, title="Rail 🔧")
    )
    found = undrawn_findings(plain)
    assert [Reader("en")(f.where) for f in found if f.where] == ["the title", "pad 前部 Ä Ж Ω"]
    assert not_drawn("前部 Ä Ж Ω") == ("前", "部")
    assert drawn("前部 Ä") == "?? Ä"
    assert text_width("前", 4.0) == text_width("?", 4.0)  # exact: what is measured is what is drawn


@pytest.mark.parametrize("lang", ["en", "de"])
def test_terminal_sheet_and_report_count_the_same_sheets(lang: str) -> None:
    results = small()
    assert results.templates is not None
    count = len(results.templates.pages)
    told = summary(results)
    assert told["templates"]["pages"] == count
    said = [Reader(lang)(m) for m in figures(told)]
    assert any(re.search(rf"\b{count}\b", s) for s in said[:1])
    assert any(re.search(rf"\b{count}\b", cell) for row in parts_rows(results, lang) for cell in row[1:2])
    cover = " ".join(
        i.text for i in job_sheet(results, lang).pages[0].items if isinstance(i, Text) and i.tag == "key-figure"
    )
    assert re.search(rf"\b{count}\b", cover)
