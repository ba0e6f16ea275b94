"""Single files that the user names with ``-o``: written once, and replaced only when they are still as we wrote them."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable
from pathlib import Path

from cutplan.errors import OutputError
from cutplan.project.folder.manifest import checksum
from cutplan.project.folder.write import write_file
from cutplan.project.planned.places import cache_folder
from cutplan.texts import say

#: Checksums of the files written that are remembered; the oldest go first.
_MOST = 2000


def write_own(path: Path, data: bytes, inputs: Iterable[Path] = (), known: Iterable[str] = ()) -> None:
    """Write one file; one that stands there is replaced only when this program wrote it and nobody changed it since.

    Parameters
    ----------
    path : Path
        File to write.
    data : bytes
        Its content.
    inputs : iterable of Path
        Files that this run reads and must never write.
    known : iterable of str
        Checksums of files of ours that are known from elsewhere.

    Raises
    ------
    OutputError
        When another file stands there, or it cannot be written; what was there before is untouched.
    """
    refuse_others(path, [checksum(data), *known])
    write_file(path, data, inputs)
    _remember(checksum(data))


def refuse_others(path: Path, known: Iterable[str] = ()) -> None:
    """Raise an error when a file stands at a path that this program did not write, or that was changed since.

    Parameters
    ----------
    path : Path
        File to be written.
    known : iterable of str
        Checksums of files of ours that are known from elsewhere.

    Raises
    ------
    OutputError
        Before anything is computed, let alone written.
    """
    if os.path.lexists(path) and not _ours(path, known):
        raise OutputError(
            say(
                "a file that this program did not write, or that was changed since, is there already: it is not replaced"
            ),
            str(path),
            say("choose another name, or move that file away"),
        )


def _ours(path: Path, known: Iterable[str]) -> bool:
    try:
        there = checksum(path.read_bytes()) if path.is_file() else ""  # a pipe or a device is not waited for
    except OSError:
        return False
    return bool(there) and (there in set(known) or there in _remembered())


def _list() -> Path | None:
    folder = cache_folder()
    return folder / "written" if folder else None


def _remembered() -> list[str]:
    path = _list()
    try:
        return path.read_text(encoding="ascii").split() if path else []
    except (OSError, ValueError):
        return []


def _remember(digest: str) -> None:
    path = _list()
    if path is not None:
        kept = [d for d in _remembered() if d != digest][-_MOST + 1 :]
        with contextlib.suppress(OutputError):
            write_file(path, "\n".join([*kept, digest, ""]).encode())
