"""Holes and pads moved in the plane of the plate by the part of a mount's shift that lies in it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from cutplan.findings import Finding
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.wishes import Marks
from cutplan.texts import Message, listed, mm, say

#: Cosine above which two directions on the plate count as not at right angles: 1 degree.
_SQUARE = 0.0175
#: Parts of a shift smaller than this are none [mm].
_NONE_MM = 0.05

_HEIGHTS = (say("up", context="move"), say("down", context="move"))
#: The ways of a shift forward, left and up, and their opposites.
WAYS = (
    (say("forward", context="move"), say("backward", context="move")),
    (say("to the left"), say("to the right")),
    _HEIGHTS,
)


@dataclass(frozen=True, slots=True)
class Moved:
    """What a study moves.

    Parameters
    ----------
    shift_mm : tuple of float
        Shift of the mount, forward, left and up (ISO 8855) [mm].
    holes, pads : tuple of str
        Names of what moves on the plate; pads that stand on a moved hole go with it.
    tolerance_mm : float or None
        Distance that the mount may be off in any direction [mm]; the pads' pitch is held to it.
    study : str
        Name of the study file beside the job; empty: none.
    in_plate_mm : Point
        The part of the shift that lies in the plate, in its coordinates [mm].
    rest_mm : tuple of float
        The part that does not, forward, left and up [mm].
    """

    shift_mm: tuple[float, float, float]
    holes: tuple[str, ...]
    pads: tuple[str, ...]
    tolerance_mm: float | None = None
    study: str = ""
    in_plate_mm: Point = Point(0.0, 0.0)
    rest_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)


def split_shift(marks: Marks, shift_mm: tuple[float, float, float]) -> tuple[Point, tuple[float, float, float]] | None:
    """Return the part of a shift in the plate and the part out of it [mm], or None when the plate's directions miss.

    Parameters
    ----------
    marks : Marks
        Directions of the vehicle on the plate; two at right angles are needed.
    shift_mm : tuple of float
        Shift forward, left and up [mm].
    """
    known = dict(marks.arrows)
    if len(known) != 2:
        return None
    ways = {name: (math.cos(math.radians(deg)), math.sin(math.radians(deg))) for name, deg in known.items()}
    (ax, ay), (bx, by) = ways.values()
    if abs(ax * bx + ay * by) > _SQUARE:
        return None
    parts = dict(zip(("forward", "left", "up"), shift_mm, strict=True))
    x = sum(parts[n] * w[0] for n, w in ways.items())
    y = sum(parts[n] * w[1] for n, w in ways.items())
    rest = tuple(0.0 if n in ways else v for n, v in parts.items())
    return Point(x, y), (rest[0], rest[1], rest[2])


def moved_job(job: Job, moved: Moved, on_hole: Mapping[str, str]) -> Job:
    """Return the job with holes and pads moved, and what must be said about it.

    Parameters
    ----------
    job : Job
        As drawn.
    moved : Moved
        What moves; its parts in and out of the plate are known.
    on_hole : mapping of str to str
        Name of the hole that a pad stands on.
    """
    d = moved.in_plate_mm
    holes = tuple(
        replace(h, contour=h.contour.moved(d.x, d.y)) if h.name in moved.holes else h for h in job.plate.holes
    )
    goes = {p.name for p in job.pads if p.name in moved.pads or on_hole.get(p.name) in moved.holes}
    pads = tuple(
        replace(
            p,
            centre=p.centre.plus(d),
            pitch_mm=p.pitch_mm if moved.tolerance_mm is None else min(p.pitch_mm, moved.tolerance_mm),
        )
        if p.name in goes
        else p
        for p in job.pads
    )
    moved = replace(moved, pads=tuple(p.name for p in pads if p.name in goes))
    findings = (*job.origin.findings, *_told(moved))
    return replace(
        job,
        plate=replace(job.plate, holes=holes),
        pads=pads,
        origin=replace(job.origin, moved=moved, findings=findings),
    )


def _told(moved: Moved) -> list[Finding]:
    d = moved.in_plate_mm
    across = (say("to the right"), say("to the left"))
    found = [
        Finding(
            "moved-in-plate",
            "note",
            say(
                "{names} moved on the plate by {parts}, as drawn",
                names=listed([*moved.holes, *moved.pads]),
                parts=listed(told_parts((d.x, d.y), (across, _HEIGHTS)) or [mm(0.0)]),
            ),
            "moved",
        )
    ]
    for part in told_parts(moved.rest_mm, WAYS):
        found.append(
            Finding(
                "moved-out-of-plate",
                "warning",
                say("{part} of the shift do not lie in the plate", part=part),
                "moved.shift",
                say("make it up with spacers or other brackets; the plate alone does not"),
            )
        )
    return found


def told_parts(values_mm: Sequence[float], ways: Sequence[tuple[Message, Message]]) -> list[Message]:
    """Return what a shift is made of: each part with its way; parts too small to set are left out.

    Parameters
    ----------
    values_mm : sequence of float
        Parts of the shift [mm].
    ways : sequence of (Message, Message)
        For each part what it is called above and below nought.
    """
    return [
        say("{length} {way}", length=mm(abs(value)), way=ahead if value > 0.0 else back)
        for value, (ahead, back) in zip(values_mm, ways, strict=True)
        if abs(value) > _NONE_MM
    ]
