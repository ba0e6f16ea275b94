"""What one run of a job wrote, and how a job is called; nothing heavy is loaded for it."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from cutplan.findings import Finding, errors
from cutplan.texts import Message

if TYPE_CHECKING:
    from cutplan.sheets.results import Results

#: Called with (step, done, total).
Progress = Callable[[str, int, int], None]


def no_progress(step: str, done: int, total: int) -> None:
    """Say nothing."""


@dataclass(frozen=True, slots=True)
class Made:
    """What one run wrote.

    Parameters
    ----------
    folder : Path
        The output folder.
    written, kept : tuple of str
        Documents made now, and those of an earlier run from the very same inputs.
    figures : tuple of str
        The figures that matter most.
    findings : tuple of Finding
        Everything noticed, in words of the job; errors say what could not be made.
    results : Results or None
        The plans behind the documents; None when the folder held this very set already.
    """

    folder: Path
    written: tuple[str, ...]
    kept: tuple[str, ...]
    figures: tuple[Message, ...]
    findings: tuple[Finding, ...]
    results: Results | None

    @property
    def whole(self) -> bool:
        """Whether everything asked for was made."""
        return not errors(self.findings)


def job_name(job_path: Path) -> str:
    """Return the short name of a job: its folder's name for ``job.toml``, else the file's own."""
    path = Path(os.path.abspath(job_path))
    if path.is_dir():
        return path.name
    return path.parent.name if path.name == "job.toml" else path.stem
