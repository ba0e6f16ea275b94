"""Work done in a second process beside this one, where the system can divide a process; else done when it is asked for.

The second process starts with everything this one has loaded, so nothing is loaded or handed over twice; what it gives
back comes through a pipe. If it dies on the way, the work is done here after all.
"""

from __future__ import annotations

import ctypes
import os
import pickle
import signal
import sys
import threading
from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T")

#: Option of prctl(2): the signal that comes when the parent ends.
_DEATH_SIGNAL = 1


def usable_cores() -> int:
    """Return the number of processors that this process may use."""
    return len(os.sched_getaffinity(0)) if sys.platform == "linux" else os.cpu_count() or 1


def beside(work: Callable[[], T], cores: int) -> Callable[[], T]:
    """Start a work of its own beside this process and return a function that waits for what it gives.

    Parameters
    ----------
    work : callable
        Without effects beyond its answer, which must be picklable; the same errors are raised on waiting.
    cores : int
        Processors that may be used; with one, the work is done when it is waited for.
    """
    if cores < 2 or sys.platform != "linux" or threading.active_count() > 1:
        return work
    reading, writing = os.pipe()
    try:
        child = os.fork()
    except OSError:  # no room for a second process
        os.close(reading)
        os.close(writing)
        return work
    if child == 0:
        _answer(work, reading, writing)
    os.close(writing)

    def wait() -> T:
        with os.fdopen(reading, "rb") as stream:
            data = stream.read()
        os.waitpid(child, 0)
        try:
            done, answer = pickle.loads(data)  # from our own child
        except Exception:  # it was killed before it had sent all
            return work()
        if not done:
            raise answer
        return answer  # type: ignore[no-any-return]

    return wait


def _answer(work: Callable[[], T], reading: int, writing: int) -> None:
    """Do the work, send what it gives, and end this process without any clean-up that belongs to the other."""
    try:
        os.close(reading)
        _end_with_parent()
        try:
            answer: tuple[bool, object] = True, work()
        except Exception as error:
            answer = False, error
        with os.fdopen(writing, "wb") as stream:
            stream.write(pickle.dumps(answer, pickle.HIGHEST_PROTOCOL))
    finally:
        os._exit(0)


def _end_with_parent() -> None:
    """Ask the system to end this process when the one that waits for it is gone."""
    libc = ctypes.CDLL(None)
    if hasattr(libc, "prctl"):
        libc.prctl(_DEATH_SIGNAL, int(signal.SIGKILL), 0, 0, 0)
