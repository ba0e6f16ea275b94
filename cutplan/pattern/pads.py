"""What must stay flat and in place, and what holds it while welding."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cutplan.geometry.vector import Point
from cutplan.pattern.brace import BraceDesign

BraceKind = Literal["tube", "bar", "angle", "part"]


@dataclass(frozen=True, slots=True)
class Pad:
    """A face or hole on the plate that must stay flat and in place.

    Parameters
    ----------
    name : str
        Label printed on the plan.
    centre : Point
        Its middle on the plate [mm].
    diameter_mm : float
        Size of the face that must stay flat [mm].
    flatness_mm : float
        Out-of-flat allowed over the pad and between pads [mm].
    pitch_mm : float
        Change of distance to the other pads allowed [mm].
    """

    name: str
    centre: Point
    diameter_mm: float = 40.0
    flatness_mm: float = 0.5
    pitch_mm: float = 0.5


@dataclass(frozen=True, slots=True)
class Brace:
    """The job's wish for a brace: a bar, or the real mating part, and the line that it is to keep straight.

    How it is fitted is :class:`cutplan.pattern.brace.FittedBrace`.

    Parameters
    ----------
    kind : {"tube", "bar", "angle", "part"}
        Square tube, flat bar, angle, or the real part bolted on.
    size_mm : float
        Outside width of the section [mm].
    wall_mm : float
        Wall thickness of tube or angle, thickness of a bar [mm].
    start, end : Point
        Ends of its line over the plate [mm].
    design : BraceDesign or None
        How it is to lie to the opening; None: chosen by computation.
    """

    kind: BraceKind
    size_mm: float
    wall_mm: float
    start: Point
    end: Point
    design: BraceDesign | None = None
