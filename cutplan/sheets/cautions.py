"""The cautions that stand on every sheet and report; which ones depends on the job."""

from __future__ import annotations

from cutplan.pattern.job import Job
from cutplan.texts.by_id import told

#: On every document, most dangerous first.
ALWAYS = ("structure", "support", "fire", "fume", "zinc", "lines", "airbag", "battery", "predictions", "local")


def cautions(job: Job, lang: str = "en") -> tuple[str, ...]:
    """Return the cautions of a job as sentences, in the order printed."""
    keys = list(ALWAYS)
    if job.opening.tool in ("cut-off disc", "hand plasma"):
        keys.insert(4, "disc" if job.opening.tool == "cut-off disc" else "plasma")
    return tuple(told(f"caution.{key}", lang) for key in keys)
