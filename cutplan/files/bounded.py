"""A file read up to a bound: what has no end (a device) or no writer (a pipe with a name) is not read on for ever."""

from __future__ import annotations

import errno
from pathlib import Path
from stat import S_ISFIFO


def bounded_bytes(path: Path, most: int) -> bytes:
    """Return the bytes of a file, one more than the bound where it is longer.

    Parameters
    ----------
    path : Path
        The file; what a shell gives under ``/dev`` (``/dev/stdin``) is read too.
    most : int
        Most bytes that the caller takes [1].

    Raises
    ------
    OSError
        When it cannot be read, or is a pipe with a name, which would be waited for.
    """
    if S_ISFIFO(path.stat().st_mode) and not str(path).startswith("/dev/"):
        raise OSError(errno.ESPIPE, "a pipe with a name")
    with path.open("rb") as stream:
        return stream.read(most + 1)
