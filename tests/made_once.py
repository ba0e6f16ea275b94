"""Expensive results that several files of tests look at: made once in a run, whichever of its processes comes first."""

from __future__ import annotations

import os
import pickle
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import TypeVar

T = TypeVar("T")

#: The variable that names the run's own folder, which all its processes share.
FOLDER = "CUTPLAN_TESTS_MADE"


@contextmanager
def alone(path: Path) -> Iterator[None]:
    """Let one process at a time work at what a file names; the others wait until it is done."""
    try:
        from fcntl import LOCK_EX, flock
    except ImportError:  # no such locks here: each process makes its own, and the last one's stays
        yield
        return
    with open(path, "ab") as held:
        flock(held, LOCK_EX)
        yield


def made_once(name: str, make: Callable[[], T]) -> T:
    """Return what a name stands for: read if a process of this run has made it, else made now, and kept for the others.

    Parameters
    ----------
    name : str
        Name of the thing, with everything that it is made of.
    make : callable
        Makes it; what it gives must be picklable.
    """
    if FOLDER not in os.environ:
        return make()
    kept = Path(os.environ[FOLDER]) / sha256(name.encode()).hexdigest()
    with alone(kept.with_suffix(".lock")):
        if kept.exists():
            return pickle.loads(kept.read_bytes())  # type: ignore[no-any-return]  # this run's own
        result = make()
        new = kept.with_suffix(".new")  # whole or not at all, should the process be stopped here
        new.write_bytes(pickle.dumps(result, pickle.HIGHEST_PROTOCOL))
        new.replace(kept)
    return result


def shared(make: Callable[..., T]) -> Callable[..., T]:
    """Let a function be called once in a run with the same arguments; they and its own name are the name of its result."""

    @cache
    def once(*given: object) -> T:
        return made_once(f"{make.__module__}.{make.__qualname__}{given!r}", lambda: make(*given))

    return once
