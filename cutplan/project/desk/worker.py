"""Long work in a process of its own: with progress, to be cancelled, never in the way of the next change."""

from __future__ import annotations

import contextlib
import multiprocessing
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any, Literal

from cutplan.errors import CutplanError
from cutplan.texts import ENGLISH, Message, Reader, say

#: look: the plans and what is shown of them. documents: the set written as well.
Task = Literal["look", "documents"]


@dataclass(slots=True)
class _Run:
    """One piece of work: what it is for, how far it is, and how it ended."""

    task: Task
    version: str
    process: BaseProcess
    pipe: Connection
    step: str = ""
    done: int = 0
    total: int = 1
    error: dict[str, Any] | None = None
    ended: bool = False
    cancelled: bool = False
    answer: dict[str, Any] | None = None
    pictures: dict[str, bytes] = field(default_factory=dict)


class Worker:
    """Does one long work at a time and remembers the last that came to an end."""

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._now: _Run | None = None
        self._last: _Run | None = None

    def start(self, task: Task, job: Path, folder: Path, version: str, read: Reader = ENGLISH) -> None:
        """Begin a work; one that is still going is cancelled first.

        Parameters
        ----------
        task : {"look", "documents"}
            Only the plans, or the documents as well.
        job, folder : Path
            Job file, and where documents go.
        version : str
            Checksum of the job file that the answer will be about.
        read : Reader
            Whose words errors are in.
        """
        self.cancel()
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe(duplex=False)
        process = context.Process(target=_work, args=(theirs, task, str(job), str(folder), read), daemon=True)
        process.start()
        theirs.close()
        run = _Run(task, version, process, ours)
        with self._guard:
            self._now = run
        threading.Thread(target=self._listen, args=(run,), daemon=True).start()

    def cancel(self) -> None:
        """End the work that is going on, if there is one; what it would have written is not written."""
        with self._guard:
            run = self._now
            if run is None or run.ended:
                return
            run.cancelled = True
        run.process.terminate()
        run.process.join(5.0)

    def state(self) -> dict[str, Any]:
        """Return how far the work is, and the last answer with the version that it is about."""
        with self._guard:
            run, last = self._now, self._last
            return {
                "running": run is not None and not run.ended,
                "task": run.task if run else "",
                "step": run.step if run else "",
                "done": run.done if run else 0,
                "total": run.total if run else 1,
                "error": run.error if run else None,
                "cancelled": bool(run and run.cancelled),
                "answer": last.answer if last else None,
                "about": last.version if last else "",
            }

    def picture(self, name: str) -> bytes | None:
        """Return one picture of the last answer."""
        with self._guard:
            return self._last.pictures.get(name) if self._last else None

    def _listen(self, run: _Run) -> None:
        """Take what the process says until it ends."""
        with contextlib.suppress(EOFError, OSError):
            while True:
                kind, content = run.pipe.recv()
                with self._guard:
                    if kind == "progress":
                        run.step, run.done, run.total = content
                    elif kind == "error":
                        run.error = content
                    else:
                        run.answer, run.pictures = content
                        self._last = run
        run.process.join(10.0)
        with self._guard:
            if run.answer is None and run.error is None and not run.cancelled:
                run.error = {"message": "", "where": "", "try": ""}
            run.ended = True
        run.pipe.close()


def _work(pipe: Connection, task: Task, job: str, folder: str, read: Reader) -> None:
    """Work in the process beside: say how far it is, then the answer or the error."""

    def progress(step: str, done: int, total: int) -> None:
        pipe.send(("progress", (step, done, total)))

    try:
        pipe.send(("answer", _answer(task, Path(job), Path(folder), progress)))
    except CutplanError as error:
        pipe.send(("error", _told(error, read)))
    except (MemoryError, RecursionError):
        lack = CutplanError(say("the job needs more memory or depth than there is"), "", say("use a simpler drawing"))
        pipe.send(("error", _told(lack, read)))
    finally:
        pipe.close()


def _told(error: CutplanError, read: Callable[[Message | str], str]) -> dict[str, str]:
    return {"message": read(error.message), "where": read(error.where), "try": read(error.hint)}


def _answer(
    task: Task, job_path: Path, folder: Path, progress: Callable[[str, int, int], None]
) -> tuple[dict[str, Any], dict[str, bytes]]:
    from cutplan.project.desk.screens import screens
    from cutplan.project.make import make
    from cutplan.project.planned.beside import usable_cores
    from cutplan.project.planned.plans import load, plans

    made = make(job_path, folder, progress=progress, cores=usable_cores()) if task == "documents" else None
    results = made.results if made is not None else None
    if results is None:
        job, shop = load(job_path)
        results = plans(job, shop, progress=progress, cores=usable_cores())
    progress("pictures", 0, 1)
    answer, pictures = screens(results)
    answer["task"] = task
    return answer, pictures
