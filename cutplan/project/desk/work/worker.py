"""The plans and documents of the job on the desk, worked out beside the page; the last answer stays until a new one."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any, Literal

from cutplan.project.desk.work.process import Process, Progress
from cutplan.texts import ENGLISH, Reader

#: look: the plans and what is shown of them. documents: the set written as well.
Task = Literal["look", "documents"]
_Answer = tuple[dict[str, Any], dict[str, bytes]]


class Worker:
    """Does one long work at a time and remembers the last that came to an end."""

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._now: tuple[Task, str, Process] | None = None
        self._last: tuple[str, _Answer] | None = None

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
        self._settle()
        begun = Process(_work, (task, str(job), str(folder)), read)
        with self._guard:
            self._now = task, version, begun

    def cancel(self) -> None:
        """End the work that is going on, if there is one; what it would have written is not written."""
        with self._guard:
            now = self._now
        if now is not None:
            now[2].cancel()

    def state(self) -> dict[str, Any]:
        """Return how far the work is, and the last answer with the version that it is about."""
        told = self._told()
        last = self._settle()
        return {**told, "answer": last[1][0] if last else None, "about": last[0] if last else ""}

    def picture(self, name: str) -> bytes | None:
        """Return one picture of the last answer."""
        last = self._settle()
        return last[1][1].get(name) if last else None

    def _told(self) -> dict[str, Any]:
        with self._guard:
            now = self._now
        if now is None:
            return {"task": "", "running": False, "step": "", "done": 0, "total": 1, "error": None, "cancelled": False}
        return {"task": now[0], **now[2].state()}

    def _settle(self) -> tuple[str, _Answer] | None:
        """Keep the answer of a work that has come to an end, and return the last."""
        with self._guard:
            if self._now is not None and (answer := self._now[2].answer) is not None:
                self._last = self._now[1], answer
            return self._last


def _work(progress: Progress, task: Task, job: str, folder: str) -> _Answer:
    from cutplan.project.desk.work.screens import screens
    from cutplan.project.make import make
    from cutplan.project.planned.beside import usable_cores
    from cutplan.project.planned.plans import load, plans

    made = make(Path(job), Path(folder), progress=progress, cores=usable_cores()) if task == "documents" else None
    results = made.results if made is not None else None
    if results is None:
        wanted, shop = load(Path(job))
        results = plans(wanted, shop, progress=progress, cores=usable_cores())
    progress("pictures", 0, 1)
    answer, pictures = screens(results)
    answer["task"] = task
    return answer, pictures
