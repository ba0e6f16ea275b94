"""Readings taken on the way, and the plan of what is left."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.findings import Finding
from cutplan.geometry.vector import Point
from cutplan.tables.band import Band
from cutplan.texts import Message
from cutplan.welding.distortion.result import AfterStitches
from cutplan.welding.later.result import LaterWeld
from cutplan.welding.result import OrderFigure, PlacedBead

#: Stage before the first tack, and after the last.
FIT, TACKS = "fit", "tacks"


@dataclass(frozen=True, slots=True)
class GapRead:
    """A gap measured at a station.

    Parameters
    ----------
    station : str
        Name of the station.
    place : Point
        Where it is on the outline [mm].
    after : str
        ``tacks``, or the bead welded last.
    value_mm, before_mm : float, float or None
        The gap, and what it was before the first tack where that was measured [mm].
    """

    station: str
    place: Point
    after: str
    value_mm: float
    before_mm: float | None = None


@dataclass(frozen=True, slots=True)
class DialRead:
    """A dial reading on a pad.

    Parameters
    ----------
    pad : str
        Name of the pad.
    number : str
        Number of the place on it.
    place : Point
        Where it is [mm].
    after : str
        ``tacks``, or the bead welded last.
    value_mm, zero_mm : float, float or None
        Height towards the torch, and what it was before the first tack where that was read [mm].
    """

    pad: str
    number: str
    place: Point
    after: str
    value_mm: float
    zero_mm: float | None = None


@dataclass(frozen=True, slots=True)
class BenchReadings:
    """Everything read on the way.

    Parameters
    ----------
    gaps : tuple of GapRead
        Gaps that are still open.
    dials : tuple of DialRead
        Heights on the pads.
    done : tuple of (str, bool)
        Beads as they were welded, and whether against the planned direction; empty: as planned up to the last reading.
    """

    gaps: tuple[GapRead, ...] = ()
    dials: tuple[DialRead, ...] = ()
    done: tuple[tuple[str, bool], ...] = ()


@dataclass(frozen=True, slots=True)
class Reread:
    """One reading against the plan, said.

    Parameters
    ----------
    what : Message
        Which reading.
    form_mm : float
        As it stands on the form [mm].
    read_mm : float
        Closing of a gap, or height over the plane that fits its round best [mm].
    before, after : Band
        What the plan expected and what is expected now [mm].
    odd : bool
        It stands against all others.
    """

    what: Message
    form_mm: float
    read_mm: float
    before: Band
    after: Band
    odd: bool


@dataclass(frozen=True, slots=True)
class Lesson:
    """What the readings said of one uncertain quantity, before and after [unit of the bands]."""

    what: Message
    before: Band
    after: Band
    told: bool


@dataclass(frozen=True, slots=True)
class Outlook:
    """What is to be expected after all welds: chance to stay within what the pads allow [1], pads out of flat [mm].

    ``stitched`` is the same after the last stitch; None where no sleeve and no rib comes after it.
    """

    chance: float
    flatness_mm: Band
    stitched: AfterStitches | None = None


@dataclass(frozen=True, slots=True)
class BenchPlan:
    """How to go on.

    Parameters
    ----------
    agrees : bool
        The readings lie within what the model can do; where not, the order stays and no chance is given.
    kept : bool
        The planned order stays, that of sleeves and ribs included.
    done, left : tuple of PlacedBead
        What is welded, and what is left in its new order, numbered on from what is welded, with waits.
    reason : tuple of Message
        What the readings mean, sentence by sentence.
    before : Outlook
        As planned, before the readings.
    now : Outlook or None
        With what is left now; None where the readings do not fit.
    readings : tuple of Reread
        Each reading against the plan.
    lessons : tuple of Lesson
        What they said of what was uncertain.
    orders : tuple of OrderFigure
        Orders of what is left, compared.
    draws, effective : int, float
        Draws that the bands are made of, and how many of the first ones the readings leave by weight alone [1].
    time_s : float
        From the next arc to the last, with waits and moves [s].
    findings : tuple of Finding
        Doubts about the readings.
    later : tuple of LaterWeld
        Sleeves and ribs after the stitches, numbered on.
    """

    agrees: bool
    kept: bool
    done: tuple[PlacedBead, ...]
    left: tuple[PlacedBead, ...]
    reason: tuple[Message, ...]
    before: Outlook
    now: Outlook | None
    readings: tuple[Reread, ...]
    lessons: tuple[Lesson, ...]
    orders: tuple[OrderFigure, ...]
    draws: int
    effective: float
    time_s: float
    findings: tuple[Finding, ...]
    later: tuple[LaterWeld, ...] = ()

    def as_dict(self) -> dict[str, object]:
        """Return the plan as plain data for ``--json``."""

        def numbers(band: Band) -> dict[str, float]:
            return {k: round(getattr(band, k), 4) for k in ("low", "mid", "high")}

        def outlook(one: Outlook | None) -> dict[str, object] | None:
            if one is None:
                return None
            known: dict[str, object] = {"chance_within": one.chance, "flatness_mm": numbers(one.flatness_mm)}
            if one.stitched is not None:
                after = {"chance_within": one.stitched.chance_within, "flatness_mm": numbers(one.stitched.flatness_mm)}
                known["after_stitches"] = after
            return known

        return {
            "agrees": self.agrees,
            "kept": self.kept,
            "done": [b.name + ("<" if b.backward else "") for b in self.done],
            "left": [
                {"name": b.name, "backward": b.backward, "position": b.position, "wait_s": round(b.wait_s, 1)}
                for b in self.left
            ],
            "later": [
                {"name": w.name, "kind": w.kind, "after_mm": None if w.after_mm is None else numbers(w.after_mm)}
                for w in self.later
            ],
            "before": outlook(self.before),
            "now": outlook(self.now),
            "readings": [
                {
                    "what": str(r.what),
                    "form_mm": round(r.form_mm, 4),
                    "read_mm": round(r.read_mm, 4),
                    "before_mm": numbers(r.before),
                    "after_mm": numbers(r.after),
                    "odd": r.odd,
                }
                for r in self.readings
            ],
            "learnt": [
                {
                    "what": str(x.what),
                    "unit": x.before.unit,
                    "before": numbers(x.before),
                    "after": numbers(x.after),
                    "told": x.told,
                }
                for x in self.lessons
            ],
            "draws": self.draws,
            "effective": round(self.effective, 1),
            "minutes": round(self.time_s / 60.0, 1),
            "reason": [str(r) for r in self.reason],
            "findings": [f.as_dict() for f in self.findings],
        }
