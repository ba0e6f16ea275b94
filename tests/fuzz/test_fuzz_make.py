"""Random jobs over the whole declared range through ``make``: documents or a reason, never a fault of the program.

Two jobs run with the slow tests; ``CUTPLAN_FUZZ_JOBS=200`` tries as many as asked, from ``CUTPLAN_FUZZ_SEED`` on.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from random_jobs import random_job

from cutplan.errors import CutplanError
from cutplan.project.folder.manifest import faults
from cutplan.project.make import make
from cutplan.project.planned.attempt import NOT_COMPUTED

COUNT = int(os.environ.get("CUTPLAN_FUZZ_JOBS", "6"))
FIRST = int(os.environ.get("CUTPLAN_FUZZ_SEED", "0"))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(FIRST, FIRST + COUNT))
def test_a_random_job_is_made_or_refused_in_words(seed: int, tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(random_job(seed, 500.0))
    try:
        made = make(tmp_path / "job.toml", tmp_path / "out")
    except CutplanError as error:
        assert str(error.message) and not (tmp_path / "out").exists()
        return
    assert faults(tmp_path / "out") == [] and made.written
    crashed = [str(f.message) for f in made.findings if f.code == NOT_COMPUTED and "program failed" in str(f.message)]
    assert crashed == []
