"""How far a length on the finished part may be off: by its pads or the standard, less what a traced plan is unsure of."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.geometry.vector import Point
from cutplan.inspection.named_points import pad_at
from cutplan.pattern.job import Job
from cutplan.pattern.traced import COVER, LEAST_SHARE
from cutplan.tables.welding.tolerances_weld import linear_tolerance_mm
from cutplan.texts import Message, name, say, template

_LESS = template("{source}, less two standard errors of the traced plan")


@dataclass(frozen=True, slots=True)
class Limit:
    """A deviation allowed either way [mm], and where it comes from."""

    value_mm: float
    source: Message | str


def length_limit(job: Job, first: str, second: str, a: Point, b: Point) -> Limit:
    """Return how far the distance of two named points may be off.

    Parameters
    ----------
    job : Job
        For its pads, and what is known of a traced plate.
    first, second : str
        Names of the points.
    a, b : Point
        Where they are planned [mm].

    Notes
    -----
    Between pads their pitch counts, else ISO 13920 class B. The plan of a traced plate has errors of its own: a part is
    proved within the limit only when it keeps the limit less those errors (the rule of ISO 14253-1, from memory).
    """
    pads = pad_at(job, first), pad_at(job, second)
    if pads[0] is not None and pads[1] is not None and pads[0] is not pads[1]:
        limit, source = min(pads[0].pitch_mm, pads[1].pitch_mm), "pitch_mm"
    else:
        limit, source = linear_tolerance_mm(min(max(a.distance(b), 2.0), 4000.0), "B"), "ISO 13920-B"
    if job.origin.traced is None:
        return Limit(limit, source)
    unsure = COVER * job.origin.traced.distance_error_mm(first, second, a, b)
    said = _LESS.fill(source=say("pitch of the pads") if source == "pitch_mm" else name(source))
    return Limit(max(limit - unsure, LEAST_SHARE * limit), said)
