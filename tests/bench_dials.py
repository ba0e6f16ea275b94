"""The small job and a round of dials on all its pads."""

from __future__ import annotations

from sheet_results import small_job

from cutplan.inspection.named_points import dial_places
from cutplan.welding.bench.result import DialRead

JOB = small_job()


def dials(stage: str, value: float = 0.0, zero: float | None = 0.0) -> tuple[DialRead, ...]:
    """A reading at every place of every pad."""
    return tuple(
        DialRead(pad.name, str(i), at, stage, value, zero)
        for pad in JOB.pads
        for i, at in enumerate(dial_places(JOB, pad), 1)
    )
