"""The pictures of the opening: the whole of it, and one for each step; drawn once for sheet, report and previews."""

from __future__ import annotations

from cutplan.drawing.model import Figure
from cutplan.sheets.results import Results
from cutplan.texts import Reader


def step_pictures(results: Results, lang: str) -> tuple[Figure, ...]:
    """Return one picture for each step of the opening, in a language."""
    plan, job = results.opening, results.job
    if plan is None:
        return ()
    from cutplan.opening.pictures.steps import step_figure

    steps, read = range(len(plan.steps)), Reader(lang, job.shown.display)
    return results.once(
        f"steps drawn in {lang}", lambda: tuple(step_figure(job, plan, i, caption=False, read=read) for i in steps)
    )


def overview(results: Results, lang: str) -> Figure | None:
    """Return the whole opening with sections, cuts and drills, in a language."""
    plan, job = results.opening, results.job
    if plan is None:
        return None
    from cutplan.opening.pictures.steps import overview_figure

    return results.once(f"opening drawn in {lang}", lambda: overview_figure(job, plan, Reader(lang, job.shown.display)))
