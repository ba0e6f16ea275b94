"""One piece of long work in a process of its own: how far it is, how it ended, and a way to end it."""

from __future__ import annotations

import contextlib
import multiprocessing
import threading
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any

from cutplan.errors import CutplanError
from cutplan.texts import ENGLISH, Message, Reader, say

Progress = Callable[[str, int, int], None]
#: How long a process is given to end [s].
_PATIENCE_S = 5.0


class Process:
    """Work that goes on beside the page; every method is safe to call from several threads.

    Parameters
    ----------
    work : callable
        A function of a module, called with a progress callback and ``args``; its answer comes back pickled.
    args : tuple
        What it works on.
    read : Reader
        Whose words errors are in.
    """

    def __init__(self, work: Callable[..., Any], args: tuple[Any, ...], read: Reader = ENGLISH) -> None:
        self._guard = threading.Lock()
        self._step, self._done, self._total = "", 0, 1
        self._error: dict[str, str] | None = None
        self._answer: Any = None
        self._ended = self._cancelled = False
        context = multiprocessing.get_context("spawn")
        self._pipe, theirs = context.Pipe(duplex=False)
        self._process = context.Process(target=_run, args=(theirs, work, args, read), daemon=True)
        self._process.start()
        theirs.close()
        threading.Thread(target=self._listen, daemon=True).start()

    @property
    def answer(self) -> Any:
        """What the work came to; None as long as it goes on, and when it did not come to an end."""
        with self._guard:
            return self._answer

    def cancel(self) -> None:
        """End the work, if it is going on; what it would have written is not written."""
        with self._guard:
            if self._ended:
                return
            self._cancelled = True
        self._process.terminate()
        self._process.join(_PATIENCE_S)

    def state(self) -> dict[str, Any]:
        """Return how far the work is, as plain data."""
        with self._guard:
            return {
                "running": not self._ended and self._answer is None,
                "step": self._step,
                "done": self._done,
                "total": self._total,
                "error": self._error,
                "cancelled": self._cancelled,
            }

    def _listen(self) -> None:
        """Take what the process says until it ends."""
        with contextlib.suppress(EOFError, OSError):
            while True:
                kind, content = self._pipe.recv()
                with self._guard:
                    if kind == "progress":
                        self._step, self._done, self._total = content
                    elif kind == "error":
                        self._error = content
                    else:
                        self._answer = content
        self._process.join(2.0 * _PATIENCE_S)
        with self._guard:
            if self._answer is None and self._error is None and not self._cancelled:
                self._error = {"message": "", "where": "", "try": ""}
            self._ended = True
        self._pipe.close()


def _run(pipe: Connection, work: Callable[..., Any], args: tuple[Any, ...], read: Reader) -> None:
    """Work in the process beside: say how far it is, then the answer or the error."""

    def progress(step: str, done: int, total: int) -> None:
        pipe.send(("progress", (step, done, total)))

    try:
        pipe.send(("answer", work(progress, *args)))
    except CutplanError as error:
        pipe.send(("error", _told(error, read)))
    except (MemoryError, RecursionError):
        lack = CutplanError(say("the job needs more memory or depth than there is"), "", say("use a simpler drawing"))
        pipe.send(("error", _told(lack, read)))
    finally:
        pipe.close()


def _told(error: CutplanError, read: Callable[[Message | str], str]) -> dict[str, str]:
    return {"message": read(error.message), "where": read(error.where), "try": read(error.hint)}
