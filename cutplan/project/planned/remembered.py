"""Plans remembered between runs, by the checksum of the program and of everything that the plan depends on.

A remembered plan is never older than its inputs: its name is their checksum, with the program's own sources and the
libraries in it. The folder may be deleted at any time. A file that is damaged, or not this user's, counts as none.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from cutplan.project.planned.fingerprint import checksum_of
from cutplan.project.planned.places import cache_folder

T = TypeVar("T")

#: Most bytes that are kept; the plans used least lately go first.
MOST_BYTES = 200_000_000
#: A plan larger than this is not kept [bytes].
_LARGEST = 40_000_000


def recall(key: str) -> tuple[bool, Any]:
    """Return whether a result is remembered for a key, and the result.

    Parameters
    ----------
    key : str
        Checksum of everything the result depends on.
    """
    folder = cache_folder()
    return _read(_path(folder, key)) if folder else (False, None)


def remembered(key: str, compute: Callable[[], T]) -> T:
    """Return what was computed for a key before, or compute it now and remember it.

    Parameters
    ----------
    key : str
        Checksum of everything the result depends on.
    compute : callable
        Gives the result; its errors are not remembered.
    """
    found, result = recall(key)
    if found:
        return result  # type: ignore[no-any-return]
    result = compute()
    folder = cache_folder()
    if folder:
        _keep(_path(folder, key), result)
    return result


def by_content(what: str, things: object, make: Callable[[], T]) -> T:
    """Return what was made of the very same things before, or make it now and remember it.

    Parameters
    ----------
    what : str
        Name of what is made, with everything but the things that changes it, such as a resolution.
    things : object
        All that it is made of, picklable; like things count as the same, whoever made them.
    make : callable
        Makes it; its errors are not remembered.
    """
    if cache_folder() is None:
        return make()
    written = io.BytesIO()
    pickler = pickle.Pickler(written, pickle.HIGHEST_PROTOCOL)
    pickler.fast = True  # each thing is written out where it stands: equal things give equal bytes
    pickler.dump(things)
    return remembered(checksum_of(what.encode(), written.getvalue()), make)


def _path(folder: Path, key: str) -> Path:
    return folder / "plans" / f"{key}.plan"


def _read(path: Path) -> tuple[bool, Any]:
    """Return whether a sound plan is kept there, and the plan."""
    try:
        with open(path, "rb") as stream:
            if hasattr(os, "getuid") and os.fstat(stream.fileno()).st_uid != os.getuid():
                return False, None
            data = stream.read(_LARGEST + 64)
        if hashlib.sha256(data[32:]).digest() != data[:32]:
            return False, None
        result = pickle.loads(data[32:])  # written by this user's own run of this very program
        os.utime(path)
    except Exception:  # of whatever kind: it is computed again
        return False, None
    return True, result


def _keep(path: Path, result: object) -> None:
    """Write a plan, whole or not at all, and make room; a full disk or an odd plan only means that none is kept."""
    with contextlib.suppress(Exception):
        data = pickle.dumps(result, pickle.HIGHEST_PROTOCOL)
        if len(data) > _LARGEST:
            return
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        temporary = path.with_suffix(f".{os.getpid()}.new")
        try:
            temporary.write_bytes(hashlib.sha256(data).digest() + data)
            os.replace(temporary, path)
        finally:
            temporary.unlink(missing_ok=True)
        _make_room(path.parent)


def _make_room(folder: Path) -> None:
    kept = sorted(((f.stat().st_mtime, f.stat().st_size, f) for f in folder.iterdir()), reverse=True)
    total = 0
    for _, size, path in kept:
        total += size
        if total > MOST_BYTES:
            path.unlink(missing_ok=True)
