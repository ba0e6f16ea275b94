"""A process is known everywhere the day its record is added."""

from pathlib import Path

import pytest
from cut_jobs import job_of, sample_holes

from cutplan.cutting.plan import plan_cut
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import CUT_PROCESSES
from cutplan.tables.cutting.cut_process import PROCESSES, process_word
from cutplan.tables.cutting.holes import HAND_PROCESSES, RULES, TABLE_PROCESSES
from cutplan.texts import Reader

DOCS = Path(__file__).parents[3] / "docs"
JOB = Path(__file__).parents[3] / "cutplan" / "files" / "job"


def test_every_list_of_processes_is_the_record_s_own() -> None:
    assert tuple(PROCESSES) == CUT_PROCESSES
    assert {*TABLE_PROCESSES, *HAND_PROCESSES} == set(PROCESSES) and set(RULES) == set(TABLE_PROCESSES)
    page = (DOCS / "job-file.md").read_text()
    assert ", ".join(f'`"{p}"`' for p in PROCESSES) in page
    # what reads and offers the keys takes its list from the record
    assert [f.name for f in JOB.rglob("*.py") if "waterjet" in f.read_text(encoding="utf-8")] == []


@pytest.mark.parametrize("process", PROCESSES)
def test_every_process_has_words_and_a_plan(process: str) -> None:
    facts = PROCESSES[process]
    assert facts.by_hand == (facts.lead is None)
    assert str(process_word(process)) == process
    assert Reader("de")(facts.word) != process
    plan = plan_cut(job_of(sample_holes(), process=process, kerf_mm=None), Shop())
    assert plan.proof.proved and plan.by_hand == facts.by_hand
