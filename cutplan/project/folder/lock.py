"""One run at a time in one output folder: a lock on a file that is never removed.

The system frees the lock when a process ends, however it ends. The file stays: were it removed, a waiting run would
hold a lock on a file that the next run no longer sees.
"""

from __future__ import annotations

import contextlib
import errno
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from cutplan.errors import OutputError
from cutplan.texts import code, name, say

#: Errors that say "somebody else holds it"; any other means that this file system has no locks.
_HELD = (errno.EWOULDBLOCK, errno.EAGAIN, errno.EACCES, errno.EDEADLK)


@contextlib.contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the lock of an output folder.

    Raises
    ------
    OutputError
        At once, when another run holds it, or when no folder can be made there.
    """
    folder = Path(os.path.realpath(folder))
    try:
        stream: Any = _opened(folder)
    except OSError as error:
        raise OutputError(
            say("nothing can be written there ({reason})", reason=name(error.strerror or str(error))),
            str(folder),
            say("name another folder with {option}", option=code("-o")),
        ) from None
    with stream:
        if not _try_lock(stream):
            raise OutputError(
                say("another run is writing this folder now"),
                str(folder),
                say("wait for it, or name another folder with {option}", option=code("-o")),
            )
        yield


def lock_path(folder: Path) -> Path:
    """Return where the lock of a folder lies: beside it, or inside where nothing can be written beside it."""
    beside = folder.with_name(f".{folder.name}.lock")
    outside = folder.parent != folder and not os.path.ismount(folder)
    writable = not folder.parent.exists() or os.access(folder.parent, os.W_OK)
    return beside if outside and writable else folder / ".lock"


def _opened(folder: Path) -> Any:
    path = lock_path(folder)
    path.parent.mkdir(parents=True, exist_ok=True)
    return open(path, "a+b")


def _try_lock(stream: Any) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(stream.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        return error.errno not in _HELD
    return True
