"""Make the documents of one job into its folder; what one trade or document cannot give is said, the rest is made."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from cutplan.findings import Finding, errors
from cutplan.pattern.checks.check import check_job
from cutplan.pattern.checks.check_kerf import kerf_findings
from cutplan.project.documents import MAKERS, PREVIEWS, Maker, chosen
from cutplan.project.figures import figures
from cutplan.project.folder.lock import locked
from cutplan.project.folder.manifest import faults, made_from, matches, read_manifest
from cutplan.project.folder.write import prepare, replace_set
from cutplan.project.inputs import content, input_files
from cutplan.project.planned.attempt import attempt
from cutplan.project.planned.beside import beside
from cutplan.project.planned.fingerprint import checksum_of
from cutplan.project.planned.plans import Progress, load, no_progress, plans
from cutplan.project.steering import folder_of
from cutplan.project.words import refuse
from cutplan.sheets.results import Results
from cutplan.texts import Message, code, say

#: Mark in the checksum of a set in which something could not be made: such a set is tried again.
_PARTLY = "partly-"


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
    from cutplan.report.summary import summary

    makers = chosen(only)
    job, shop = load(job_path, shop_path)
    read = input_files(job_path, job, shop_path)
    refuse((*job.findings, *check_job(job), *kerf_findings(job, shop)), job.source)
    made_of = checksum_of(*(content(path) for path in read))
    with locked(folder):
        folder = prepare(folder, [m.name for m in makers if m.name != PREVIEWS], read)
        same = _unchanged(folder, makers, made_of)
        if same is not None:
            return same
        results = plans(job, shop, {t for m in makers for t in m.trades}, progress, cores, folder=folder_of(job_path))
        documents, failed = _documents(makers, results, progress, cores)
        if not documents:
            refuse((*failed, *results.findings), job.source)
        progress("write", len(makers), len(makers))
        findings = tuple(dict.fromkeys((*failed, *results.findings)))
        kept = _kept(folder, documents, made_of) if len(makers) < len(MAKERS) else {}
        replace_set(folder, {**kept, **documents}, ("" if not errors(findings) else _PARTLY) + made_of, read)
    return Made(folder, tuple(documents), tuple(kept), figures(summary(results)), findings, results)


def _documents(
    makers: Sequence[Maker], results: Results, progress: Progress, cores: int
) -> tuple[dict[str, bytes], list[Finding]]:
    """Return the documents whose trades have plans, and why others are not made."""
    works: dict[str, Callable[[], dict[str, bytes]]] = {
        m.name: partial(m.make, results) for m in makers if m.possible(results)
    }
    if len(works) > 1 and PREVIEWS in works:
        works[PREVIEWS] = beside(works[PREVIEWS], cores)
    documents: dict[str, bytes] = {}
    failed: list[Finding] = []
    for i, (file, work) in enumerate(works.items()):
        progress(file, i, len(works))
        done = attempt(say("the document {file}", file=code(file)), file, work)
        documents.update(done.made or {})
        failed += [done.failed] if done.failed else []
    return documents, failed


def _unchanged(folder: Path, makers: Sequence[Maker], made_of: str) -> Made | None:
    """Return what the folder holds when it is the very set that would be made, else None."""
    listed = read_manifest(folder)
    wanted = all(any(doc.startswith(m.name) if m.name == PREVIEWS else doc == m.name for doc in listed) for m in makers)
    if not wanted or made_from(folder) != made_of or faults(folder):
        return None
    try:
        told = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
        findings = tuple(Finding(**f) for f in told["findings"])
        return Made(folder, (), tuple(listed), figures(told), findings, None)
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _kept(folder: Path, fresh: dict[str, bytes], made_of: str) -> dict[str, bytes]:
    """Return the documents of an earlier run from the very same inputs that are not made anew."""
    if made_from(folder).removeprefix(_PARTLY) != made_of:
        return {}
    return {
        doc: (folder / doc).read_bytes()
        for doc, digest in read_manifest(folder).items()
        if doc not in fresh and matches(folder / doc, digest)
    }
