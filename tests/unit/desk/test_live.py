"""Cheap answers: shapes as exact numbers, problems and findings with their keys."""

from __future__ import annotations

from math import pi

import pytest

from cutplan.project.demo import demo_job
from cutplan.project.desk.live import answers, paper_and_cut
from cutplan.project.planned.plans import load, plans
from cutplan.texts import Reader

JOB = demo_job()
TEXT = JOB.read_text(encoding="utf-8")


def test_the_outline_stays_lines_and_arcs() -> None:
    outline = answers(TEXT, JOB)["shape"]["outline"]
    arcs = [s for s in outline if len(s) == 8]
    # exact: the drawing has 4 corners of 25 mm and 4 of 15 mm, each a quarter turn
    assert sorted(s[6] for s in arcs) == [15.0] * 4 + [25.0] * 4
    assert all(abs(abs(s[7]) - 0.5 * pi) < 1e-8 for s in arcs)
    assert all(a[2:4] == b[0:2] for a, b in zip(outline, [*outline[1:], outline[0]], strict=True))


def test_a_typed_hole_knows_its_entry_and_a_drawn_one_has_none() -> None:
    text = TEXT + '\n[[plate.hole]]\nat = [60, 40]\ndiameter = 8\ncount = 2\nstep = [10, 0]\npurpose = "access"\n'
    holes = answers(text, JOB)["shape"]["holes"]
    assert [h.get("key") for h in holes[-3:]] == [None, ["plate", "hole", 0], ["plate", "hole", 0]]
    assert [h["at"] for h in holes[-2:]] == [[60.0, 40.0], [70.0, 40.0]]  # exact: a step of 10 mm


def test_a_problem_names_its_key_in_the_readers_language() -> None:
    text = TEXT.replace("thickness = 4\n", "thickness = 400\n").replace("gap = 1.2", "gap = -1")
    found = answers(text, JOB)["problems"]
    assert {p["key"] for p in found} == {"plate.thickness", "joint.gap"}
    broken = answers("units = ", JOB, Reader("de"))["problems"]
    assert broken[0]["message"] == "die Auftragsdatei ist kein gültiges TOML"


def test_a_finding_is_at_its_thing() -> None:
    found = answers(TEXT.replace("at = [105, 95]", "at = [900, 95]"), JOB)["findings"]
    assert [f["key"] for f in found if f["code"] == "pad-outside"] == ["pad[0]"]


def test_figures_of_paper_and_cut_are_those_of_the_plans() -> None:
    found = paper_and_cut(TEXT, JOB)
    job, shop = load(JOB)
    results = plans(job, shop, ("templates", "cut"))
    assert results.templates is not None and results.cut is not None
    assert found["sheets"] == results.templates.sheets > 0 and found["paper"] == "A4"
    assert found["cut_mm"] == pytest.approx(results.cut.totals.cut_mm) and found["cut_mm"] > 1000.0
