"""What did not change is not made again: like things count as the same, and nothing heavy is loaded for them."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from cutplan.drawing.model import Page, Text, line
from cutplan.files.job.read import read_job
from cutplan.geometry.vector import Point
from cutplan.pattern.shop import Shop
from cutplan.project.planned.plans import plans
from cutplan.project.planned.remembered import by_content
from cutplan.project.planned.trades import with_parts
from cutplan.project.run.inputs import input_files
from cutplan.sheets.results import Results

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
[[pad]]
at = [60, 45]
[welding]
orders = 20
"""
#: Runs the command line, then says which of the libraries are loaded and the processor time [s].
_RUN = (
    "import sys, time; from cutplan.cli.main import main; code = main(sys.argv[1:]); "
    "print(code, time.process_time(), *sorted(m for m in ('numpy', 'scipy', 'shapely', 'ezdxf', 'reportlab', "
    "'matplotlib', 'PIL') if m in sys.modules))"
)


def _page(text: str) -> Page:
    return Page(100.0, 50.0, (line((0, 0), (1, 1)), Text(text, Point(3.0, 4.0))))


def test_things_that_are_equal_are_made_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CUTPLAN_CACHE", str(tmp_path))
    made: list[str] = []

    def make(name: str) -> bytes:
        made.append(name)
        return name.encode()

    shared = _page("a word")
    apart = Page(100.0, 50.0, (line((0.0, 0.0), (1.0, 1.0)), Text("".join(["a ", "word"]), Point(3.0, 4.0))))
    assert by_content("picture", (shared, shared), lambda: make("one")) == b"one"
    assert by_content("picture", (_page("a word"), replace(shared)), lambda: make("two")) == b"one"
    assert by_content("picture", (shared, _page("another")), lambda: make("three")) == b"three"
    assert by_content("picture, large", (shared, shared), lambda: make("four")) == b"four"
    assert apart.items[1] == shared.items[1]
    monkeypatch.setenv("CUTPLAN_CACHE", "off")
    assert by_content("picture", (shared, shared), lambda: make("five")) == b"five"
    assert made == ["one", "three", "four", "five"]


def test_the_drawings_of_pieces_are_inputs(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    more = '[[piece]]\nname = "gusset"\ndrawing = "gusset.dxf"\n[moved]\nstudy = "study.toml"\n'
    job.write_text(JOB.replace('shape = "rectangle"', 'drawing = "plate.dxf"') + more)
    (tmp_path / "shop.toml").write_text('units = "mm"\n')
    names = [p.name for p in input_files(job)]
    assert names == ["job.toml", "plate.dxf", "study.toml", "gusset.dxf", "shop.toml"]
    job.write_text("[[[")
    assert [p.name for p in input_files(tmp_path)] == ["job.toml", "shop.toml"]


class _Poison:
    """A part of the results that may not be looked at."""

    def __getattribute__(self, name: str) -> Any:
        raise AssertionError(f"it was read: {name}")


@pytest.mark.slow
@pytest.mark.parametrize("sample", ["van-nose-mount", "buggy-doubler"])
def test_what_is_kept_reads_neither_paper_nor_templates(sample: str) -> None:
    from cutplan.report.previews import plan_previews
    from cutplan.report.report import KEPT, SECTIONS
    from cutplan.sheets.job_sheet import annex_chapters, work_chapters
    from cutplan.sheets.localised import localised
    from cutplan.sheets.page import Builder, Passage

    job = read_job(ROOT / "sample_parts" / sample / "job.toml")
    job = replace(job, welding=replace(job.welding, orders=20))
    whole = plans(job, Shop(), remember=False)
    hidden = with_parts(whole.job, {"paper": _Poison(), "origin.findings": _Poison()})
    poisoned = replace(whole, job=hidden, templates=_Poison(), findings=())
    lang = job.shown.language
    for ident in KEPT:
        build = dict(SECTIONS)[ident]
        assert build(localised(poisoned, lang), lang) == build(localised(whole, lang), lang), ident
    assert plan_previews(poisoned) == plan_previews(whole)

    def chapters(results: Results) -> list[Passage]:
        b = Builder(job, Shop(), lang)  # the size of the bench's paper is in the name under which they are kept
        b.job = results.job
        said = localised(results, lang)
        return [b.passage(lambda: work_chapters(b, said, "ISO")), b.passage(lambda: annex_chapters(b, said))]

    assert chapters(poisoned) == chapters(whole)


@pytest.mark.slow
def test_an_unchanged_job_and_another_paper_load_little(tmp_path: Path) -> None:
    """The bounds on time are wide: another run on the machine must not make this red; paper is half of so small a job."""
    (tmp_path / "job.toml").write_text(JOB)
    _called(tmp_path)  # compiles the sources, as a user's Python did long ago
    shutil.rmtree(tmp_path / "cache"), shutil.rmtree(tmp_path / "out")
    calls = {}
    for name, text in (("first", JOB), ("unchanged", JOB), ("paper", JOB + '[paper]\nsize = "A3"\n')):
        (tmp_path / "job.toml").write_text(text)
        calls[name] = _called(tmp_path)
    # only the map of a steering study is drawn with matplotlib
    assert calls["first"][1] == {"numpy", "scipy", "shapely", "ezdxf", "reportlab", "PIL"}
    assert calls["unchanged"][1] == set()
    assert calls["paper"][1] == {"numpy", "shapely", "reportlab", "PIL"}
    assert calls["unchanged"][0] < 0.15 * calls["first"][0] and calls["paper"][0] < 0.75 * calls["first"][0]
    summary = json.loads((tmp_path / "out" / "summary.json").read_text())
    assert summary["templates"]["paper"] == "A3"


def _called(folder: Path) -> tuple[float, set[str]]:
    environment = {**os.environ, "CUTPLAN_CACHE": str(folder / "cache"), "PYTHONPATH": str(ROOT)}
    environment["PYTHONPYCACHEPREFIX"] = str(folder / "compiled")
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    command = [sys.executable, "-c", _RUN, "make", "job.toml", "-o", "out"]
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=True)
    code, seconds, *loaded = done.stdout.splitlines()[-1].split()
    assert code == "0"
    return float(seconds), set(loaded)
