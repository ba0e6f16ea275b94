"""Datum distances that cannot be: so far from the plan that the tape, its unit or the writing slipped."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.findings import Finding
from cutplan.inspection.datum_loop import DatumLoop, stage_said
from cutplan.inspection.readings import Reading
from cutplan.inspection.readings_check import at_line, why_slip
from cutplan.opening.model import DatumPlan
from cutplan.texts import ENGLISH, Reader, mm, name, say
from cutplan.texts.by_id import told

#: A datum distance off by more than this, and by more than this share of itself, is a slip or a mark punched elsewhere
#: (our own): marks are punched by eye, and no weld moves one so far.
FAR_MM = 25.0
FAR_SHARE = 0.1
#: The same distance at another stage within this is no slip: the mark stands there (our own, above what a weld moves) [mm].
SAME_MARK_MM = 10.0
#: Beyond this factor either way it is a slip even where it repeats: a unit or a decimal point (our own).
WILD = 2.0


def datum_slips(
    plan: DatumPlan, readings: Sequence[Reading], moved: bool = False, read: Reader = ENGLISH
) -> list[tuple[Reading, Finding]]:
    """Return the datum distances that must be taken again, each with what is wrong.

    Parameters
    ----------
    plan : DatumPlan
        Points and their planned places.
    readings : sequence of Reading
        Those of the datum stages, each with a value and known names.
    moved : bool
        The job moves its mount: before cutting, its pads are not where they are planned.
    read : Reader
        Language and unit of the reader.
    """
    at = {p.name: p.at for p in plan.points}
    pads = {p.name for p in plan.points if p.kind == "pad"}
    found: list[tuple[Reading, Finding]] = []
    for r in readings:
        if r.name == r.to or (moved and r.kind == "before" and {r.name, r.to} & pads):
            continue
        planned, value = at[r.name].distance(at[r.to]), float(r.measured_mm or 0.0)
        if abs(value - planned) <= max(FAR_MM, FAR_SHARE * planned):
            continue
        if planned / WILD < value < planned * WILD and _repeats(r, value, readings):
            continue
        label = say("{first}-{second} ({stage})", first=name(r.name), second=name(r.to), stage=stage_said(r.kind))
        why = why_slip(value, planned, read)
        message = told("inspect.slip", read, label=label, off=mm(value - planned), plan=mm(planned), why=why)
        found.append((r, Finding("reading-slip", "warning", message, at_line(r), told("inspect.again", read))))
    return found


def _repeats(reading: Reading, value: float, readings: Sequence[Reading]) -> bool:
    """Whether another stage read the same distance alike."""
    ends = {reading.name, reading.to}
    return any(
        o.kind != reading.kind and {o.name, o.to} == ends and abs(float(o.measured_mm or 0.0) - value) <= SAME_MARK_MM
        for o in readings
    )


def loop_open(loop: DatumLoop | None) -> bool:
    """Return whether datum distances that were taken leave a stage in doubt: left out, in dispute, or too few to tell.

    Parameters
    ----------
    loop : DatumLoop or None
        What was found; None where no datum distance was measured.
    """
    return loop is not None and bool(loop.doubtful or loop.disagree or loop.unfixed)
