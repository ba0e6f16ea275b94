"""The documents of a job made anew: plans, documents, and all of them into the folder at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from cutplan.findings import Finding, errors
from cutplan.pattern.checks.check import check_job
from cutplan.pattern.checks.check_kerf import kerf_findings
from cutplan.project.folder.lock import locked
from cutplan.project.folder.manifest import made_from, matches, read_manifest
from cutplan.project.folder.write import prepare, replace_set
from cutplan.project.planned.attempt import attempt
from cutplan.project.planned.beside import beside
from cutplan.project.planned.plans import load, plans
from cutplan.project.run.documents import MAKERS, PREVIEWS, Maker
from cutplan.project.run.figures import figures
from cutplan.project.run.made import Made, Progress
from cutplan.project.run.reading import reading_of
from cutplan.project.steering import folder_of
from cutplan.project.words import refuse
from cutplan.report.summary import summary
from cutplan.sheets.results import Results
from cutplan.texts import code, say

#: Mark in the checksum of a set in which something could not be made: such a set is tried again.
_PARTLY = "partly-"


@dataclass(frozen=True, slots=True)
class Task:
    """What one run is to make.

    Parameters
    ----------
    job_path, folder : Path
        Job file, or the folder that holds it, and the output folder.
    makers : tuple of Maker
        The documents wanted.
    shop_path : Path or None
        Shop file named by the user.
    inputs : tuple of Path
        Files that the run reads and must never write.
    made_of : str
        Checksum of the program and of everything that the set depends on.
    """

    job_path: Path
    folder: Path
    makers: tuple[Maker, ...]
    shop_path: Path | None
    inputs: tuple[Path, ...]
    made_of: str


def afresh(task: Task, progress: Progress, cores: int) -> Made:
    """Make the documents, all or nothing; parameters and errors as of :func:`cutplan.project.make.make`."""
    makers = task.makers
    job, shop = load(task.job_path, task.shop_path)
    refuse((*job.origin.findings, *check_job(job), *kerf_findings(job, shop)), job.origin.source)
    with locked(task.folder):
        folder = prepare(task.folder, [m.name for m in makers if m.name != PREVIEWS], task.inputs)
        trades = {t for m in makers for t in m.trades}
        results = plans(job, shop, trades, progress, cores, folder=folder_of(task.job_path))
        results.once("reading", partial(reading_of, task.job_path))
        documents, failed = _documents(makers, results, progress, cores)
        if not documents:
            refuse((*failed, *results.findings), job.origin.source)
        progress("write", len(makers), len(makers))
        findings = tuple(dict.fromkeys((*failed, *results.findings)))
        kept = _kept(folder, documents, task.made_of) if len(makers) < len(MAKERS) else {}
        made_of = ("" if not errors(findings) else _PARTLY) + task.made_of
        replace_set(folder, {**kept, **documents}, made_of, task.inputs)
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


def _kept(folder: Path, fresh: dict[str, bytes], made_of: str) -> dict[str, bytes]:
    """Return the documents of an earlier run from the very same inputs that are not made anew."""
    if made_from(folder).removeprefix(_PARTLY) != made_of:
        return {}
    return {
        doc: (folder / doc).read_bytes()
        for doc, digest in read_manifest(folder).items()
        if doc not in fresh and matches(folder / doc, digest)
    }
