"""The weld plan as data: what sheets, report and summary read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from cutplan.findings import Finding
from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Point
from cutplan.pattern.joint import Span
from cutplan.tables.band import Band
from cutplan.texts import Message
from cutplan.welding.distortion.later.parts import LaterPlan
from cutplan.welding.distortion.result import AfterStitches
from cutplan.welding.later.result import LaterWeld
from cutplan.welding.settings.machine import Settings
from cutplan.welding.shrinkage.buckling import Buckling
from cutplan.welding.shrinkage.restraint import Restraint
from cutplan.welding.stitches.joint import WeldJoint

if TYPE_CHECKING:
    from cutplan.welding.heat.reach import Reach

BeadKind = Literal["tack", "stitch"]


@dataclass(frozen=True, slots=True)
class PlacedBead:
    """One tack or stitch of the plan, in the order of welding.

    Parameters
    ----------
    name : str
        Stable name along the joint, such as ``T3`` or ``S12``.
    kind : {"tack", "stitch"}
        What it is.
    number : int
        Place in the order of welding among beads of its kind, from 1: the number to draw.
    span : Span
        Stretch along the plate's outline; the end may lie beyond its length [mm].
    path : tuple of Segment
        The bead in its direction of travel [mm].
    start, middle, end : Point
        Where the arc starts, half way, and stops [mm].
    backward : bool
        Welded against the outline's own direction (clockwise).
    length_mm : float
        Length [mm].
    wait_s : float
        Wait before it, beyond the time to move [s].
    start_s : float
        Start after the first arc of the plan [s].
    before_C : Band
        Warmest place of the bead just before the arc gets there [degC].
    position : str
        Welding position by ISO 6947.
    """

    name: str
    kind: BeadKind
    number: int
    span: Span
    path: tuple[Segment, ...]
    start: Point
    middle: Point
    end: Point
    backward: bool
    length_mm: float
    wait_s: float
    start_s: float
    before_C: Band
    position: str = "PA"


@dataclass(frozen=True, slots=True)
class KeepAway:
    """A thing that heat ruins and how far to keep it from the middle of the weld [mm]."""

    thing: Message
    limit_C: float
    distance_mm: Band
    consequence: Message
    source: Message | str


@dataclass(frozen=True, slots=True)
class OrderFigure:
    """One order compared: what it does to the pads and how long it takes.

    Parameters
    ----------
    key : str
        Name in the job file, such as ``once round``.
    name : Message
        The same to be read.
    flatness_mm, pitch_mm, tilt_mm_per_m, closing_mm : Band
        Predictions: median and what holds four fifths of the draws [mm], [mm/m].
    chance_within : float
        Share of the draws in which the pads keep what they allow [1].
    equal_to_best : bool
        Not told apart from the best order.
    order : tuple of str
        Beads by name in welding order; ``S3<`` is welded backward.
    chosen : bool
        The plan uses this order.
    total_s : float
        Time from first arc to last with waits and moves [s].
    stitched : AfterStitches or None
        What it leaves after the last stitch, where sleeves and ribs are welded after that: all else is told after these.
    """

    key: str
    name: Message
    flatness_mm: Band
    pitch_mm: Band
    tilt_mm_per_m: Band
    closing_mm: Band
    chance_within: float
    equal_to_best: bool
    order: tuple[str, ...]
    chosen: bool
    total_s: float
    stitched: AfterStitches | None = None


@dataclass(frozen=True, slots=True)
class BraceFigure:
    """With and without the brace, side by side, and where one more tack or brace would help.

    Parameters
    ----------
    present : bool
        The job has a brace.
    flatness_with_mm, flatness_without_mm : Band or None
        Pads out of flat [mm]; None where that was not computed.
    statement : Message
        What the brace is worth, in one sentence.
    candidates : tuple of Message
        One more tack or brace, best first.
    """

    present: bool
    flatness_with_mm: Band | None
    flatness_without_mm: Band | None
    statement: Message
    candidates: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to weld the job, with what it gives and what it costs.

    Parameters
    ----------
    what : Message
        Order, brace and preset.
    flatness_mm : Band
        Pads out of flat [mm].
    chance_within : float
        Share of the draws in which the pads keep what they allow [1].
    minutes : float
        From first arc to last [min].
    cost : Message
        What it asks for besides.
    chosen : bool
        The plan does this.
    """

    what: Message
    flatness_mm: Band
    chance_within: float
    minutes: float
    cost: Message
    chosen: bool


@dataclass(frozen=True, slots=True, eq=False)
class ShapeAfter:
    """Plate and skin after each step of the chosen order: mesh, lift of each point [mm], labels of the steps."""

    points: NDArray[np.float64]
    triangles: NDArray[np.int64]
    is_plate: NDArray[np.bool_]
    lift_mm: NDArray[np.float64]
    labels: tuple[str, ...]

    @property
    def largest_mm(self) -> float:
        """Largest lift, up or down, after any step [mm]."""
        return float(np.abs(self.lift_mm).max()) if self.lift_mm.size else 0.0


@dataclass(frozen=True, slots=True)
class HeatFigures:
    """The heat of the plan.

    Parameters
    ----------
    input_J_per_mm : Band
        Net heat input of one run [J/mm].
    t85_s : Band
        Cooling time from 800 to 500 degC [s].
    regime : str
        ``thin`` or ``thick`` heat flow.
    interpass_C : float
        Limit that the waits keep [degC].
    keep_away : tuple of KeepAway
        Distances to keep, hottest first.
    reach : Reach
        The warmest that places beside the joint, and the insert, get in the course of the plan.
    """

    input_J_per_mm: Band
    t85_s: Band
    regime: str
    interpass_C: float
    keep_away: tuple[KeepAway, ...]
    reach: Reach


@dataclass(frozen=True, slots=True)
class Consumption:
    """What the joint takes, plug welds included.

    Parameters
    ----------
    metal_kg : float
        Weld metal [kg].
    laid_mm2 : float
        Section that all runs together lay down at these settings [mm2]; that of the joint where no feed is known.
    wire_kg : Band
        Wire or rod [kg].
    gas_l : Band
        Shielding gas [l].
    arc_time_s : float
        Time with the arc on, tacks included [s].
    """

    metal_kg: float
    laid_mm2: float
    wire_kg: Band
    gas_l: Band
    arc_time_s: float


@dataclass(frozen=True, slots=True)
class FreeFigures:
    """What one stitch does when it is free, and what it meets.

    Parameters
    ----------
    shrink_mm, tendon_N, angle_deg : Band
        Shrinkage across, pull along, angle [mm], [N], [deg].
    restraint : Restraint
        Closed insert: stress across the weld, held at yield.
    buckling : Buckling
        Flag for the skin.
    coupon : Message
        Which trial piece narrowed the bands, in words; empty for none.
    """

    shrink_mm: Band
    tendon_N: Band
    angle_deg: Band
    restraint: Restraint
    buckling: Buckling
    coupon: Message


@dataclass(frozen=True, slots=True)
class Tacking:
    """The rule of the tacks.

    Parameters
    ----------
    length_mm, spacing_mm : float
        By rule or job [mm].
    rule : Message
        Which rules, in words.
    closing_mm : Band
        Closing of the gap ahead of the arc between two tacks [mm].
    """

    length_mm: float
    spacing_mm: float
    rule: Message
    closing_mm: Band


@dataclass(frozen=True, slots=True, eq=False)
class OrderFigures:
    """The comparison of orders.

    Parameters
    ----------
    compared : tuple of OrderFigure
        The orders compared, chosen one included; empty when the order was not computed.
    chosen : str
        Key of the chosen order.
    reason : tuple of Message
        Why, sentence by sentence.
    draws : int
        Draws that the bands are made of; 0 when the order was not computed.
    choices : tuple of Choice
        Ways to weld the job side by side, the chosen one first.
    choice_reason : Message
        Why the chosen one of them; empty where there is nothing to choose.
    brace : BraceFigure
        What the brace is worth.
    shape : ShapeAfter or None
        Displaced shapes.
    later : LaterPlan or None
        What sleeves and ribs do to the pads after the stitches; None where none are welded.
    """

    compared: tuple[OrderFigure, ...]
    chosen: str
    reason: tuple[Message, ...]
    draws: int
    choices: tuple[Choice, ...]
    choice_reason: Message
    brace: BraceFigure
    shape: ShapeAfter | None
    later: LaterPlan | None = None


@dataclass(frozen=True, slots=True)
class WeldPlan:
    """How the plate is welded in.

    Parameters
    ----------
    joint : WeldJoint
        Kind, spans, corners, section, plug welds.
    settings : Settings
        Machine settings with heat input.
    runs : int
        Runs on the joint.
    total_time_s : float
        From first arc to last, with waits and moves [s].
    heat : HeatFigures
        Heat input, cooling time, limits and distances to keep.
    uses : Consumption
        Metal, wire, gas and arc time.
    free : FreeFigures
        What one stitch does when it is free, and what it meets.
    tacking : Tacking
        The rule of the tacks.
    order : OrderFigures
        The comparison of orders.
    tacks, stitches : tuple of PlacedBead
        In the order of welding.
    findings : tuple of Finding
        Everything noticed.
    later : tuple of LaterWeld
        Sleeves and ribs, welded once the stitches are cold.
    """

    joint: WeldJoint
    settings: Settings
    runs: int
    total_time_s: float
    heat: HeatFigures
    uses: Consumption
    free: FreeFigures
    tacking: Tacking
    order: OrderFigures
    tacks: tuple[PlacedBead, ...]
    stitches: tuple[PlacedBead, ...]
    findings: tuple[Finding, ...]
    later: tuple[LaterWeld, ...] = ()

    @property
    def length_mm(self) -> float:
        """Length of weld [mm]."""
        return self.joint.line.length_mm

    @property
    def wait_s(self) -> float:
        """Sum of all waits, moves left out [s]."""
        return sum(b.wait_s for b in (*self.tacks, *self.stitches))
