"""The cautions that stand on every sheet and report; which ones depends on the tools that are really used."""

from __future__ import annotations

from cutplan.opening.model import OpeningPlan
from cutplan.pattern.job import Job
from cutplan.texts.by_id import told

#: On every document, most dangerous first.
ALWAYS = ("structure", "support", "fire", "fume", "zinc", "lines", "airbag", "battery", "predictions", "local")


#: A tool with dangers of its own, and its caution, which stands before zinc.
_BY_TOOL = {"cut-off disc": "disc", "hand plasma": "plasma"}


def cautions(job: Job, lang: str = "en", opening: OpeningPlan | None = None) -> tuple[str, ...]:
    """Return the cautions of a job as sentences, in the order printed.

    Parameters
    ----------
    job : Job
        The job: what cuts its plate, and what it wishes for its opening.
    lang : str
        Language.
    opening : OpeningPlan or None
        The plan, which takes a disc for straight cuts and ribs whatever the job wishes; None: the wish stands for it.
    """
    tools = {job.cutting.process}
    if opening is None:
        tools.add(job.opening.tool)
    else:
        tools |= {t for step in opening.steps for t in (*step.tools, *(c.tool for c in step.cuts))}
    at = ALWAYS.index("zinc")
    keys = [*ALWAYS[:at], *(key for tool, key in _BY_TOOL.items() if tool in tools), *ALWAYS[at:]]
    return tuple(told(f"caution.{key}", lang) for key in keys)
