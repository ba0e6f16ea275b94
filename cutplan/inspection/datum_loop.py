"""Whether the mount moved: the datum distances of each stage adjusted, and how far each point went since the first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from cutplan.errors import GeometryError
from cutplan.geometry.vector import Point
from cutplan.inspection.readings import STAGES, Reading
from cutplan.opening.model import DatumPlan
from cutplan.survey.network import Adjusted, Distance, adjust
from cutplan.texts import Message, listed, mm, name, say, template

#: A movement below so many of its standard errors is not one that the tape can tell [1].
TOLD = 2.0


@dataclass(frozen=True, slots=True)
class Moved:
    """How far a datum point went from one stage to another, with its standard error [mm]."""

    stage: str
    point: str
    dx_mm: float
    dy_mm: float
    error_mm: float
    is_pad: bool

    @property
    def distance_mm(self) -> float:
        """How far it went [mm]."""
        return hypot(self.dx_mm, self.dy_mm)

    @property
    def told(self) -> bool:
        """Whether the tape can tell it from nothing."""
        return self.distance_mm > TOLD * self.error_mm


@dataclass(frozen=True, slots=True)
class DatumLoop:
    """The datum distances judged.

    Parameters
    ----------
    since : str
        The stage that movements count from; empty: from the plan, no earlier stage was measured.
    moved : tuple of Moved
        Points of every later stage.
    doubtful : tuple of (str, str, float)
        Stage, label and misfit [mm] of readings that do not fit the others and were left out.
    disagree : tuple of (str, tuple of str, float)
        Stages whose readings disagree, the readings one of which is wrong, and by how much they disagree [mm].
    unfixed : tuple of str
        Stages whose distances do not fix their points.
    """

    since: str
    moved: tuple[Moved, ...]
    doubtful: tuple[tuple[str, str, float], ...]
    unfixed: tuple[str, ...]
    disagree: tuple[tuple[str, tuple[str, ...], float], ...] = ()

    def as_dict(self) -> dict[str, object]:
        """Return plain data for ``--json``."""
        return {
            "since": self.since or "plan",
            "moved": [
                {
                    "stage": m.stage,
                    "point": m.point,
                    "dx_mm": round(m.dx_mm, 3),
                    "dy_mm": round(m.dy_mm, 3),
                    "distance_mm": round(m.distance_mm, 3),
                    "standard_error_mm": round(m.error_mm, 3),
                    "told": m.told,
                }
                for m in self.moved
            ],
            "left_out": [{"stage": s, "label": label, "off_mm": round(v, 2)} for s, label, v in self.doubtful],
            "disagree": [{"stage": s, "labels": list(names), "off_mm": round(v, 2)} for s, names, v in self.disagree],
            "not_fixed": list(self.unfixed),
        }


def datum_loop(plan: DatumPlan, readings: Sequence[Reading]) -> DatumLoop | None:
    """Return what the datum distances say; None where none was measured.

    Parameters
    ----------
    plan : DatumPlan
        Points, their planned places and the standard error of a reading.
    readings : sequence of Reading
        Those of kinds ``before``, ``open``, ``tacked``, ``welded``.

    Notes
    -----
    Each stage is one network in the frame that its marks hold together; a movement is the difference of two adjustments,
    its variance the sum of both.
    """
    stages: list[str] = [s for s in STAGES if any(r.kind == s and r.measured_mm is not None for r in readings)]
    if not stages:
        return None
    found: dict[str, tuple[list[str], Adjusted]] = {}
    doubtful: list[tuple[str, str, float]] = []
    unfixed: list[str] = []
    disagree: list[tuple[str, tuple[str, ...], float]] = []
    for stage in stages:
        own = [r for r in readings if r.kind == stage and r.measured_mm is not None]
        try:
            names, made = adjusted_stage(plan, own)
        except GeometryError:
            unfixed.append(stage)
            continue
        found[stage] = names, made
        doubtful += [(stage, own[k].label, made.residuals_mm[k]) for k in made.left_out]
        if made.undecided:
            off = max(abs(made.residuals_mm[k]) for k in made.undecided)
            disagree.append((stage, tuple(own[k].label for k in made.undecided), off))
    since = next(iter(found), "")
    base = found.get(since) if since == "before" else None
    pads = {p.name for p in plan.points if p.kind == "pad"}
    planned = {p.name: p.at for p in plan.points}
    moved: list[Moved] = []
    for stage, (names, made) in found.items():
        if base is not None and stage == since:
            continue
        for k, point in enumerate(names):
            start, error = _start(base, point, planned[point])
            d = made.points[k].minus(start)
            moved.append(Moved(stage, point, d.x, d.y, hypot(made.error_mm(k), error), point in pads))
    return DatumLoop(
        "before" if base is not None else "", tuple(moved), tuple(doubtful), tuple(unfixed), tuple(disagree)
    )


def _start(base: tuple[list[str], Adjusted] | None, point: str, planned: Point) -> tuple[Point, float]:
    if base is None or point not in base[0]:
        return planned, 0.0
    k = base[0].index(point)
    return base[1].points[k], base[1].error_mm(k)


def adjusted_stage(plan: DatumPlan, readings: Sequence[Reading]) -> tuple[list[str], Adjusted]:
    """Return the datum points that readings of one stage name, and their places in the frame of the marks.

    Parameters
    ----------
    plan : DatumPlan
        Points, their planned places and the standard error of a reading.
    readings : sequence of Reading
        Datum distances of one stage, each with a value.

    Raises
    ------
    GeometryError
        When the distances do not fix the points.
    """
    named = {r.name for r in readings} | {r.to for r in readings}
    points = [p for p in plan.points if p.name in named]
    names = [p.name for p in points]
    frame = [k for k, p in enumerate(points) if p.kind == "mark"]
    if len(frame) < 2:
        raise GeometryError(say("at least two marks are needed to hold the frame"))
    rows = [
        Distance(names.index(r.name), names.index(r.to), float(r.measured_mm or 0.0), plan.reading_mm) for r in readings
    ]
    return names, adjust([p.at for p in points], rows, frame)


def loop_advice(loop: DatumLoop, pitch_mm: float) -> list[Message]:
    """Return what to do about it.

    Parameters
    ----------
    loop : DatumLoop
        What was found.
    pitch_mm : float
        How far a pad may be off [mm].
    """
    out: list[Message] = []
    for stage, label, off in loop.doubtful:
        out.append(
            say(
                "Measure {label} again ({stage}): it does not fit the other distances by {off}.",
                label=name(label),
                stage=stage_said(stage),
                off=mm(abs(off), 1),
            )
        )
    for stage, labels, off in loop.disagree:
        out.append(
            say(
                "Stage {stage}: the distances disagree by up to {off}, no telling which is wrong. Measure again: {labels}.",
                stage=stage_said(stage),
                off=mm(off, 1),
                labels=listed(labels),
            )
        )
    for stage in loop.unfixed:
        out.append(
            say("Stage {stage}: the distances do not fix every point; measure more of them.", stage=stage_said(stage))
        )
    for late in dict.fromkeys(m.stage for m in loop.moved):
        out.append(_stage_advice(late, [m for m in loop.moved if m.stage == late], pitch_mm))
    return out


def _stage_advice(stage: str, moved: Sequence[Moved], pitch_mm: float) -> Message:
    told = [m for m in moved if m.told]
    far = [m for m in told if m.distance_mm > (pitch_mm if m.is_pad else 0.0)]
    said = stage_said(stage)
    if not told:
        return say("Stage {stage}: nothing moved more than the tape can tell.", stage=said)
    worst = max(told, key=lambda m: m.distance_mm)
    points, off, error = listed(m.point for m in (far or told)), mm(worst.distance_mm, 1), mm(worst.error_mm, 1)
    if not far:
        text = template(
            "Stage {stage}: {points} moved, by {far} at most (standard error {error}): within what the pads allow."
        )
    elif stage == "open":
        text = template(
            "Stage {stage}: the skin has sprung at {points}, by {far} at most (standard error {error}). Bring it back "
            "against the brace before the plate goes in."
        )
    elif stage == "tacked":
        text = template(
            "Stage {stage}: {points} moved by {far} at most (standard error {error}). Grind the tacks out, set the plate "
            "back and tack again before you weld."
        )
    else:
        text = template(
            "Stage {stage}: {points} moved by {far} at most (standard error {error}). Do not ream or force the bolts: ask "
            "who decides for the vehicle."
        )
    return text.fill(stage=said, points=points, far=off, error=error)


def stage_said(stage: str) -> Message:
    """Return the name of a stage."""
    if stage == "before":
        return say("before cutting")
    if stage == "open":
        return say("skin open")
    if stage == "tacked":
        return say("plate tacked")
    return say("welded and cold")
