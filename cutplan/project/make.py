"""Make the documents of one job, or of many jobs side by side."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from cutplan import __version__
from cutplan.errors import CutplanError, JobError
from cutplan.files.job.shop import find_shop
from cutplan.findings import Finding, errors
from cutplan.project.beside import beside
from cutplan.project.documents import MAKERS, PREVIEWS, Maker, chosen
from cutplan.project.folder import made_from, read_manifest, write_set
from cutplan.project.plans import Progress, load, no_progress, plans
from cutplan.sheets.results import Results

#: Largest drawing or job that the checksum of the inputs reads [bytes]; the readers refuse larger ones anyway.
_LARGEST_INPUT = 256 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class Made:
    """What one run wrote: the folder, the documents by name, those kept from before, and the plans behind them."""

    folder: Path
    written: tuple[str, ...]
    kept: tuple[str, ...]
    results: Results


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

    Raises
    ------
    JobError
        When the job has errors; nothing is written then.
    CutplanError
        When a plan or the writing fails; what was there before is untouched.
    """
    from cutplan.report.pages import draw_ahead

    makers = chosen(only)
    job, shop = load(job_path, shop_path)
    ready: dict[str, dict[str, bytes]] = {}

    def early(so_far: Results) -> None:
        """Documents and drawings that show nothing of the weld are made while it is planned."""
        if not errors(so_far.findings):
            ready.update({m.name: m.make(so_far) for m in makers if "weld" not in m.trades})
            # in another language drawings are made of results said in it, which need the weld
            if any("weld" in m.trades and m.name != "summary.json" for m in makers) and job.language == "en":
                draw_ahead(so_far)

    results = plans(job, shop, {t for m in makers for t in m.trades}, progress, cores, early)
    refuse(results.findings, job.source, _unaffected(makers, results))
    works: list[Callable[[], dict[str, bytes]]] = [partial(m.make, results) for m in makers]
    if len(works) > 1 and makers[-1].name == PREVIEWS:
        works[-1] = beside(works[-1], cores)
    documents: dict[str, bytes] = {}
    for i, (maker, work) in enumerate(zip(makers, works, strict=True)):
        progress(maker.name, i, len(makers))
        documents.update(ready.get(maker.name) or work())
    progress("write", len(makers), len(makers))
    inputs = _inputs(job_path, job.drawing, shop_path)
    kept = _kept(folder, documents, inputs) if len(makers) < len(MAKERS) else {}
    write_set(folder, {**kept, **documents}, inputs)
    return Made(folder, tuple(documents), tuple(kept), results)


def refuse(findings: Sequence[Finding], source: str, unaffected: Sequence[str] = ()) -> None:
    """Raise one error that names every error finding, and the documents that do not depend on it, or do nothing."""
    bad = errors(findings)
    if not bad:
        return
    rest = f"; or make what does not depend on it: --only {','.join(unaffected)}" if unaffected else ""
    if len(bad) == 1:
        raise JobError(bad[0].message, f"{source}, {bad[0].where}", f"{bad[0].fix}{rest}")
    lines = [f"{len(bad)} errors stop this job"]
    lines += [f"  - {f.message} ({f.where})" + (f"; try: {f.fix}" if f.fix else "") for f in bad]
    raise JobError(
        "\n".join(lines), source, "mend them in the job file or the drawing (`cutplan check` shows all)" + rest
    )


def _unaffected(makers: Sequence[Maker], results: Results) -> list[str]:
    """Return the documents whose trades have no errors, when all errors come from trades."""
    made = {"templates": results.templates, "cut": results.cut, "opening": results.opening, "weld": results.weld}
    of_trade = {t: set(errors(plan.findings)) for t, plan in made.items() if plan is not None}
    if set(errors(results.findings)) - set().union(*of_trade.values()):
        return []
    faulty = {t for t, bad in of_trade.items() if bad}
    return [m.name for m in makers if not faulty & set(m.trades)]


def _inputs(job_path: Path, drawing: str, shop_path: Path | None) -> str:
    """Return one checksum over job file, drawing, shop file and the program's version."""
    job_file = Path(job_path) / "job.toml" if Path(job_path).is_dir() else Path(job_path)
    shop_file = shop_path or find_shop(job_file.parent)
    digest = hashlib.sha256(__version__.encode())
    for path in (job_file, job_file.parent / drawing if drawing else None, shop_file):
        data = b""
        if path is not None and path.is_file() and path.stat().st_size < _LARGEST_INPUT:
            data = path.read_bytes()
        digest.update(len(data).to_bytes(8, "big") + data)
    return digest.hexdigest()


def _kept(folder: Path, fresh: dict[str, bytes], inputs: str) -> dict[str, bytes]:
    """Return the documents of an earlier run from the very same inputs that are not made anew."""
    if not inputs or made_from(folder) != inputs:
        return {}
    kept = {}
    for name, digest in read_manifest(folder).items():
        path = folder / name
        if name not in fresh and path.is_file():
            data = path.read_bytes()
            if hashlib.sha256(data).hexdigest() == digest:
                kept[name] = data
    return kept


@dataclass(frozen=True, slots=True)
class Outcome:
    """How one job of a batch ended: its figures, or what went wrong."""

    job: str
    folder: str
    figures: tuple[str, ...]
    error: str


def make_many(
    jobs: Sequence[Path], folder: Path, only: Sequence[str], shop_path: Path | None, workers: int
) -> list[Outcome]:
    """Make many jobs side by side, each into its own folder below ``folder``; a failed job does not stop the rest."""
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    targets = _folders(jobs, folder)
    tasks = [
        (str(j), str(t), tuple(only), str(shop_path) if shop_path else None) for j, t in zip(jobs, targets, strict=True)
    ]
    if workers <= 1 or len(tasks) == 1:
        return [_one(task) for task in tasks]
    with ProcessPoolExecutor(min(workers, len(tasks)), mp_context=get_context("spawn")) as pool:
        return list(pool.map(_one, tasks))


def _folders(jobs: Sequence[Path], folder: Path) -> list[Path]:
    """Give every job a folder of its own, numbering equal names."""
    seen: dict[str, int] = {}
    out = []
    for job in jobs:
        name = job_name(job)
        seen[name] = seen.get(name, 0) + 1
        out.append(folder / (name if seen[name] == 1 else f"{name}-{seen[name]}"))
    return out


def _one(task: tuple[str, str, tuple[str, ...], str | None]) -> Outcome:
    job, target, only, shop = task
    try:
        made = make(Path(job), Path(target), only, Path(shop) if shop else None)
    except CutplanError as error:
        return Outcome(job, target, (), str(error))
    return Outcome(job, target, figures(made.results), "")


def figures(results: Results) -> tuple[str, ...]:
    """Return the figures that matter most, one line for each trade that was planned."""
    lines = []
    if results.templates is not None:
        lines.append(f"templates  {results.templates.sheets} sheets of {results.templates.paper}")
    if results.cut is not None:
        t = results.cut.totals
        lines.append(f"cut        {t.cut_mm:.0f} mm, {t.pierces} pierces, {len(results.cut.drilled)} holes to drill")
    if results.weld is not None:
        lines.append(f"weld       {results.weld.length_mm:.0f} mm, order: {results.weld.chosen}")
    return tuple(lines)
