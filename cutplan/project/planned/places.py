"""The user's folder for what can be made again: remembered results, and the checksums of single files written."""

from __future__ import annotations

import os
import sys
from pathlib import Path


def cache_folder() -> Path | None:
    """Return the folder for results that may be deleted at any time (``CUTPLAN_CACHE`` overrides it; ``off``: none).

    It is made private to the user when missing; None where it cannot be made or belongs to somebody else, and nothing is
    remembered then.
    """
    if os.environ.get("CUTPLAN_CACHE") == "off":
        return None
    try:
        folder = _named()
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        found = folder.stat()
    except (OSError, RuntimeError):
        return None
    if hasattr(os, "getuid") and (found.st_uid != os.getuid() or found.st_mode & 0o022):
        return None
    return folder


def _named() -> Path:
    """Return where the system keeps such folders.

    Raises
    ------
    RuntimeError
        When the user has no home.
    """
    if os.environ.get("CUTPLAN_CACHE"):
        return Path(os.environ["CUTPLAN_CACHE"])
    if sys.platform == "win32" and os.environ.get("LOCALAPPDATA"):
        return Path(os.environ["LOCALAPPDATA"]) / "cutplan" / "cache"
    if os.environ.get("XDG_CACHE_HOME"):
        return Path(os.environ["XDG_CACHE_HOME"]) / "cutplan"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / "cutplan"
    return Path.home() / ".cache" / "cutplan"
