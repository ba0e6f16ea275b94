"""What can be known about a job before anything is made: shapes, pads, ribs, brace, joint and directions."""

from __future__ import annotations

from functools import lru_cache

from cutplan.errors import CutplanError
from cutplan.findings import Finding, errors
from cutplan.geometry.check import check_region
from cutplan.geometry.contour import Contour
from cutplan.geometry.vector import Box
from cutplan.pattern.checks.check_bolts import bolts_near_holes
from cutplan.pattern.checks.check_held import brace_findings, pad_findings
from cutplan.pattern.checks.check_joint import joint_findings
from cutplan.pattern.checks.check_lap import lap_findings
from cutplan.pattern.checks.check_names import name_findings
from cutplan.pattern.checks.check_recess import recess_findings
from cutplan.pattern.checks.check_ribs import rib_findings
from cutplan.pattern.checks.check_traced import traced_findings
from cutplan.pattern.checks.check_walls import wall_findings
from cutplan.pattern.directions import direction_findings
from cutplan.pattern.job import Job
from cutplan.pattern.opening import opening_line

#: A shape that has not changed is not checked again: a job is checked at every change of anything in it.
_of_shape = lru_cache(maxsize=4)(check_region)


def check_job(job: Job) -> tuple[Finding, ...]:
    """Return every doubt about a job that needs no plan: errors first come from shapes, then pads, ribs and joint.

    Returns
    -------
    tuple of Finding
        Each with its key path and what to try.
    """
    findings: list[Finding] = [*_of_shape(job.plate.region), *recess_findings(job)]
    if errors(findings):  # an opening beside a faulty outline would be told as a fault of its own
        return tuple(findings)
    try:
        opening = opening_line(job)
    except CutplanError as error:
        return (*findings, Finding("opening-impossible", "error", error.message, error.where, error.hint))
    findings += pad_findings(job)
    findings += name_findings(job)
    findings += rib_findings(job, skin_box(job, opening))
    findings += wall_findings(job)
    findings += brace_findings(job)
    findings += joint_findings(job)
    findings += lap_findings(job, opening)
    findings += bolts_near_holes(job)
    findings += direction_findings(job.marks)
    findings += traced_findings(job)
    return tuple(findings)


def skin_box(job: Job, opening: Contour) -> Box:
    """Return the outline of the skin between the side walls of the pressed box [mm]."""
    b, w = opening.box, job.skin.walls
    return Box(b.xmin - w.left_mm, b.ymin - w.bottom_mm, b.xmax + w.right_mm, b.ymax + w.top_mm)
