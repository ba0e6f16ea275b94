"""Beads of an order where they lie on the plate, with start, wait and warmth of each."""

from __future__ import annotations

from cutplan.pattern.job import Job
from cutplan.pattern.joint import Span
from cutplan.tables.band import Band
from cutplan.texts import say
from cutplan.welding.basis import Basis
from cutplan.welding.heat.timing import Turn, heat_room, order_starts
from cutplan.welding.heat.wait import Start
from cutplan.welding.heat.warmth import heated
from cutplan.welding.result import BeadKind, PlacedBead
from cutplan.welding.stitches.along import backward, piece, place
from cutplan.welding.stitches.position import position_of


def starts_of(job: Job, basis: Basis, spans: tuple[Span, ...], turns: tuple[Turn, ...]) -> tuple[Start, ...]:
    """Return the start of each bead of an order, with the waits that the interpass temperature asks for.

    Parameters
    ----------
    job : Job
        The job
    basis : Basis
        Settings, joint and runs
    spans : tuple of Span
        All beads, tacks first [mm]
    turns : tuple of Turn
        Their order
    """
    wish, room = job.welding, heat_room(job, basis.joint)
    return order_starts(
        job.plate.outline, spans, turns, basis.settings, room, wish.interpass_C, wish.ambient_C, basis.runs
    )


def placed_beads(
    job: Job,
    basis: Basis,
    names: tuple[str, ...],
    spans: tuple[Span, ...],
    tacks: int,
    turns: tuple[Turn, ...],
    starts: tuple[Start, ...],
) -> tuple[PlacedBead, ...]:
    """Return the beads in the order of welding as they lie on the plate.

    Parameters
    ----------
    job : Job
        The job
    basis : Basis
        Settings, joint and runs
    names : tuple of str
        Names of all beads, tacks first
    spans : tuple of Span
        Their stretches [mm]
    tacks : int
        How many of them are tacks
    turns : tuple of Turn
        The order
    starts : tuple of Start
        Start of each turn
    """
    outline = job.plate.outline
    thin = min(job.plate.thickness_mm, job.skin.thickness_mm)
    out: list[PlacedBead] = []
    count: dict[BeadKind, int] = {"tack": 0, "stitch": 0}
    for turn, start in zip(turns, starts, strict=True):
        span = spans[turn.bead]
        path = piece(outline, span)
        if turn.backward:
            path = backward(path)
        kind: BeadKind = "tack" if turn.bead < tacks else "stitch"
        count[kind] += 1
        out.append(
            PlacedBead(
                names[turn.bead],
                kind,
                count[kind],
                span,
                path,
                path[0].start,
                place(outline, 0.5 * (span.start_mm + span.end_mm)),
                path[-1].end,
                turn.backward,
                span.end_mm - span.start_mm,
                start.wait_s,
                start.start_s,
                _before(start, basis, job.welding.ambient_C),
                position_of(job, span, thin)[0],
            )
        )
    return tuple(out)


def _before(start: Start, basis: Basis, ambient_C: float) -> Band:
    """How warm a bead's warmest place is just before the arc gets there [degC]."""
    source = say("superposed moving sources in thin plate, with the spread of the heat input; see wait")
    band = Band(start.low_C, start.mid_C, start.high_C, "degC", source)
    return heated(band, basis.settings.arc.heat_input_J_per_mm, ambient_C)
