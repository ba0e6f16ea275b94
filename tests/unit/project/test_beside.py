"""Work beside this process gives the same as work in it, errors and a sudden death included."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from cutplan.errors import JobError
from cutplan.project.make import make
from cutplan.project.planned.beside import beside, usable_cores

ONLY_LINUX = pytest.mark.skipif(sys.platform != "linux", reason="a process is divided on Linux only")


@pytest.mark.parametrize("cores", [1, 2])
def test_the_answer_is_that_of_the_work(cores: int) -> None:
    assert beside(lambda: {"a": [1, 2.5], "b": b"x" * 1_000_000}, cores)() == {"a": [1, 2.5], "b": b"x" * 1_000_000}


@ONLY_LINUX
def test_with_two_cores_another_process_works() -> None:
    assert beside(os.getpid, 2)() != os.getpid()
    assert beside(os.getpid, 1)() == os.getpid()


@pytest.mark.parametrize("cores", [1, 2])
def test_an_error_is_raised_on_waiting(cores: int) -> None:
    def fails() -> None:
        raise JobError("no plate", "job.toml, plate", "draw one")

    wait = beside(fails, cores)
    with pytest.raises(JobError, match="no plate") as caught:
        wait()
    assert (caught.value.where, caught.value.hint) == ("job.toml, plate", "draw one")


@ONLY_LINUX
def test_what_a_killed_process_owed_is_made_here() -> None:
    here = os.getpid()

    def work() -> str:
        if os.getpid() != here:
            os.kill(os.getpid(), signal.SIGKILL)
        return "made here"

    assert beside(work, 2)() == "made here"


@ONLY_LINUX
def test_what_cannot_be_sent_is_made_here() -> None:
    assert beside(lambda: lambda: 7, 2)()() == 7


@ONLY_LINUX
def test_without_room_for_a_process_the_work_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    def full() -> int:
        raise BlockingIOError("no more processes")

    monkeypatch.setattr(os, "fork", full)
    assert beside(os.getpid, 2)() == os.getpid()


def test_processors_are_counted() -> None:
    assert usable_cores() >= 1


@ONLY_LINUX
def test_the_second_process_ends_with_the_first(tmp_path: Path) -> None:
    note = tmp_path / "number"
    code = (
        "import os, sys, time; from pathlib import Path; from cutplan.project.planned.beside import beside\n"
        "def work(): Path(sys.argv[1]).write_text(str(os.getpid())); time.sleep(60)\n"
        "beside(work, 2)()"
    )
    first = subprocess.Popen([sys.executable, "-c", code, str(note)])
    wait_until(lambda: note.exists() and note.read_text() != "")
    second = Path("/proc") / note.read_text()
    assert second.exists()
    first.kill()
    first.wait()
    wait_until(lambda: not second.exists() or (second / "stat").read_text().split()[2] == "Z")


def wait_until(done: Callable[[], bool]) -> None:
    end = time.monotonic() + 20.0
    while not done():
        assert time.monotonic() < end
        time.sleep(0.02)


@pytest.mark.slow
@pytest.mark.parametrize("language", ["en", "de"])
def test_one_processor_and_two_give_the_same_set(tmp_path: Path, language: str) -> None:
    sample = Path(__file__).resolve().parents[3] / "sample_parts" / "trailer-spring-hanger"
    job = tmp_path / "trailer"
    shutil.copytree(sample, job)
    text = (job / "job.toml").read_text(encoding="utf-8")
    (job / "job.toml").write_text(text.replace("title =", f'language = "{language}"\ntitle =', 1), encoding="utf-8")
    for cores in (1, 2):
        make(job, tmp_path / f"out{cores}", cores=cores)
    one, two = ((tmp_path / f"out{c}") for c in (1, 2))
    names = sorted(p.relative_to(one) for p in one.rglob("*") if p.is_file())
    assert names == sorted(p.relative_to(two) for p in two.rglob("*") if p.is_file())
    assert [n for n in names if (one / n).read_bytes() != (two / n).read_bytes()] == []
