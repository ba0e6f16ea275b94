"""Where a moved mount has ended up: its place after welding against the plan, by the tolerance that the study gives it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from cutplan.errors import GeometryError
from cutplan.geometry.vector import Point
from cutplan.inspection.datum_loop import adjusted_stage
from cutplan.inspection.judge import Checked
from cutplan.inspection.readings import Reading
from cutplan.opening.model import DatumPlan
from cutplan.pattern.job import Job
from cutplan.texts import Message, listed, mm, say

#: Stages at which the mount's place can be told, the last first.
_STAGES = ("welded", "tacked")
#: Standard errors within which a place is not proved: coverage factor 2 of ISO 14253-1 (from memory).
_COVER = 2.0


@dataclass(frozen=True, slots=True)
class MountPlace:
    """Where the mount is.

    Parameters
    ----------
    stage : str
        Stage of the datum distances that tell it.
    pads : tuple of str
        Pads of the mount that were measured.
    off : Point
        From the plan to where it is, in the plane of the plate [mm].
    error_mm : float
        Standard error of that [mm].
    tolerance_mm : float
        How far the study lets it be off, in any direction [mm].
    """

    stage: str
    pads: tuple[str, ...]
    off: Point
    error_mm: float
    tolerance_mm: float

    @property
    def off_mm(self) -> float:
        """How far it is off [mm]."""
        return hypot(self.off.x, self.off.y)

    @property
    def proved(self) -> bool:
        """Whether it is within the tolerance by more than its standard errors."""
        return self.off_mm + _COVER * self.error_mm <= self.tolerance_mm

    def as_dict(self) -> dict[str, object]:
        """Return plain data for ``--json``."""
        return {
            "stage": self.stage,
            "pads": list(self.pads),
            "off_mm": [round(self.off.x, 3), round(self.off.y, 3)],
            "distance_mm": round(self.off_mm, 3),
            "standard_error_mm": round(self.error_mm, 3),
            "tolerance_mm": round(self.tolerance_mm, 3),
            "proved": self.proved,
        }


def mount_place(job: Job, datum: DatumPlan | None, readings: Sequence[Reading]) -> MountPlace | None:
    """Return where the moved mount is; None without a tolerance, a pad on the mount, or datum distances that reach it.

    Parameters
    ----------
    job : Job
        For what moved and its tolerance.
    datum : DatumPlan or None
        The datum points as planned, which the marks on the skin hold together.
    readings : sequence of Reading
        Datum distances of every stage.

    Notes
    -----
    Plate and pads are planned at the moved place; the marks on the skin do not move with it. So the place of the pads in
    the frame of the marks, less the plan, is how far the mount is off. Pads share one shift: its standard error is that
    of a mean.
    """
    moved = job.origin.moved
    if moved is None or moved.tolerance_mm is None or datum is None:
        return None
    planned = {p.name: p.at for p in datum.points if p.kind == "pad" and p.name in moved.pads}
    for stage in _STAGES:
        own = [r for r in readings if r.kind == stage and r.measured_mm is not None]
        if not any({r.name, r.to} & planned.keys() for r in own):
            continue
        try:
            names, made = adjusted_stage(datum, own)
        except GeometryError:
            continue
        pads = [n for n in names if n in planned]
        offs = [made.points[names.index(n)].minus(planned[n]) for n in pads]
        errors = [made.error_mm(names.index(n)) for n in pads]
        many = len(pads)
        off = Point(sum(d.x for d in offs) / many, sum(d.y for d in offs) / many)
        return MountPlace(stage, tuple(pads), off, hypot(*errors) / many, moved.tolerance_mm)
    return None


def judge_mount(place: MountPlace) -> Checked:
    """Return the verdict on the mount's place."""
    label = say("place of the mount ({pads})", pads=listed(place.pads))
    return Checked(label, "place", 0.0, 0.0, place.off_mm, place.off_mm, 0.0, place.tolerance_mm,
                   say("tolerance of the study"))  # fmt: skip


def mount_open(job: Job, place: MountPlace | None) -> bool:
    """Whether a study gives the mount a tolerance, and its place after welding is not measured."""
    wanted = job.origin.moved is not None and job.origin.moved.tolerance_mm is not None
    return wanted and (place is None or place.stage != _STAGES[0])


def mount_advice(job: Job, place: MountPlace | None) -> list[Message]:
    """Return what must be said about the mount's place; nothing where no study gives it a tolerance."""
    if job.origin.moved is None or job.origin.moved.tolerance_mm is None:
        return []
    if place is None:
        if not job.origin.moved.pads:
            return [say("No pad stands on the moved mount, so its place cannot be checked: give its bolts a pad.")]
        return [say("The place of the moved mount is not measured: take the datum distances to {pads} when it is cold.",
                    pads=listed(job.origin.moved.pads))]  # fmt: skip
    off, error, allowed = mm(place.off_mm, 1), mm(place.error_mm, 1), mm(place.tolerance_mm, 1)
    if place.off_mm > place.tolerance_mm:
        return [say("The mount lies {off} from its planned place (standard error {error}); the study allows {allowed}. "
                    "Work the study out again at the place it has before anything is bolted on.",
                    off=off, error=error, allowed=allowed)]  # fmt: skip
    if not place.proved:
        return [say("The mount lies {off} from its planned place, within the {allowed} that the study allows, but the "
                    "tape (standard error {error}) does not prove it: measure the datum distances again.",
                    off=off, error=error, allowed=allowed)]  # fmt: skip
    return [say("The mount lies {off} from its planned place in the plane of the plate (standard error {error}); the "
                "study allows {allowed}. Its height out of that plane is checked with square and plumb line.",
                    off=off, error=error, allowed=allowed)]  # fmt: skip
