"""The study of the steering that a job follows, answered at the job's own shift."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from cutplan.findings import Finding
from cutplan.pattern.job import Job

if TYPE_CHECKING:
    from cutplan.linkage.places.placed import Placed


def folder_of(job_path: Path) -> Path:
    """Return the folder that a job lies in."""
    job_path = Path(job_path)
    return job_path if job_path.is_dir() else job_path.parent


def study_file(job: Job, folder: Path) -> Path | None:
    """Return the study file that a job follows, beside the job, or None."""
    return folder / job.origin.moved.study if job.origin.moved is not None and job.origin.moved.study else None


def steering(job: Job, folder: Path) -> Placed | None:
    """Return the answer to the study that a job follows, at the job's own shift; None where it follows none.

    The builder has chosen the place: a wish given up there is a warning, and what the gear does now is a note.

    Raises
    ------
    JobError
        When the study cannot be read.
    """
    path = study_file(job, folder)
    if path is None or job.origin.moved is None:
        return None
    from cutplan.linkage.places.placed import place
    from cutplan.linkage.read_study import read_study

    placed = place(read_study(path), job.origin.moved.shift_mm)
    return replace(placed, findings=tuple(_softer(f) for f in placed.findings))


def _softer(finding: Finding) -> Finding:
    if finding.code == "place-wish-missed":
        return replace(finding, severity="warning")
    if finding.code == "place-now-over-centre":
        return replace(finding, severity="note", fix="")
    return finding
