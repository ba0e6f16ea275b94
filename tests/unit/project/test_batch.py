"""A batch: folders told apart, each job under its limits, one that fails or dies ends alone, and it can be resumed."""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path

import pytest

from cutplan.errors import UsageError
from cutplan.project import batch
from cutplan.project.batch import Limits, Outcome, folders, make_many

JOB = """
units = "mm"
title = "small plate"
[plate]
shape = "rectangle"
width = 120
height = 90
thickness = 3
[skin]
thickness = 2.5
"""


def test_every_job_has_a_folder_of_its_own(tmp_path: Path) -> None:
    jobs = [Path(n) for n in ("g1.toml", "x/g1.toml", "g1-2.toml", "a/b/job.toml")]
    found = folders([tmp_path / j for j in jobs], Path("out"))
    assert len({str(f).casefold() for f in found}) == 4
    assert found[2:4] == [Path("out/g1-2"), Path("out/b")] and found[1] == Path("out/x-g1")
    with pytest.raises(UsageError, match="twice"):
        folders([tmp_path / "g1.toml", tmp_path / "x" / ".." / "g1.toml"], Path("out"))
    near = folders([tmp_path / "x" / "g1.toml", tmp_path / "y" / "g1.toml", tmp_path / "x-g1.toml"], Path("out"))
    assert len({str(f) for f in near}) == 3  # x-g1 is taken, so one folder more is named
    with pytest.raises(UsageError, match="told apart"):  # one folder where letters count alike
        folders([tmp_path / "g1.toml", tmp_path / "G1.toml"], Path("out"))


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="kills by signal")
def test_a_batch_is_a_ledger(tmp_path: Path) -> None:
    names = ["a", "b", "c"]
    for name in names:
        (tmp_path / f"{name}.toml").write_text(JOB)
    (tmp_path / "broken.toml").write_text('units = "mm"\n')
    jobs = [tmp_path / f"{n}.toml" for n in ("broken", *names)]
    only = ["plate-net", "summary"]
    running = make_many(jobs, tmp_path / "out", only, workers=2)
    first = next(running)
    running.close()  # stopped by the user after the first
    states = {Path(o.job).stem: o.state for o in make_many(jobs, tmp_path / "out", only, workers=2)}
    assert states["broken"] == "failed" and Path(first.job).stem in states
    assert {states[n] for n in names} <= {"made", "unchanged"}
    (tmp_path / "b.toml").write_text(JOB + 'note = "new"\n'.replace("note", "[marks]\nside_out"))
    again = {Path(o.job).stem: o.state for o in make_many(jobs, tmp_path / "out", only, workers=1)}
    assert again == {"broken": "failed", "a": "unchanged", "b": "made", "c": "unchanged"}


@pytest.mark.skipif(sys.platform == "win32", reason="kills by signal")
@pytest.mark.parametrize("end", ["killed", "hung"])
def test_a_worker_that_dies_or_hangs_ends_one_job_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, end: str
) -> None:
    class Fake(batch._Worker):
        """A worker whose first job goes wrong."""

        count = 0

        def give(self, task: tuple[str, str, tuple[str, ...], str | None]) -> None:
            super().give(task)
            if "bad" in task[0]:
                if end == "killed":
                    os.kill(self.process.pid or 0, signal.SIGKILL)
                else:
                    self.since -= 1e6

    monkeypatch.setattr(batch, "_Worker", Fake)
    for name in ("bad", "good"):
        (tmp_path / f"{name}.toml").write_text('units = "mm"\n')
    done = list(make_many([tmp_path / "bad.toml", tmp_path / "good.toml"], tmp_path / "out", limits=Limits(300.0)))
    assert [Path(o.job).stem for o in done] == ["bad", "good"]
    assert ("ended before" if end == "killed" else "longer than") in str(done[0].error)
    assert "title" in str(done[1].error)  # it was read, by a new worker


@pytest.mark.slow
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="memory is limited on Linux only")
def test_memory_is_limited(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(JOB)
    (outcome,) = make_many([tmp_path / "a.toml"], tmp_path / "out", limits=Limits(300.0, 250))
    assert isinstance(outcome, Outcome) and outcome.state in ("failed", "partly")
