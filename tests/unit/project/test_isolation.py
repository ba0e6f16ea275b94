"""No trade and no document takes the others down, and an unchanged job costs nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from oracles.told_fault import is_fault
from weld_samples import coarsely

from cutplan.errors import JobError, OutputError
from cutplan.pattern.job import Job
from cutplan.project.folder.lock import locked
from cutplan.project.folder.manifest import faults
from cutplan.project.make import make
from cutplan.project.planned import trades
from cutplan.project.planned.attempt import NOT_COMPUTED, attempt
from cutplan.project.planned.plans import load, plans
from cutplan.project.run import documents
from cutplan.texts import say

ROOT = Path(__file__).parents[3]
JOB = """
units = "mm"
title = "small plate"
[plate]
shape = "rectangle"
width = 120
height = 90
corner_radius = 15
thickness = 3
[skin]
thickness = 2.5
[welding]
orders = 20
"""
#: Documents that show one trade only.
ALONE = {
    "templates": {"templates.pdf"},
    "cut": {"plate-net.dxf", "plate-path.dxf"},
    "opening": {"opening.dxf"},
    "weld": set(),
}
SHARED = {"summary.json", "job-sheet.pdf", "report.html"}


@pytest.fixture
def job(tmp_path: Path) -> Path:
    (tmp_path / "small.toml").write_text(JOB)
    return tmp_path / "small.toml"


@pytest.fixture
def coarse(tmp_path: Path) -> Iterator[None]:
    """Weld plans with the coarsest model: these tests are about what stands round them."""
    with coarsely(tmp_path / "cache"):
        yield


def test_a_reason_is_no_fault_of_the_program() -> None:
    def refused() -> None:
        raise JobError("no opening is left", "joint")

    told = attempt(say("the cut path"), "cut", refused).failed
    assert told is not None and told.code == NOT_COMPUTED and not is_fault(told)


@pytest.mark.parametrize(
    "trade", ["cut", *(pytest.param(t, marks=pytest.mark.slow) for t in ("templates", "weld", "opening"))]
)
def test_a_trade_that_crashes_takes_no_other_down(
    job: Path, coarse: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, trade: str
) -> None:
    def crash(job: object, shop: object) -> Any:
        raise np.linalg.LinAlgError("Singular matrix")

    monkeypatch.setattr(trades, "_PLANNERS", {**trades._PLANNERS, trade: crash})
    made = make(job, tmp_path / "out")
    names = {n for n in made.written if "/" not in n}
    rest = set().union(*(docs for t, docs in ALONE.items() if t != trade))
    assert names == rest | SHARED and faults(tmp_path / "out") == []
    assert not made.whole
    said = [f for f in made.findings if f.code == NOT_COMPUTED]
    assert len(said) == 1 and "not computed" in str(said[0].message) and "LinAlgError" in str(said[0].message)
    assert is_fault(said[0])
    assert "not computed" in (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    assert make(job, tmp_path / "out").results is not None  # a set with a gap is tried again
    monkeypatch.undo()
    assert make(job, tmp_path / "out").whole


def test_a_document_that_crashes_takes_no_other_down(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def crash(results: object) -> Any:
        raise ZeroDivisionError("float division by zero")

    broken = [documents.Maker(m.name, m.trades, crash) if m.name == "report.html" else m for m in documents.MAKERS]
    monkeypatch.setattr(documents, "MAKERS", tuple(broken))
    made = make(job, tmp_path / "out", ["report", "plate-net", "templates"])
    assert set(made.written) == {"plate-net.dxf", "templates.pdf"} and not made.whole
    assert "report.html" in str(made.findings[0].message)


def test_an_unchanged_job_is_not_planned_again(
    job: Path, coarse: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = make(job, tmp_path / "out")
    before = (tmp_path / "out" / "summary.json").stat().st_mtime_ns
    monkeypatch.setattr(trades, "_PLANNERS", {})
    again = make(job, tmp_path / "out")
    assert again.results is None and again.whole and (tmp_path / "out" / "summary.json").stat().st_mtime_ns == before
    assert [str(f) for f in again.figures] == [str(f) for f in first.figures]
    assert len(again.findings) == len(first.findings)
    (tmp_path / "out" / "templates.pdf").unlink()
    monkeypatch.undo()
    assert make(job, tmp_path / "out").results is not None and faults(tmp_path / "out") == []


@pytest.mark.slow
def test_another_paper_makes_only_the_templates_anew(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    real = trades._PLANNERS
    spied = {t: (lambda job, shop, t=t: (asked.append(t), real[t](job, shop))[1]) for t in real}
    monkeypatch.setattr(trades, "_PLANNERS", spied)
    monkeypatch.setenv("CUTPLAN_CACHE", str(tmp_path / "cache"))
    make(job, tmp_path / "out")
    assert sorted(asked) == ["cut", "opening", "templates", "weld"]
    asked.clear()
    job.write_text(JOB + '[paper]\nsize = "A3"\n')
    make(job, tmp_path / "out")
    assert asked == ["templates"]
    cold = tmp_path / "cold"
    monkeypatch.setenv("CUTPLAN_CACHE", "off")
    make(job, cold)
    for path in sorted(p for p in cold.rglob("*") if p.is_file()):
        assert (tmp_path / "out" / path.relative_to(cold)).read_bytes() == path.read_bytes(), path.name


class _Poison:
    """A part of a job that may not be looked at."""

    def __getattribute__(self, name: str) -> Any:
        raise AssertionError(f"the plan read it: {name}")

    def __eq__(self, other: object) -> bool:
        raise AssertionError("the plan compared it")

    __hash__ = object.__hash__


@pytest.mark.slow
@pytest.mark.parametrize("sample", ["van-nose-mount", "buggy-doubler", "trailer-spring-hanger"])
@pytest.mark.parametrize("trade", trades.TRADES)
def test_the_plans_of_samples_read_nothing_that_their_checksum_leaves_out(sample: str, trade: str) -> None:
    test_a_plan_reads_nothing_that_its_checksum_leaves_out(ROOT / "sample_parts" / sample / "job.toml", trade)


@pytest.mark.slow
@pytest.mark.parametrize("trade", trades.TRADES)
def test_a_plan_reads_nothing_that_its_checksum_leaves_out(job: Path, trade: str) -> None:
    from cutplan.files.job.read import read_job
    from cutplan.pattern.shop import Shop

    whole = read_job(job)
    poisoned = trades.with_parts(whole, {part: _Poison() for part in trades.unread(trade)})
    assert repr(trades.plan(trade, poisoned, Shop())) == repr(trades.plan(trade, whole, Shop()))


def _parts(job: Job) -> list[str]:
    """Every part of a job by its path; of the records that hold parts of several kinds, each part for itself."""
    split = {"about", "shown", "origin", "beside", "planned"}
    inner = [f"{name}.{f.name}" for name in sorted(split) for f in fields(getattr(job, name))]
    return inner + [f.name for f in fields(job) if f.name not in split]


def test_the_checksum_of_a_plan_sees_every_part_that_is_read(job: Path) -> None:
    from cutplan.files.job.read import read_job
    from cutplan.pattern.shop import Shop

    whole = read_job(job)
    for trade in trades.TRADES:
        for part in _parts(whole):
            other = trades.with_parts(whole, {part: "another"})
            same = trades.plan_key(trade, other, Shop()) == trades.plan_key(trade, whole, Shop())
            assert same == (part in trades.unread(trade)), (trade, part)
        assert trades.plan_key(trade, whole, Shop(name="b")) != trades.plan_key(trade, whole, Shop())


def test_a_second_run_is_refused_before_it_plans(job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trades, "_PLANNERS", {})
    with locked(tmp_path / "out"), pytest.raises(OutputError, match="another run"):
        make(job, tmp_path / "out")


def test_the_drawing_and_the_users_report_are_refused_before_planning(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(trades, "_PLANNERS", {})
    sample = ROOT / "sample_parts" / "trailer-spring-hanger"
    (tmp_path / "plate-net.dxf").write_bytes((sample / "plate.dxf").read_bytes())
    text = (sample / "job.toml").read_text().replace("plate.dxf", "plate-net.dxf")
    (tmp_path / "job.toml").write_text(text)
    with pytest.raises(OutputError, match="input of this run"):
        make(tmp_path, tmp_path)
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "report.html").write_text("mine")
    with pytest.raises(OutputError, match=r"report\.html"):
        make(tmp_path, tmp_path / "out")
    assert (tmp_path / "out" / "report.html").read_text() == "mine"


def test_a_job_with_errors_plans_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trades, "_PLANNERS", {})
    (tmp_path / "j.toml").write_text(JOB + "[[pad]]\nat = [900, 900]\n")
    with pytest.raises(JobError, match="outside the plate"):
        make(tmp_path / "j.toml", tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_a_tube_that_misses_its_main_tube_takes_no_other_template_down(job: Path, tmp_path: Path) -> None:
    tubes = '[[tube]]\nname = "bad"\nbranch = 38\nmain = 38\nwall = 2\noffset = 5\n[[tube]]\nbranch = 38\nmain = 50\nwall = 2\n'
    job.write_text(JOB + tubes)
    made = make(job, tmp_path / "out", ["templates"])
    assert "templates.pdf" in made.written and not made.whole
    (said,) = [f for f in made.findings if f.code == NOT_COMPUTED]
    assert said.severity == "error" and not is_fault(said)
    assert "the wrap of tube bad: not computed: the branch tube reaches past" in str(said.message)
    assert "tube[0]" in str(said.where)
    assert made.results is not None and made.results.templates is not None
    assert {t.template for t in made.results.templates.tiles} == {"Plate", "Opening", "Wrap N2"}


def test_a_template_too_large_for_the_paper_takes_no_other_down(job: Path, tmp_path: Path) -> None:
    strip = "[[flange]]\nlegs = [9000, 9000, 9000]\nangles_deg = [90, 90]\nwidth = 4000\nthickness = 3\n"
    job.write_text(JOB + strip)
    made = make(job, tmp_path / "out", ["templates"])
    (said,) = [f for f in made.findings if f.code == NOT_COMPUTED]
    assert "sheets of this paper" in str(said.message) and "templates.pdf" in made.written and not made.whole


@pytest.mark.slow
@pytest.mark.parametrize("thickness", ["0.5", "27", "40"])
def test_a_plate_of_any_thickness_that_is_taken_has_every_plan(tmp_path: Path, thickness: str) -> None:
    """27 mm once ended the weld plan; 0.5 and 40 mm are the ends of what a job may say."""
    (tmp_path / "job.toml").write_text(JOB.replace("\nthickness = 3\n", f"\nthickness = {thickness}\n"))
    job, shop = load(tmp_path / "job.toml")
    found = plans(job, shop, remember=False)
    assert not [f for f in found.findings if f.code == NOT_COMPUTED]
    assert found.weld is not None and found.cut is not None and found.opening is not None
    assert found.weld.order.chosen
