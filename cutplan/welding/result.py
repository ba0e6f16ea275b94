"""The weld plan as data: what sheets, report and summary read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cutplan.findings import Finding
from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Point
from cutplan.pattern.joint import Span
from cutplan.tables.band import Band
from cutplan.welding.settings.carbon import Weldability
from cutplan.welding.settings.machine import Settings
from cutplan.welding.shrinkage.buckling import Buckling
from cutplan.welding.shrinkage.restraint import Restraint
from cutplan.welding.stitches.joint import WeldJoint

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


@dataclass(frozen=True, slots=True)
class KeepAway:
    """A thing that heat ruins and how far to keep it from the middle of the weld [mm]."""

    thing: str
    limit_C: float
    distance_mm: Band
    consequence: str
    source: str


@dataclass(frozen=True, slots=True)
class OrderFigure:
    """One order compared: what it does to the pads and how long it takes.

    Parameters
    ----------
    name : str
        Name, such as ``once round``.
    flatness_mm, pitch_mm, tilt_mm_per_m, closing_mm : Band
        Predictions [mm], [mm/m].
    order : tuple of str
        Beads by name in welding order; ``S3<`` is welded backward.
    at_yield : bool
        The weld reaches yield: will crack or buckle rather than move.
    chosen : bool
        The plan uses this order.
    total_s : float
        Time from first arc to last with waits and moves [s].
    """

    name: str
    flatness_mm: Band
    pitch_mm: Band
    tilt_mm_per_m: Band
    closing_mm: Band
    order: tuple[str, ...]
    at_yield: bool
    chosen: bool
    total_s: float


@dataclass(frozen=True, slots=True)
class BraceFigure:
    """With and without the brace, side by side, and where one more tack or brace would help.

    Parameters
    ----------
    present : bool
        The job has a brace.
    flatness_with_mm, flatness_without_mm : Band or None
        Pads out of flat [mm]; None where that was not computed.
    statement : str
        What the brace is worth, in one sentence.
    candidates : tuple of str
        One more tack or brace, best first, in words.
    """

    present: bool
    flatness_with_mm: Band | None
    flatness_without_mm: Band | None
    statement: str
    candidates: tuple[str, ...]


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
class WeldPlan:
    """How the plate is welded in.

    Parameters
    ----------
    joint : WeldJoint
        Kind, spans, corners, section, plug welds.
    length_mm : float
        Length of weld [mm].
    settings : Settings
        Machine settings with heat input.
    runs : int
        Runs on the joint.
    metal_kg : float
        Weld metal, plug welds included [kg].
    wire_kg : Band
        Wire or rod [kg].
    gas_l : Band
        Shielding gas [l].
    arc_time_s : float
        Time with the arc on, tacks and plugs included [s].
    total_time_s : float
        From first arc to last, with waits and moves [s].
    heat_input_J_per_mm : Band
        Net heat input of one run [J/mm].
    t85_s : Band
        Cooling time from 800 to 500 degC [s].
    cooling_regime : str
        ``thin`` or ``thick`` heat flow.
    keep_away : tuple of KeepAway
        Distances to keep, hottest first.
    weldability : tuple of Weldability
        Plate and skin.
    shrink_mm, tendon_N, angle_deg : Band
        What one stitch does when it is free [mm], [N], [deg].
    restraint : Restraint
        Closed insert: stress across the weld, held at yield.
    buckling : Buckling
        Flag for the skin.
    interpass_C : float
        Limit that the waits keep [degC].
    tack_length_mm, tack_spacing_mm : float
        By rule or job [mm].
    tack_rule : str
        Which rules, in words.
    closing_mm : Band
        Closing of the gap ahead of the arc between two tacks [mm].
    tacks, stitches : tuple of PlacedBead
        In the order of welding.
    orders : tuple of OrderFigure
        The orders compared, chosen one included; empty when the order was not computed.
    chosen : str
        Name of the chosen order.
    reason : str
        Why, in one sentence.
    robust : bool
        The choice survives the band (else the order hardly matters here).
    brace : BraceFigure
        What the brace is worth.
    shape : ShapeAfter or None
        Displaced shapes.
    coupon : str
        Which trial piece narrowed the bands, in words; empty for none.
    findings : tuple of Finding
        Everything noticed.
    insert_C : Band
        Highest temperature in the middle of the insert [degC].
    """

    joint: WeldJoint
    length_mm: float
    settings: Settings
    runs: int
    metal_kg: float
    wire_kg: Band
    gas_l: Band
    arc_time_s: float
    total_time_s: float
    heat_input_J_per_mm: Band
    t85_s: Band
    cooling_regime: str
    keep_away: tuple[KeepAway, ...]
    weldability: tuple[Weldability, ...]
    shrink_mm: Band
    tendon_N: Band
    angle_deg: Band
    restraint: Restraint
    buckling: Buckling
    interpass_C: float
    tack_length_mm: float
    tack_spacing_mm: float
    tack_rule: str
    closing_mm: Band
    tacks: tuple[PlacedBead, ...]
    stitches: tuple[PlacedBead, ...]
    orders: tuple[OrderFigure, ...]
    chosen: str
    reason: str
    robust: bool
    brace: BraceFigure
    shape: ShapeAfter | None
    coupon: str
    findings: tuple[Finding, ...]
    insert_C: Band

    @property
    def wait_s(self) -> float:
        """Sum of all waits, moves left out [s]."""
        return sum(b.wait_s for b in (*self.tacks, *self.stitches))

    def summary(self) -> dict[str, object]:
        """Return the figures that ``summary.json`` holds under ``weld``, as plain data."""
        return {
            "kind": self.joint.kind,
            "process": self.settings.process,
            "length_mm": self.length_mm,
            "tacks": len(self.tacks),
            "stitches": len(self.stitches),
            "runs": self.runs,
            "metal_kg": self.metal_kg,
            "wire_kg": self.wire_kg.as_dict(),
            "gas_l": self.gas_l.as_dict(),
            "arc_time_s": self.arc_time_s,
            "total_time_s": self.total_time_s,
            "heat_input_J_per_mm": self.heat_input_J_per_mm.as_dict(),
            "t85_s": self.t85_s.as_dict(),
            "shrink_mm": self.shrink_mm.as_dict(),
            "closing_mm": self.closing_mm.as_dict(),
            "orders": [
                {
                    "name": o.name,
                    "flatness_mm": {"low": o.flatness_mm.low, "mid": o.flatness_mm.mid, "high": o.flatness_mm.high},
                    "pitch_mm": o.pitch_mm.mid,
                    "order": list(o.order),
                }
                for o in self.orders
            ],
            "chosen": self.chosen,
            "reason": self.reason,
            "robust": self.robust,
            "brace": self.brace.statement,
            "wait_s": self.wait_s,
            "keep_away_mm": {k.thing: k.distance_mm.mid for k in self.keep_away},
            "coupon": self.coupon,
            "insert_C": self.insert_C.as_dict(),
        }
