"""A weld that comes after the stitches, as a line of the plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cutplan.geometry.vector import Point
from cutplan.tables.band import Band

LaterKind = Literal["sleeve", "rib"]


@dataclass(frozen=True, slots=True)
class LaterWeld:
    """A sleeve's or a rib's fillets, welded once the stitches are cold.

    Parameters
    ----------
    name : str
        Hole or rib.
    kind : {"sleeve", "rib"}
        What it is.
    at : Point
        Middle of the sleeve, or of the rib under the plate [mm].
    first : int
        Number of its first bead, counted on from the last stitch.
    beads : int
        Beads in turn: quarters of a sleeve, sides of a rib.
    length_mm : float
        Length of each bead [mm].
    arc_s : float
        Arc time of all of them [s].
    heat_kJ : Band
        Net heat of all of them [kJ].
    wait_s : float
        Longest wait before one of them, beyond the time to move [s].
    shrink_mm : Band
        What one bead shrinks across [mm].
    angle_deg : Band
        What one bead turns the plate beside it [deg].
    lift_mm : Band or None
        How far the rim of the pad around a sleeve may lift by that [mm]; None where it lies in no pad.
    after_mm : Band or None
        Pads out of flat once it is cold, all before it welded [mm]; None where it was not computed.
    """

    name: str
    kind: LaterKind
    at: Point
    first: int
    beads: int
    length_mm: float
    arc_s: float
    heat_kJ: Band
    wait_s: float
    shrink_mm: Band
    angle_deg: Band
    lift_mm: Band | None
    after_mm: Band | None = None
