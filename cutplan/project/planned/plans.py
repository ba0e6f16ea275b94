"""From a job to the plans of the trades: each on its own, remembered, and what one cannot give said and left out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from cutplan.files.job.read import read_job
from cutplan.files.job.shop.read import read_shop
from cutplan.findings import Finding, errors, stopping
from cutplan.pattern.brace import FittedBrace
from cutplan.pattern.checks.check import check_job
from cutplan.pattern.checks.check_kerf import kerf_findings
from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import PaperWish
from cutplan.project.planned.attempt import TRADE_NAMES, Attempt, attempt, stopped_by
from cutplan.project.planned.beside import beside
from cutplan.project.planned.fingerprint import checksum_of
from cutplan.project.planned.remembered import recall, remembered
from cutplan.project.planned.trades import TRADES, plan, plan_key
from cutplan.project.run.inputs import shop_file
from cutplan.project.run.made import Progress, no_progress
from cutplan.project.run.undrawn import undrawn_findings
from cutplan.project.steering import steering
from cutplan.sheets.results import Results
from cutplan.texts import say


def load(job_path: Path, shop_path: Path | None = None) -> tuple[Job, Shop]:
    """Return the job and the shop file used for it (beside the job, else in the user's folder, else none).

    Raises
    ------
    CutplanError
        When either cannot be read.
    """
    job = read_job(Path(job_path))
    found = shop_file(job_path, shop_path)
    return job, read_shop(found) if found else Shop()


def plans(
    job: Job,
    shop: Shop,
    trades: Iterable[str] = TRADES,
    progress: Progress = no_progress,
    cores: int = 1,
    remember: bool = True,
    folder: Path | None = None,
) -> Results:
    """Return the plans of the trades asked for; a trade that fails takes no other down.

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
    remember : bool
        Whether plans are looked up and kept in the user's folder of results.
    folder : Path or None
        Folder of the job, where the study that it follows lies; None: the study is left aside.

    Returns
    -------
    Results
        A trade whose plan could not be made, or holds errors, is None in it, with a finding ``not-computed``.
    """
    wanted = [t for t in TRADES if t in set(trades)]
    if {"templates", "opening", "weld"} & set(wanted):
        # one brace for the opening, the weld plan and the parts list
        job = _with_braces(job, shop, remember)
    several = cores if len(wanted) > 1 else 1
    waiting = {t: _started(t, job, shop, several, remember) for t in reversed(wanted)}
    if "templates" in wanted:
        waiting["templates"] = partial(_with_work, waiting, job, shop, remember)
    made: dict[str, Any] = {}
    findings: list[Finding] = [*job.origin.findings, *check_job(job), *undrawn_findings(job), *kerf_findings(job, shop)]
    if folder is not None and job.origin.moved is not None:
        study = attempt(say("the study of the steering"), "steering", partial(steering, job, folder))
        made["steering"] = study.made
        findings += [*([study.failed] if study.failed else ()), *(study.made.findings if study.made else ())]
    for i, trade in enumerate(wanted):
        progress(trade, i, len(wanted))
        done = attempt(TRADE_NAMES[trade], trade, waiting[trade])
        made[trade], failed = _judged(trade, done)
        findings += [*failed, *(done.made.findings if done.made is not None else ())]
    progress("done", len(wanted), len(wanted))
    keep = partial(_kept, job, shop) if remember else None
    return Results(job=job, shop=shop, findings=tuple(dict.fromkeys(findings)), keep=keep, **made)


def _with_braces(job: Job, shop: Shop, remember: bool) -> Job:
    """The job with its braces as fitted, chosen once for all that the opening's plan depends on."""

    def choose() -> tuple[FittedBrace, ...] | None:
        from cutplan.opening.brace.taken import with_braces

        return with_braces(job).planned.braces

    if not remember:
        return replace(job, planned=replace(job.planned, braces=choose()))
    return replace(
        job,
        planned=replace(
            job.planned, braces=remembered(checksum_of(b"braces", plan_key("opening", job, shop).encode()), choose)
        ),
    )


def _kept(job: Job, shop: Shop, name: str, trade: str, draw: Callable[[], Any]) -> Any:
    """What was drawn under a name: kept beside the plans, by what they depend on.

    Where more than one trade is shown, by the whole job but for its paper and what reading it noticed.
    """
    keys = [plan_key(t, job, shop) for t in ([trade] if trade else ["cut", "opening", "weld"])]
    rest = "" if trade else repr(replace(job, paper=PaperWish(), origin=replace(job.origin, findings=())))
    return remembered(checksum_of(name.encode(), "".join(keys).encode(), rest.encode()), draw)


def _with_work(waiting: dict[str, Callable[[], Any]], job: Job, shop: Shop, remember: bool) -> Any:
    """The templates, the opening's own with all that its plan marks out; the opening's plan is then made once."""
    from cutplan.opening.work_marks import work_marks

    opening = attempt(
        TRADE_NAMES["opening"], "opening", waiting.get("opening") or _started("opening", job, shop, 1, remember)
    )
    if opening.made is not None:
        waiting["opening"] = lambda: opening.made
        if not errors(opening.made.findings):
            job = replace(job, planned=replace(job.planned, work=work_marks(job, opening.made)))
    return _started("templates", job, shop, 1, remember)()


def _started(trade: str, job: Job, shop: Shop, cores: int, remember: bool) -> Callable[[], Any]:
    """Return what gives a trade's plan: remembered, made beside this process from now on, or made when called."""
    if not remember:
        return partial(plan, trade, job, shop)
    key = plan_key(trade, job, shop)
    found, result = recall(key)
    if found:
        return lambda: result
    work = partial(remembered, key, partial(plan, trade, job, shop))
    return beside(work, cores) if trade == "weld" else work


def _judged(trade: str, done: Attempt[Any]) -> tuple[Any, list[Finding]]:
    """Return a plan that can be used, or None and why: it failed, or it holds errors."""
    if done.failed is not None:
        return None, [done.failed]
    bad = stopping(done.made.findings) if done.made is not None else ()
    return (None, [stopped_by(TRADE_NAMES[trade], trade, bad)]) if bad else (done.made, [])
