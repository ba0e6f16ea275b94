"""Many jobs side by side: each in its own folder, under limits of time and memory, told as soon as it is done.

A job that fails, hangs, needs too much memory or takes its whole process down ends alone. A batch that was stopped goes
on where it was: what is made already and unchanged is passed over.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from multiprocessing import get_context
from multiprocessing.connection import Connection, wait
from pathlib import Path
from typing import Any

from cutplan.errors import CutplanError, UsageError
from cutplan.findings import errors
from cutplan.texts import Message, code, every, name, number, say


@dataclass(frozen=True, slots=True)
class Limits:
    """What one job of a batch may take: time [s] and memory [MB]."""

    time_s: float = 600.0
    memory_mb: int = 4000


@dataclass(frozen=True, slots=True)
class Outcome:
    """How one job of a batch ended.

    Parameters
    ----------
    job, folder : str
        The job as it was named, and its output folder.
    state : str
        ``made``, ``unchanged``, ``partly`` (something could not be made) or ``failed``.
    figures : tuple of Message
        The figures that matter most.
    error : Message or str
        What went wrong; empty when nothing did.
    seconds : float
        Time taken [s].
    """

    job: str
    folder: str
    state: str
    figures: tuple[Message, ...] = ()
    error: Message | str = ""
    seconds: float = 0.0

    @property
    def ok(self) -> bool:
        """Whether everything asked for is there."""
        return self.state in ("made", "unchanged")


def folders(jobs: Sequence[Path], folder: Path) -> list[Path]:
    """Return a folder below ``folder`` for every job: its name, with its own folders' names where two are alike.

    Raises
    ------
    UsageError
        When two jobs are one file, or cannot be told apart by name.
    """
    from cutplan.project.run.made import job_name

    real = [os.path.realpath(j / "job.toml" if j.is_dir() else j) for j in jobs]
    for i, path in enumerate(real):
        if path in real[:i]:
            raise UsageError(say("a job is named twice"), str(jobs[i]), say("name each job once"))
    names = [job_name(j) for j in jobs]
    parts = [[*Path(p).parts[1 : -1 - (Path(p).name == "job.toml")], n] for p, n in zip(real, names, strict=True)]
    alike = {n.casefold() for n in names if sum(n.casefold() == o.casefold() for o in names) > 1}
    for depth in range(2, 8):
        again = ["-".join(p[-depth:]) if n.casefold() in alike else n for p, n in zip(parts, names, strict=True)]
        if len({n.casefold() for n in again}) == len(again):
            return [folder / n for n in again]
        if not alike:
            break
    both = [str(j) for j, n in zip(jobs, names, strict=True) if n.casefold() in alike] or [str(j) for j in jobs]
    raise UsageError(
        say("jobs cannot be told apart by their names: {jobs}", jobs=every([name(j) for j in both[:6]])),
        "cutplan make",
        say("rename one of the job files, or make them in two calls with {option}", option=code("-o")),
    )


def make_many(
    jobs: Sequence[Path],
    folder: Path,
    only: Sequence[str] = (),
    shop_path: Path | None = None,
    workers: int = 1,
    limits: Limits = Limits(),
) -> Iterator[Outcome]:
    """Make many jobs and give each outcome as soon as it is known, in the order in which they end.

    Parameters
    ----------
    jobs : sequence of Path
        Job files, or folders that hold ``job.toml``.
    folder : Path
        Output folder; every job gets one of its own below it.
    only : sequence of str
        Names of the documents wanted; empty for all.
    shop_path : Path or None
        Shop file for all jobs.
    workers : int
        Jobs made side by side [1].
    limits : Limits
        Of one job.

    Raises
    ------
    UsageError
        When jobs cannot be told apart.
    """
    targets = folders(jobs, folder)
    tasks = [
        (str(j), str(t), tuple(only), str(shop_path) if shop_path else None) for j, t in zip(jobs, targets, strict=True)
    ]
    waiting = list(reversed(tasks))
    crew: list[_Worker] = []
    try:
        while waiting or any(w.task for w in crew):
            while waiting and len(crew) < max(1, workers):
                crew.append(_Worker(limits))
            for worker in crew:
                if worker.task is None and waiting:
                    worker.give(waiting.pop())
            ready = wait([w.pipe for w in crew if w.task], timeout=0.2)
            for worker in list(crew):
                outcome = worker.outcome(worker.pipe in ready)
                if outcome is not None:
                    yield outcome
                if worker.gone:
                    crew.remove(worker)
    finally:
        for worker in crew:
            worker.stop()


class _Worker:
    """A second process that makes one job after the other."""

    def __init__(self, limits: Limits) -> None:
        context = get_context("spawn")
        here, there = context.Pipe()
        self.limits, self.pipe, self.gone = limits, here, False
        self.task: tuple[str, str, tuple[str, ...], str | None] | None = None
        self.since = 0.0
        self.process = context.Process(target=_work, args=(there, limits.memory_mb), daemon=True)
        self.process.start()
        there.close()

    def give(self, task: tuple[str, str, tuple[str, ...], str | None]) -> None:
        self.task, self.since = task, time.monotonic()
        self.pipe.send(task)

    def outcome(self, answered: bool) -> Outcome | None:
        """Return how the task ended, or None while it goes on; a worker that died or was stopped is gone."""
        if self.task is None:
            return None
        took = time.monotonic() - self.since
        failed = Outcome(self.task[0], self.task[1], "failed", seconds=took)
        if answered:
            try:
                done: Outcome = self.pipe.recv()
            except (EOFError, OSError):
                self.stop()
                done = replace(failed, error=say("its process ended before the job was done"))
            self.task = None
            return replace(done, seconds=took)
        if took > self.limits.time_s:
            self.stop()
            limit = number(self.limits.time_s / 60.0, "min")
            return replace(failed, error=say("it took longer than the limit of {limit}", limit=limit))
        return None

    def stop(self) -> None:
        self.gone, self.task = True, None
        self.process.kill()
        self.process.join()
        self.pipe.close()


def _work(pipe: Connection, memory_mb: int) -> None:
    """Make jobs until the pipe closes."""
    _limit(memory_mb)
    while True:
        try:
            job, target, only, shop = pipe.recv()
        except (EOFError, OSError, KeyboardInterrupt):
            return
        pipe.send(_one(job, target, only, shop))


def _limit(memory_mb: int) -> None:
    """Ask the system to refuse more memory than this to the process."""
    if sys.platform.startswith("linux"):
        import resource

        limit = memory_mb * 1_000_000
        resource.setrlimit(resource.RLIMIT_AS, (limit, limit))


def _one(job: str, target: str, only: tuple[str, ...], shop: str | None) -> Outcome:
    from cutplan.project.make import make

    try:
        made = make(Path(job), Path(target), only, Path(shop) if shop else None)
    except CutplanError as error:
        return Outcome(job, target, "failed", (), str(error))
    except MemoryError:
        return Outcome(job, target, "failed", (), say("it needs more memory than the limit allows"))
    except Exception as error:
        detail = name(" ".join(str(error).split())[:200])
        kind: Any = code(type(error).__name__)
        return Outcome(
            job, target, "failed", (), say("the program failed in it ({kind}: {detail})", kind=kind, detail=detail)
        )
    bad = errors(made.findings)
    state = "partly" if bad else "unchanged" if made.results is None else "made"
    return Outcome(job, target, state, made.figures, bad[0].message if bad else "")
