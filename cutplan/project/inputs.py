"""The files that a run on a job reads, which it must never write, and their content for a checksum."""

from __future__ import annotations

from pathlib import Path

from cutplan.files.job.shop import find_shop
from cutplan.files.traced import account_path
from cutplan.pattern.job import Job
from cutplan.project.steering import study_file

#: Largest drawing or job that the checksum of the inputs reads [bytes]; the readers refuse larger ones anyway.
_LARGEST_INPUT = 256 * 1024 * 1024


def shop_file(job_path: Path, shop_path: Path | None = None) -> Path | None:
    """Return the shop file that a job uses: the one named, else beside the job, else the user's; None: none."""
    job_path = Path(job_path)
    return shop_path or find_shop(job_path if job_path.is_dir() else job_path.parent)


def input_files(job_path: Path, job: Job, shop_path: Path | None = None) -> tuple[Path, ...]:
    """Return the files that a run reads: job file, drawing with the account of a tracing, study of the steering, shop file."""
    job_path = Path(job_path)
    job_file = job_path / "job.toml" if job_path.is_dir() else job_path
    drawing = job_file.parent / job.drawing if job.drawing else None
    account = account_path(drawing) if drawing is not None and job.traced is not None else None
    study = study_file(job, job_file.parent)
    return tuple(p for p in (job_file, drawing, account, study, shop_file(job_path, shop_path)) if p is not None)


def content(path: Path) -> bytes:
    """Return the bytes of an input; none when it is not there."""
    try:
        return path.read_bytes() if path.is_file() and path.stat().st_size < _LARGEST_INPUT else b""
    except OSError:
        return b""
