"""Where the main sample lies: inside the package, so that a wheel brings it along."""

from __future__ import annotations

from pathlib import Path

import cutplan
from cutplan.errors import CutplanError
from cutplan.texts import say


def demo_job() -> Path:
    """Return the job file of the main sample.

    Raises
    ------
    CutplanError
        When the installation lacks it.
    """
    job = Path(cutplan.__file__).parent / "demo_part" / "job.toml"
    if not job.is_file():
        raise CutplanError(
            say("the main sample is missing from this installation"), str(job), say("install cutplan again")
        )
    return job
