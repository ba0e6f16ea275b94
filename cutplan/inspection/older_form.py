"""A form that was written for another plan: the part may have been made by that one, and is judged by today's."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from cutplan.findings import Finding
from cutplan.geometry.vector import Point
from cutplan.inspection.readings import STAGES, Reading
from cutplan.inspection.readings_check import at_line
from cutplan.texts import every, mm, plural, say

#: How far a planned length may differ from the one on the form [mm] (our own): the form rounds to hundredths of a millimetre.
SAME_MM = 0.02
#: Lengths named at most.
_NAMED = 3


def older_form(readings: Sequence[Reading], points: Mapping[str, Point]) -> list[Finding]:
    """Return a warning where the form's planned distances are not those between the job's points now.

    Parameters
    ----------
    readings : sequence of Reading
        Lines of the form that were filled in; their points are all on the plan.
    points : mapping of str to Point
        Where the job has them [mm].
    """
    changed = []
    for r in readings:
        if (r.kind == "distance" or r.kind in STAGES) and r.planned_mm is not None:
            now = points[r.name].distance(points[r.to])
            if abs(now - r.planned_mm) > SAME_MM:
                changed.append((r, r.planned_mm, now))
    if not changed:
        return []
    named = every(
        say("{label} {then}, now {now}", label=r.said, then=mm(then, 2), now=mm(now, 2))
        for r, then, now in changed[:_NAMED]
    )
    message = plural(
        "the job has changed since the form was written, in a planned length: {lengths}",
        "the job has changed since the form was written, in {count} planned lengths: {lengths}",
        len(changed),
        lengths=named,
    )
    fix = say("judge a part that was made before the change by the job as it was; for a new part write the form again")
    return [Finding("form-of-another-plan", "warning", message, at_line(changed[0][0]), fix)]
