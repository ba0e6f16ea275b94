"""Pictures of a cardboard template, kept aside until somebody has looked at the outline found in them."""

from __future__ import annotations

import contextlib
import re
import shutil
from pathlib import Path
from typing import Any

from cutplan.errors import CutplanError, LimitError, OutputError, UsageError
from cutplan.project.folder.write import write_file
from cutplan.project.trace import MOST_PICTURES
from cutplan.texts import name, number, say

#: Folder beside the jobs that holds them; nothing in it is a job.
ASIDE = ".pictures"
#: Kinds of picture by their first bytes, with the ending that their file gets.
_KINDS = ((b"\xff\xd8\xff", ".jpg"), (b"\x89PNG\r\n\x1a\n", ".png"), (b"II*\x00", ".tif"), (b"MM\x00*", ".tif"))


def pictures(room: Path) -> list[Path]:
    """Return the pictures kept aside, in the order in which they came."""
    folder = room / ASIDE
    found = [p for p in folder.iterdir() if p.is_file() and _place(p)] if folder.is_dir() else []
    return sorted(found, key=_place)


def listed(room: Path) -> list[dict[str, Any]]:
    """Return the pictures kept aside as plain data: ``name`` and ``bytes``."""
    return [{"name": p.name, "bytes": p.stat().st_size} for p in pictures(room)]


def put_picture(room: Path, called: str, data: bytes) -> str:
    """Keep a picture aside under a safe name, and return that name.

    Raises
    ------
    CutplanError
        When it is no picture, too large or too small, or there are enough already.
    """
    from cutplan.photo.picture import read_picture

    there = pictures(room)
    if len(there) >= MOST_PICTURES:
        raise LimitError(say("at most {most} pictures of one card are taken", most=number(MOST_PICTURES)), called[:60])
    ending = next((e for head, e in _KINDS if data.startswith(head)), "")
    if not ending:
        raise UsageError(
            say("this is no picture that can be read"), called[:60], say("use JPEG, PNG or TIFF as the camera wrote it")
        )
    stem = re.sub(r"[^A-Za-z0-9_-]+", "-", Path(called.replace("\\", "/")).stem).strip("-")[:40] or "picture"
    place = max((_place(p) for p in there), default=0) + 1
    path = room / ASIDE / f"{place:02d}-{re.sub(r'^[0-9]{2}-', '', stem)}{ending}"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise OutputError(
            say("the picture could not be kept ({why})", why=name(fault.strerror or fault)), ASIDE
        ) from None
    write_file(path, data)
    try:
        read_picture(path)
    except CutplanError as fault:
        path.unlink(missing_ok=True)
        fault.where = called[:60]
        raise
    return path.name


def drop_picture(room: Path, called: str) -> None:
    """Take one picture away; nothing happens when it is gone already."""
    for path in pictures(room):
        if path.name == called:
            path.unlink(missing_ok=True)


def clear(room: Path) -> None:
    """Take all pictures away."""
    with contextlib.suppress(OSError):
        shutil.rmtree(room / ASIDE)


def _place(path: Path) -> int:
    found = re.match(r"(\d{2,3})-", path.name)
    return int(found[1]) if found else 0
