"""Whether the mount moved: the datum distances of each stage adjusted, and how far each point went since the first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, log, sqrt

import numpy as np

from cutplan.errors import GeometryError
from cutplan.geometry.vector import Point
from cutplan.inspection.readings import STAGES, Reading
from cutplan.opening.model import DatumPlan
from cutplan.survey.equations import Floats
from cutplan.survey.network import Adjusted, Distance, adjust
from cutplan.texts import Message, listed, mm, name, say, template

#: A movement of so many standard errors, measured in its own direction by both coordinates together, is told: 95 of 100
#: that are none lie below. Exact: the square root of 5.99, the 95 % point of chi-squared with two degrees of freedom.
TOLD = sqrt(-2.0 * log(0.05))


@dataclass(frozen=True, slots=True)
class Moved:
    """How far a datum point went from one stage to another.

    Parameters
    ----------
    stage, point : str
        Where it was measured, and its name.
    dx_mm, dy_mm : float
        How far it went [mm].
    error_mm : float
        Standard error of that, in the direction that it went [mm].
    size : float
        Movement in standard errors, by both coordinates together [1].
    least_mm : float
        Movement that the tape tells in every direction [mm].
    is_pad : bool
        Whether it is a pad.
    """

    stage: str
    point: str
    dx_mm: float
    dy_mm: float
    error_mm: float
    size: float
    least_mm: float
    is_pad: bool

    @property
    def distance_mm(self) -> float:
        """How far it went [mm]."""
        return hypot(self.dx_mm, self.dy_mm)

    @property
    def told(self) -> bool:
        """Whether the tape can tell it from nothing."""
        return self.size > TOLD


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

    @property
    def open(self) -> bool:
        """Whether readings leave a stage in doubt: left out, in dispute, or too few to fix its points."""
        return bool(self.doubtful or self.disagree or self.unfixed)

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
                    "told_from_mm": round(m.least_mm, 3),
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
            start, before = _start(base, point, planned[point])
            moved.append(_moved(stage, point, made.points[k].minus(start), _square(made, k) + before, point in pads))
    return DatumLoop(
        "before" if base is not None else "", tuple(moved), tuple(doubtful), tuple(unfixed), tuple(disagree)
    )


def _start(base: tuple[list[str], Adjusted] | None, point: str, planned: Point) -> tuple[Point, Floats]:
    if base is None or point not in base[0]:
        return planned, np.zeros((2, 2))
    k = base[0].index(point)
    return base[1].points[k], _square(base[1], k)


def _square(made: Adjusted, point: int) -> Floats:
    """Covariance of one point's coordinates [mm2]."""
    at = slice(2 * point, 2 * point + 2)
    return np.asarray(made.covariance[at, at])


def _moved(stage: str, point: str, d: Point, covariance: Floats, is_pad: bool) -> Moved:
    """A movement with its error along itself and its size by the inverse of the covariance (Mahalanobis)."""
    went = np.array([d.x, d.y])
    far = float(np.hypot(*went))
    along = went / far if far > 0.0 else np.array([1.0, 0.0])
    size = float(np.sqrt(max(0.0, went @ np.linalg.pinv(covariance, hermitian=True) @ went)))
    largest = float(np.sqrt(max(0.0, np.linalg.eigvalsh(covariance)[-1])))
    error = sqrt(max(0.0, float(along @ covariance @ along)))
    return Moved(stage, point, d.x, d.y, error, size, TOLD * largest, is_pad)


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


def moved_too_far(loop: DatumLoop, pitch_mm: float) -> bool:
    """Return whether a pad, at the last stage that measured pads, has moved farther than it may and the tape tells so.

    Parameters
    ----------
    loop : DatumLoop
        What was found.
    pitch_mm : float
        How far a pad may be off [mm].
    """
    last = next((s for s in reversed(STAGES) if any(m.is_pad and m.stage == s for m in loop.moved)), "")
    return any(m.told and m.distance_mm > pitch_mm for m in loop.moved if m.is_pad and m.stage == last)


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
        least = max((m.least_mm for m in moved if m.is_pad), default=max(m.least_mm for m in moved))
        over = [m for m in moved if m.is_pad and m.distance_mm > pitch_mm]
        if over:
            return say(
                "Stage {stage}: {points} read up to {far} off, more than the {allowed} allowed, but the tape does not prove "
                "it: it tells {least} for sure. Try the part that bolts on, or measure again, before you go on.",
                stage=said,
                points=listed(m.point for m in over),
                far=mm(max(m.distance_mm for m in over), 1),
                allowed=mm(pitch_mm, None),
                least=mm(least, 1),
            )
        return say(
            "Stage {stage}: nothing moved that the tape can tell; it tells {least} for sure.",
            stage=said,
            least=mm(least, 1),
        )
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


def told_said() -> Message:
    """Return what a movement is measured in, and when it is told."""
    return say(
        "Across and up as on the drawing of the plate, in the frame that the marks hold together; ± is the standard error along "
        "the movement. Told: larger than 95 of 100 movements that are none."
    )


def stage_said(stage: str) -> Message:
    """Return the name of a stage."""
    if stage == "before":
        return say("before cutting")
    if stage == "open":
        return say("skin open")
    if stage == "tacked":
        return say("plate tacked")
    return say("welded and cold")
