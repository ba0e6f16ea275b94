"""Where the main sample lies: inside the installed package, or in the source tree."""

from __future__ import annotations

from pathlib import Path

import cutplan
from cutplan.errors import CutplanError

_NAME = "van-nose-mount"


def demo_job() -> Path:
    """Return the job file of the main sample.

    Raises
    ------
    CutplanError
        When the installation lacks it.
    """
    package = Path(cutplan.__file__).parent
    for folder in (package / "demo_part", package.parent / "sample_parts" / _NAME):
        if (folder / "job.toml").is_file():
            return folder / "job.toml"
    raise CutplanError("the main sample is missing from this installation", str(package), "install cutplan again")
