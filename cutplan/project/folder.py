"""A set of documents written so that a folder holds the whole old set or the whole new one, never a mixture.

The new set is written to a hidden folder beside the output folder, flushed to disk, and then the two folders change
places in one step where the system offers it (Linux), else by two renames with recovery at the next call. Files of
the user's in the output folder are carried over. A lock file keeps two runs apart; the system frees it when a
process dies.
"""

from __future__ import annotations

import contextlib
import ctypes
import errno
import hashlib
import json
import os
import shutil
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from cutplan.errors import OutputError

MANIFEST = "manifest.json"


def checksums(documents: Mapping[str, bytes]) -> dict[str, str]:
    """Return the SHA-256 of each document, by name."""
    return {name: hashlib.sha256(data).hexdigest() for name, data in sorted(documents.items())}


def manifest_bytes(documents: Mapping[str, bytes], inputs: str = "") -> bytes:
    """Return the manifest: every document of a set with its checksum, and the checksum of what it was made from."""
    text = json.dumps({"documents": checksums(documents), "inputs": inputs}, indent=1, sort_keys=True)
    return (text + "\n").encode()


def made_from(folder: Path) -> str:
    """Return the checksum of the inputs that the folder's set was made from; empty when unknown."""
    try:
        return str(json.loads((folder / MANIFEST).read_text(encoding="utf-8"))["inputs"])
    except (OSError, ValueError, KeyError, TypeError):
        return ""


def read_manifest(folder: Path) -> dict[str, str]:
    """Return the checksums that the folder's manifest holds; empty when there is none."""
    try:
        data = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        found = data["documents"]
        return {str(k): str(v) for k, v in found.items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return {}


def faults(folder: Path) -> list[str]:
    """Return what differs between a folder and its manifest: names of missing or changed documents."""
    wrong = []
    for name, digest in read_manifest(folder).items():
        path = folder / name
        if not path.is_file() or hashlib.sha256(path.read_bytes()).hexdigest() != digest:
            wrong.append(name)
    return wrong


def write_set(folder: Path, documents: Mapping[str, bytes], inputs: str = "") -> None:
    """Replace the documents in a folder by a new set, all or nothing.

    Parameters
    ----------
    folder : Path
        Output folder; made when missing.
    documents : mapping of str to bytes
        Contents by name; a name may have one folder before it (``previews/plate.png``).
    inputs : str
        Checksum of what the set was made from, kept in the manifest.

    Raises
    ------
    OutputError
        When the set cannot be written; what was there before is untouched.
    """
    folder = Path(os.path.abspath(folder))
    if folder.is_symlink():
        raise OutputError("the output folder is a link", str(folder), "name a real folder with -o")
    if folder.exists() and not folder.is_dir():
        raise OutputError("the output is a file, not a folder", str(folder), "name another folder with -o")
    if folder.parent == folder or (folder.exists() and folder.samefile(Path.cwd())):
        raise OutputError(
            "the output cannot be the current folder itself", str(folder), "use a folder inside it: -o output"
        )
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with _locked(folder):
            _recover(folder)
            fresh = _beside(folder, "new")
            shutil.rmtree(fresh, ignore_errors=True)
            try:
                _stage(fresh, documents, inputs)
                _carry_over(folder, fresh, set(documents))
                _swap(folder, fresh)
            except BaseException:
                if folder.exists():
                    shutil.rmtree(fresh, ignore_errors=True)
                raise
            _move_user_folders(fresh, folder)
            shutil.rmtree(fresh, ignore_errors=True)
    except OutputError:
        raise
    except OSError as error:
        reason = "the disk is full" if error.errno == errno.ENOSPC else (error.strerror or str(error))
        raise OutputError(
            f"the documents could not be written ({reason}); what was there before is unchanged",
            str(folder),
            "free space, close programs that hold the files, or name another folder with -o",
        ) from None


def write_file(path: Path, data: bytes) -> None:
    """Write one file through a temporary one and a rename, so that it is the old or the new one whole."""
    temporary = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            _write(temporary, data)
            os.replace(temporary, path)
        finally:
            with contextlib.suppress(OSError):
                temporary.unlink()
    except OSError as error:
        raise OutputError(
            f"the file could not be written ({error.strerror or error}); what was there before is unchanged",
            str(path),
            "check the folder and free space",
        ) from None


def _beside(folder: Path, what: str) -> Path:
    return folder.with_name(f".{folder.name}.{what}")


def _write(path: Path, data: bytes) -> None:
    with open(path, "wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _stage(fresh: Path, documents: Mapping[str, bytes], inputs: str) -> None:
    for name, data in [*documents.items(), (MANIFEST, manifest_bytes(documents, inputs))]:
        path = fresh / name
        path.parent.mkdir(parents=True, exist_ok=True)
        _write(path, data)


def _carry_over(folder: Path, fresh: Path, names: set[str]) -> None:
    """Take the user's own files along: everything at the top that neither set wrote (folders are moved after)."""
    if not folder.exists():
        return
    ours = {*names, *read_manifest(folder), MANIFEST}
    for entry in sorted(folder.iterdir()):
        if entry.name not in ours and not entry.is_dir() and not (fresh / entry.name).exists():
            try:
                os.link(entry, fresh / entry.name, follow_symlinks=False)
            except (OSError, NotImplementedError):
                shutil.copy2(entry, fresh / entry.name, follow_symlinks=False)


def _move_user_folders(old: Path, folder: Path) -> None:
    """After the swap: bring over folders of the user's, and their files inside a folder of ours."""
    if not old.is_dir():
        return
    ours = {*read_manifest(old), MANIFEST}
    for entry in sorted(old.iterdir()):
        if not entry.is_dir() or entry.is_symlink():
            continue
        target = folder / entry.name
        if not target.exists():
            if any(name.startswith(entry.name + "/") for name in ours):
                target.mkdir()
            else:
                os.rename(entry, target)
                continue
        for inner in sorted(entry.iterdir()):
            if f"{entry.name}/{inner.name}" not in ours and not (target / inner.name).exists():
                os.rename(inner, target / inner.name)
        with contextlib.suppress(OSError):
            target.rmdir()  # only when nothing was left for it


def _swap(folder: Path, fresh: Path) -> None:
    """Put the fresh folder in the place of the old one; afterwards ``fresh`` holds the old set, if there was one."""
    if not folder.exists():
        os.rename(fresh, folder)
    elif not _exchange(folder, fresh):
        old = _beside(folder, "old")
        shutil.rmtree(old, ignore_errors=True)
        os.rename(folder, old)
        os.rename(fresh, folder)
        os.rename(old, fresh)


def _exchange(a: Path, b: Path) -> bool:
    """Exchange two folders in one step; False where the system cannot."""
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
    if code in (errno.ENOSYS, errno.EINVAL, errno.ENOTSUP):
        return False
    raise OSError(code, os.strerror(code))


def _recover(folder: Path) -> None:
    """Mend what a killed run left: a missing folder comes back, leftovers of the user's are kept."""
    fresh, old = _beside(folder, "new"), _beside(folder, "old")
    if not folder.exists() and old.exists():
        os.rename(old, folder)
    if folder.exists() and fresh.is_dir() and read_manifest(fresh) and not faults(fresh):
        _move_user_folders(fresh, folder)
    if folder.exists() and old.is_dir():
        _move_user_folders(old, folder)
        shutil.rmtree(old, ignore_errors=True)


@contextlib.contextmanager
def _locked(folder: Path) -> Iterator[None]:
    """Hold the lock of one output folder; a second run is refused at once."""
    path = _beside(folder, "lock")
    with open(path, "a+b") as stream:
        if not _try_lock(stream):
            raise OutputError(
                "another run is writing this folder now", str(folder), "wait for it, or name another folder with -o"
            )
        try:
            yield
        finally:
            with contextlib.suppress(OSError):
                path.unlink()


def _try_lock(stream: Any) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(stream.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
