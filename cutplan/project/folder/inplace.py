"""A set written into a folder that must stay where it is: a mount point, the current folder, somebody else's.

The new set is put together in a hidden folder inside and flushed to disk; then its documents are renamed over the old
ones, the manifest last. A run that is killed while renaming is finished by the next one. The user's own files are never
touched.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Mapping
from pathlib import Path

from cutplan.project.folder import stage
from cutplan.project.folder.manifest import MANIFEST, is_manifest, matches, read_manifest

#: Name of the hidden folder.
STAGING = ".new-set"


def write_in_place(folder: Path, documents: Mapping[str, bytes], inputs: str) -> None:
    """Replace the set in a folder, document by document.

    Raises
    ------
    OSError
        When the disk is full or fails before the first document is replaced; the old set is in place then.
    """
    fresh = folder / STAGING
    stage.begin(fresh)
    try:
        stage.fill(fresh, documents, inputs)
        stage.finish(fresh)
    except BaseException:
        with contextlib.suppress(OSError):
            stage.discard(fresh)
        raise
    _commit(folder, fresh)


def finish_in_place(folder: Path) -> None:
    """Finish what a killed run began in a folder: a whole set is put in place, an unfinished one removed."""
    fresh = folder / STAGING
    if fresh.is_symlink() or not fresh.is_dir():
        return
    if (fresh / stage.MARKER).exists() or not is_manifest(fresh):
        stage.discard(fresh)
    else:
        _commit(folder, fresh)


def _commit(folder: Path, fresh: Path) -> None:
    new, old = read_manifest(fresh), read_manifest(folder)
    for name in new:
        staged, target = fresh / name, folder / name
        if not staged.exists():
            continue  # put in place by the run that was killed
        if os.path.lexists(target) and not (name in old and matches(target, old[name])):
            staged.unlink()  # the user's, put there meanwhile
            continue
        target.parent.mkdir(parents=True, exist_ok=True)
        os.replace(staged, target)
    for name, digest in old.items():
        if name not in new and matches(folder / name, digest):
            (folder / name).unlink()
            with contextlib.suppress(OSError):
                (folder / name).parent.rmdir()  # only when it is empty
    os.replace(fresh / MANIFEST, folder / MANIFEST)
    for top, dirs, _ in os.walk(fresh, topdown=False):
        for name in dirs:
            Path(top, name).rmdir()
    fresh.rmdir()
