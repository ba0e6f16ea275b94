"""A new set written whole and flushed to disk, before anything of the old one is touched."""

from __future__ import annotations

import os
import shutil
from collections.abc import Mapping
from pathlib import Path

from cutplan.project.folder.manifest import MANIFEST, manifest_bytes

#: Lies in a staging folder until the set in it is whole; all beside it was put there by this program.
MARKER = ".unfinished"


def begin(fresh: Path) -> None:
    """Make an empty staging folder with its marker; an unfinished one of before is cleared."""
    if (fresh / MARKER).exists():
        discard(fresh)
    os.mkdir(fresh)
    write(fresh / MARKER, b"")


def fill(fresh: Path, documents: Mapping[str, bytes], inputs: str) -> None:
    """Write every document, then the manifest."""
    for name, data in [*documents.items(), (MANIFEST, manifest_bytes(documents, inputs))]:
        path = fresh / name
        path.parent.mkdir(parents=True, exist_ok=True)
        write(path, data)


def finish(fresh: Path) -> None:
    """Say that the set is whole."""
    os.unlink(fresh / MARKER)


def discard(fresh: Path) -> None:
    """Remove an unfinished staging folder; its marker goes last, so that a later call can go on."""
    for entry in sorted(fresh.iterdir()):
        if entry.name == MARKER:
            continue
        if entry.is_dir() and not entry.is_symlink():
            shutil.rmtree(entry)
        else:
            entry.unlink()
    (fresh / MARKER).unlink(missing_ok=True)
    fresh.rmdir()


def write(path: Path, data: bytes) -> None:
    """Write a file and flush it to disk."""
    with open(path, "wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())
