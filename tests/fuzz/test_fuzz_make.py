"""Random jobs over the whole declared range through ``make``: documents or a reason, never a fault of the program.

A sample runs with the slow tests; ``CUTPLAN_FUZZ_JOBS=200`` tries as many as asked, from ``CUTPLAN_FUZZ_SEED`` on. The
long run with its table is ``benchmarks/fuzz_make.py``.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from oracles.told_fault import is_fault
from random_jobs import random_job

from cutplan.errors import CutplanError
from cutplan.project.folder.manifest import faults
from cutplan.project.make import make

COUNT = int(os.environ.get("CUTPLAN_FUZZ_JOBS", "6"))
FIRST = int(os.environ.get("CUTPLAN_FUZZ_SEED", "0"))


def test_the_same_seed_gives_the_same_job() -> None:
    assert all(random_job(n) == random_job(n) for n in range(40))
    kinds = [random_job(n)["job.toml"] for n in range(200)]
    for word in (b"survey", b"through =", b"mirror =", b"drawing =", b"[[flange]]", b"[[tube]]", b"[[piece]]", b"slot_length",
                 b'units = "in"', b'"roll"', b'"custom"', b'"lap"', b"unwelded", b"[[skin.rib]]", b"kerf ="):  # fmt: skip
        assert any(word in text for text in kinds), word


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(FIRST, FIRST + COUNT))
def test_a_random_job_is_made_or_refused_in_words(seed: int, tmp_path: Path) -> None:
    for name, data in random_job(seed, 500.0).items():
        (tmp_path / name).write_bytes(data)
    try:
        made = make(tmp_path / "job.toml", tmp_path / "out")
    except CutplanError as error:
        assert str(error.message) and not (tmp_path / "out").exists()
        return
    assert faults(tmp_path / "out") == [] and made.written
    assert [str(f.message) for f in made.findings if is_fault(f)] == []
