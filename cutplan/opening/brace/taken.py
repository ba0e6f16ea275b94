"""The brace taken: the best of the table with which every cut of the plan is left to a tool; or none, and that is told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

from cutplan.errors import GeometryError
from cutplan.geometry.contour import Contour
from cutplan.opening.assembly import Assembly, best_assembled
from cutplan.opening.brace.choose import BLOCKED_MM, brace_choices
from cutplan.opening.brace.model import BraceChoice
from cutplan.pattern.brace import FittedBrace
from cutplan.pattern.brace_designs import with_part
from cutplan.pattern.job import Job
from cutplan.pattern.opening import opening_line
from cutplan.pattern.shop import Shop


def with_braces(job: Job) -> Job:
    """Return the job with its braces as fitted; as it is where they are chosen already or none is needed."""
    if job.planned.braces is not None or not (job.pads or job.brace):
        return job
    try:
        line = opening_line(job).oriented(ccw=True)
        bare = replace(job, origin=replace(job.origin, findings=()))
        return _with(job, _taken(bare, line))
    except GeometryError:  # told by the opening's plan
        return job


def as_taken(choices: tuple[BraceChoice, ...], braces: tuple[FittedBrace, ...]) -> tuple[BraceChoice, ...]:
    """Return the comparison with that design marked chosen which is fitted, or no brace at all.

    Parameters
    ----------
    choices : tuple of BraceChoice
        Designs compared.
    braces : tuple of FittedBrace
        The braces as fitted.
    """
    fitted = next((b for b in braces if b.on == "marked"), None)
    return tuple(replace(c, chosen=c.brace == fitted and (c.brace is None) == (c.design is None)) for c in choices)


@lru_cache(maxsize=8)
def _taken(job: Job, line: Contour) -> FittedBrace | None:
    choices = brace_choices(job, line)
    first = next((c for c in choices if c.chosen), None)
    if first is None or not _in_the_way(first):
        return first.brace if first is not None else None

    def proved(brace: FittedBrace | None) -> bool:
        return _made(job, line, brace).proof.ok

    return first_proved(choices, proved)


def first_proved(choices: tuple[BraceChoice, ...], proved: Callable[[FittedBrace | None], bool]) -> FittedBrace | None:
    """Return the chosen brace, or where its plan is not proved the one that blocks least and whose plan is, or none.

    Parameters
    ----------
    choices : tuple of BraceChoice
        Designs compared.
    proved : callable
        Says whether the plan with a brace, or with none, is proved.

    Notes
    -----
    A bar flat on the skin over the cuts is passed over, and where the plan fails with no brace on either the chosen
    one stays: it is not to blame.
    """
    first = next(c for c in choices if c.chosen)
    others = [c for c in choices if c.brace is not None and c is not first and c.design != "flush"]
    others.sort(key=lambda c: (round(c.blocked_mm, 6), round(c.missed, 6), -round(c.score, 6)))
    for choice in (first, *others):
        if proved(choice.brace):
            return choice.brace
    return None if proved(None) else first.brace


def _in_the_way(choice: BraceChoice) -> bool:
    """Whether a brace stands over the line or beside it so near that a tool could fail to get past."""
    return choice.design in ("across", "flush") or choice.blocked_mm > BLOCKED_MM or choice.missed > 0.0


def _made(job: Job, line: Contour, brace: FittedBrace | None) -> Assembly:
    return best_assembled(_with(job, brace), Shop(), line)


def _with(job: Job, brace: FittedBrace | None) -> Job:
    return replace(job, planned=replace(job.planned, braces=with_part(job, brace)))
