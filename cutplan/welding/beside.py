"""The metal beside the weld whose section the pull of a bead compresses."""

from __future__ import annotations

from cutplan.pattern.job import Job
from cutplan.pattern.skin import WALL_SIDES


def beside_mm2(job: Job, share: float = 1.0) -> float:
    """Return the section of the metal beside the weld, half the plate and the skin up to the nearest wall [mm2].

    Parameters
    ----------
    job : Job
        The job
    share : float
        Factor on the distances to walls that nobody measured [1]
    """
    walls, box = job.skin.walls, job.plate.outline.box
    nearest = min(walls.mm(side) * (share if side in walls.assumed else 1.0) for side in WALL_SIDES)
    return 0.5 * min(box.width, box.height) * job.plate.thickness_mm + nearest * job.skin.thickness_mm
