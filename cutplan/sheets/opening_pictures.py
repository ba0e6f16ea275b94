"""The pictures of the opening: the whole of it, and one for each step; drawn once for sheet, report and previews."""

from __future__ import annotations

from cutplan.drawing.model import Figure
from cutplan.sheets.results import Results


def step_pictures(results: Results) -> tuple[Figure, ...]:
    """Return one picture for each step of the opening."""
    plan = results.opening
    if plan is None:
        return ()
    from cutplan.opening.pictures.steps import step_figure

    steps = range(len(plan.steps))
    return results.once("steps", lambda: tuple(step_figure(results.job, plan, i, caption=False) for i in steps))


def overview(results: Results) -> Figure | None:
    """Return the whole opening with sections, cuts and drills."""
    plan = results.opening
    if plan is None:
        return None
    from cutplan.opening.pictures.steps import overview_figure

    return results.once("overview", lambda: overview_figure(results.job, plan))
