"""Where the shop file lies: beside the job, else in the user's configuration folder."""

from __future__ import annotations

import os
import sys
from pathlib import Path

SHOP_FILE = "shop.toml"


def user_folder() -> Path:
    """Return the user's configuration folder for cutplan (``CUTPLAN_CONFIG`` overrides it)."""
    if os.environ.get("CUTPLAN_CONFIG"):
        return Path(os.environ["CUTPLAN_CONFIG"])
    if sys.platform == "win32" and os.environ.get("APPDATA"):
        return Path(os.environ["APPDATA"]) / "cutplan"
    if os.environ.get("XDG_CONFIG_HOME"):
        return Path(os.environ["XDG_CONFIG_HOME"]) / "cutplan"
    try:
        return Path.home() / ".config" / "cutplan"
    except RuntimeError:  # a user without a home
        return Path(".cutplan")


def find_shop(job_folder: Path) -> Path | None:
    """Return the shop file beside the job, else in the user's configuration folder, else None."""
    for folder in (job_folder, user_folder()):
        try:
            if (folder / SHOP_FILE).is_file():
                return folder / SHOP_FILE
        except OSError:  # a folder that may not be looked into holds none
            continue
    return None
