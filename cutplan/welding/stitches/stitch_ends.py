"""Where stitches of a job begin or end: known before their order is, and no place for the pierce of a torch."""

from __future__ import annotations

from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.welding.settings.machine import settings_for
from cutplan.welding.stitches.along import place
from cutplan.welding.stitches.joint import weld_joint
from cutplan.welding.stitches.split import split_joint


def stitch_ends(job: Job) -> tuple[Point, ...]:
    """Return the places on the plate's outline where a stitch begins or ends [mm].

    Parameters
    ----------
    job : Job
        The job.

    Raises
    ------
    CutplanError
        When the joint cannot be planned.
    """
    settings = settings_for(job.joint.kind, min(job.plate.thickness_mm, job.skin.thickness_mm), job.welding)
    stitches = split_joint(weld_joint(job, settings), job.welding.stitch_mm)
    outline = job.plate.outline
    whole = outline.length
    ends = sorted({round(along % whole, 6) for s in stitches for along in (s.start_mm, s.end_mm)})
    return tuple(place(outline, along) for along in ends)
