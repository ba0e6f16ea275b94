"""Whether a traced plan is sure enough for the pitch that its pads must keep."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.pattern.pads import Pad
from cutplan.pattern.traced import COVER, LEAST_SHARE
from cutplan.texts import mm, name, say


def traced_findings(job: Job) -> Iterator[Finding]:
    """Yield a warning for each pair of pads whose pitch the traced plan cannot prove."""
    traced = job.origin.traced
    if traced is None:
        return
    for a, b in combinations(job.pads, 2):
        allowed = min(a.pitch_mm, b.pitch_mm)
        unsure = COVER * traced.distance_error_mm(_at(job, a), _at(job, b), a.centre, b.centre)
        if unsure > (1.0 - LEAST_SHARE) * allowed:
            yield Finding(
                "traced-too-coarse",
                "warning",
                say(
                    "the traced distance {first} to {second} may be off by {unsure}, too much for the {allowed} asked",
                    first=name(a.name),
                    second=name(b.name),
                    unsure=mm(unsure, 2),
                    allowed=mm(allowed, 2),
                ),
                f"pad[{job.pads.index(a)}].pitch",
                say(
                    "tape that distance on the vehicle and set it by hand, or trace the card again with a longer known length"
                ),
            )


def _at(job: Job, pad: Pad) -> str:
    """Name of the hole that the pad stands on, else its own."""
    return next((h.name for h in job.plate.holes if h.centre.distance(pad.centre) < 0.05), pad.name)
