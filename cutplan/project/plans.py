"""From a job to the plans of the four trades, with everything noticed on the way gathered once."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path
from typing import Any

from cutplan.files.job.read import read_job
from cutplan.files.job.shop import find_shop, read_shop
from cutplan.findings import Finding
from cutplan.pattern.check import check_job
from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop
from cutplan.project.beside import beside
from cutplan.sheets.results import Results

#: The trades in the order of the work.
TRADES = ("templates", "cut", "opening", "weld")

Progress = Callable[[str, int, int], None]


def no_progress(step: str, done: int, total: int) -> None:
    """Say nothing."""


def load(job_path: Path, shop_path: Path | None = None) -> tuple[Job, Shop]:
    """Return the job and the shop file used for it (beside the job, else in the user's folder, else none).

    Raises
    ------
    CutplanError
        When either cannot be read.
    """
    job_path = Path(job_path)
    job = read_job(job_path)
    folder = job_path if job_path.is_dir() else job_path.parent
    found = shop_path or find_shop(folder)
    return job, read_shop(found) if found else Shop()


def plans(
    job: Job,
    shop: Shop,
    trades: Iterable[str] = TRADES,
    progress: Progress = no_progress,
    cores: int = 1,
    meanwhile: Callable[[Results], None] | None = None,
) -> Results:
    """Return the plans of the trades asked for.

    Parameters
    ----------
    job, shop : Job, Shop
        What is wanted, and what the shop really does.
    trades : iterable of str
        Some of ``templates``, ``cut``, ``opening``, ``weld``.
    progress : callable
        Called with (step, done, total).
    cores : int
        Processors that may be used: with two the weld plan, the longest, is made beside the others.
    meanwhile : callable or None
        Called with the results of the other trades before the weld plan is waited for.

    Raises
    ------
    CutplanError
        When a plan cannot be made at all.
    """
    wanted = [t for t in TRADES if t in set(trades)]
    work: dict[str, Callable[[], Any]] = {t: partial(_PLANNERS[t], job, shop) for t in wanted}
    if len(work) > 1 and "weld" in work:
        work["weld"] = beside(work["weld"], cores)
    made: dict[str, Any] = {}
    findings: list[Finding] = [*job.findings, *check_job(job)]
    for i, trade in enumerate(wanted):
        progress(trade, i, len(wanted))
        if trade != "weld":
            made[trade] = work[trade]()
            findings.extend(made[trade].findings)
    results = Results(job=job, shop=shop, findings=tuple(dict.fromkeys(findings)), **made)
    if "weld" in wanted:
        if meanwhile:
            meanwhile(results)
        weld = work["weld"]()
        results = results.completed(weld, tuple(dict.fromkeys([*findings, *weld.findings])))
    progress("done", len(wanted), len(wanted))
    return results


def _templates(job: Job, shop: Shop):  # type: ignore[no-untyped-def]
    from cutplan.templates.plan import plan_templates

    return plan_templates(job, shop)


def _cut(job: Job, shop: Shop):  # type: ignore[no-untyped-def]
    from cutplan.cutting.plan import plan_cut
    from cutplan.errors import CutplanError
    from cutplan.welding.stitches.stitch_ends import stitch_ends

    try:
        starts = stitch_ends(job)
    except CutplanError:  # told by the weld plan
        starts = ()
    return plan_cut(job, shop, avoid=starts)


def _opening(job: Job, shop: Shop):  # type: ignore[no-untyped-def]
    from cutplan.opening.plan import plan_opening

    return plan_opening(job, shop)


def _weld(job: Job, shop: Shop):  # type: ignore[no-untyped-def]
    from cutplan.welding.plan import plan_weld

    return plan_weld(job, shop)


_PLANNERS = {"templates": _templates, "cut": _cut, "opening": _opening, "weld": _weld}
