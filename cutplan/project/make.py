"""Make the documents of one job into its folder; what one trade or document cannot give is said, the rest is made."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from cutplan.project.planned.fingerprint import checksum_of
from cutplan.project.run.documents import chosen
from cutplan.project.run.inputs import content, input_files
from cutplan.project.run.made import Made, Progress, no_progress
from cutplan.project.run.unchanged import unchanged


def make(
    job_path: Path,
    folder: Path,
    only: Iterable[str] = (),
    shop_path: Path | None = None,
    progress: Progress = no_progress,
    cores: int = 1,
) -> Made:
    """Make the documents of one job into a folder, all or nothing.

    Parameters
    ----------
    job_path : Path
        Job file, or the folder that holds ``job.toml``.
    folder : Path
        Output folder.
    only : iterable of str
        Names of the documents wanted; empty for all. Documents of an earlier run stay only when they were made from
        the same job, drawing and shop file.
    shop_path : Path or None
        Shop file; None: beside the job, else in the user's configuration folder.
    progress : callable
        Called with (step, done, total).
    cores : int
        Processors that may be used; with two the weld plan and the previews are made beside the rest.

    Returns
    -------
    Made
        What a trade or a document could not give stands in its findings as an error ``not-computed``; everything else
        is made.

    Raises
    ------
    JobError
        When the job itself has errors, or nothing that was asked for can be made; nothing is written then.
    CutplanError
        When the writing fails; what was there before is untouched.
    """
    makers = chosen(only)
    read = input_files(job_path, shop_path)
    made_of = checksum_of(*(content(path) for path in read))
    same = unchanged(folder, [m.name for m in makers], made_of, read)
    if same is not None:
        return same
    from cutplan.project.run.afresh import Task, afresh

    return afresh(Task(job_path, folder, makers, shop_path, read, made_of), progress, cores)
