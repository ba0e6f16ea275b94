"""The new set in the place of the old one in a single step of the system: two folders change places.

What the user keeps in the folder is in both, as the same files under hard links, before they change places; so it is in
its place at every moment. Afterwards the old folder is taken apart: what is also in the new one or was ours goes, and
anything else is brought over.
"""

from __future__ import annotations

import contextlib
import ctypes
import errno
import os
import shutil
import sys
from collections.abc import Mapping
from pathlib import Path

from cutplan.project.folder import stage
from cutplan.project.folder.manifest import MANIFEST, is_manifest, matches, read_manifest

#: More entries of the user's than this are not linked one by one; the set is then written in place.
_MOST_ENTRIES = 5000


class CannotSwap(Exception):
    """The folder cannot change places with another; nothing was done."""


def swap_in(folder: Path, documents: Mapping[str, bytes], inputs: str) -> None:
    """Replace the set in a folder by folders changing places.

    Raises
    ------
    CannotSwap
        When the folder is one that must stay (mount point, current folder, another's), holds what cannot be linked,
        or the system has no such step.
    OSError
        When the disk is full or fails; the old set is in place then.
    """
    there = folder.exists()
    if there and not _may_move(folder):
        raise CannotSwap
    fresh = beside(folder)
    try:
        stage.begin(fresh)
    except PermissionError:
        raise CannotSwap from None
    try:
        if there:
            _like(folder, fresh)
        stage.fill(fresh, documents, inputs)
        if there:
            _carry(folder, fresh)
        stage.finish(fresh)
    except BaseException:
        with contextlib.suppress(OSError):
            stage.discard(fresh)
        raise
    try:
        if not there:
            os.rename(fresh, folder)
        elif not _exchange(folder, fresh):
            raise CannotSwap
    finally:
        if fresh.exists():
            rescue(fresh, folder)


def beside(folder: Path) -> Path:
    """Return the hidden folder in which a new set is put together."""
    return folder.with_name(f".{folder.name}.new")


def recover(folder: Path) -> None:
    """Mend what a killed run left beside a folder: what is the user's comes back, what is ours goes."""
    for left in (beside(folder), folder.with_name(f".{folder.name}.old")):
        if left.is_symlink() or not left.is_dir():
            continue
        if (left / stage.MARKER).exists():
            stage.discard(left)
        else:
            rescue(left, folder)


def rescue(left: Path, folder: Path) -> None:
    """Take a folder apart: remove what is also in ``folder`` or listed in its own manifest, bring the rest over."""
    listed = read_manifest(left)
    for top, dirs, files in os.walk(left, topdown=False):
        for name in sorted([*files, *(d for d in dirs if os.path.islink(os.path.join(top, d)))]):
            path = Path(top, name)
            rel = path.relative_to(left).as_posix()
            if rel == MANIFEST and is_manifest(left):
                continue  # needed until the end
            if _same(path, folder / rel) or (rel in listed and matches(path, listed[rel])):
                path.unlink()
            else:
                target = _free(folder / rel)
                target.parent.mkdir(parents=True, exist_ok=True)
                os.rename(path, target)
        for name in sorted(dirs):
            path = Path(top, name)
            if path.is_symlink() or not path.is_dir():
                continue
            rel = path.relative_to(left).as_posix()
            if not any(doc.startswith(rel + "/") for doc in listed):
                (folder / rel).mkdir(parents=True, exist_ok=True)  # an empty folder of the user's
            path.rmdir()
    if is_manifest(left):
        (left / MANIFEST).unlink()
    left.rmdir()


def _may_move(folder: Path) -> bool:
    here = os.path.realpath(os.curdir) if _has_current() else ""
    real = os.path.realpath(folder)
    inside = here == real or here.startswith(real + os.sep)
    mine = not hasattr(os, "getuid") or folder.stat().st_uid == os.getuid()
    return not inside and mine and not os.path.ismount(folder) and os.access(folder.parent, os.W_OK)


def _has_current() -> bool:
    try:
        os.getcwd()
    except OSError:
        return False
    return True


def _like(old: Path, new: Path) -> None:
    """Give a new folder the group, mode and attributes of the old one."""
    found = old.stat()
    if hasattr(os, "chown") and new.stat().st_gid != found.st_gid:
        try:
            os.chown(new, -1, found.st_gid)
        except OSError:
            raise CannotSwap from None
    shutil.copystat(old, new)


def _carry(old: Path, new: Path) -> None:
    """Put everything of the user's in the new folder too: files as the same file, folders and links made alike."""
    listed = read_manifest(old)
    ours = is_manifest(old)
    folders: list[tuple[Path, Path]] = []
    count = 0
    for top, dirs, files in os.walk(old):
        for name in sorted([*dirs, *files]):
            path = Path(top, name)
            rel = path.relative_to(old).as_posix()
            target = new / rel
            count += 1
            if count > _MOST_ENTRIES or os.path.ismount(path):
                raise CannotSwap
            if path.is_dir() and not path.is_symlink():
                if not any(doc.startswith(rel + "/") for doc in listed):
                    target.mkdir(exist_ok=True)
                    folders.append((path, target))
            elif not ((rel == MANIFEST and ours) or (rel in listed and matches(path, listed[rel]))):
                _link(path, target)
    for path, target in reversed(folders):
        if hasattr(os, "getuid") and path.stat().st_uid != os.getuid():
            raise CannotSwap
        _like(path, target)


def _link(path: Path, target: Path) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if path.is_symlink():
            os.symlink(os.readlink(path), target)
        else:
            os.link(path, target)
    except OSError as error:
        if error.errno == errno.ENOSPC:
            raise
        raise CannotSwap from None


def _same(a: Path, b: Path) -> bool:
    """Whether two names are one file, or two links to one place."""
    if not os.path.lexists(b):
        return False
    if a.is_symlink() or b.is_symlink():
        return a.is_symlink() and b.is_symlink() and os.readlink(a) == os.readlink(b)
    return os.path.samefile(a, b)


def _free(path: Path) -> Path:
    """Return a path that nothing stands at: the path itself, or one with a number."""
    n, free = 1, path
    while os.path.lexists(free):
        n += 1
        free = path.with_name(f"{path.stem} (kept {n}){path.suffix}")
    return free


def _exchange(a: Path, b: Path) -> bool:
    """Let two folders change places in one step; False where the system cannot."""
    if not sys.platform.startswith("linux"):
        return False
    try:
        renameat2 = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    at_cwd, rename_exchange = -100, 2
    result = renameat2(at_cwd, os.fsencode(a), at_cwd, os.fsencode(b), ctypes.c_uint(rename_exchange))
    if result == 0:
        return True
    code = ctypes.get_errno()
    if code in (errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EBUSY, errno.EXDEV):
        return False
    raise OSError(code, os.strerror(code))
