"""The plate to be cut and welded in, and its holes with their purpose."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cutplan.geometry.contour import Contour
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point

Purpose = Literal["bolt", "sleeve", "plug weld", "access", "locating"]
PURPOSES: tuple[Purpose, ...] = ("bolt", "sleeve", "plug weld", "access", "locating")
#: Longest side of a plate [mm] (common practice: the length in which sheet is stocked). What follows from a plate takes
#: time with the square of its length.
LONGEST_SIDE_MM = 6000.0


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole of the plate.

    Parameters
    ----------
    name : str
        Short label printed beside the hole, such as ``H3``; unique in the plate.
    contour : Contour
        Its exact shape, clockwise [mm].
    purpose : Purpose
        bolt (clamped by a bolt), sleeve (a tube is welded in), plug weld (filled with weld), access, locating (pin).
    bolt : str
        Thread of the bolt, such as ``M10``; empty when unknown.
    cut : bool or None
        True: cut it whatever the rules say; False: never cut, only mark; None: the rules decide.
    in_skin : bool
        Whether the hole continues into the skin behind the plate (drilled there from a template).
    """

    name: str
    contour: Contour
    purpose: Purpose = "access"
    bolt: str = ""
    cut: bool | None = None
    in_skin: bool = False

    @property
    def diameter_mm(self) -> float | None:
        """Diameter [mm] when the hole is round, else None."""
        round_ = self.contour.as_circle()
        return 2.0 * round_[1] if round_ else None

    @property
    def centre(self) -> Point:
        """Centre of a round hole, centroid of any other [mm]."""
        round_ = self.contour.as_circle()
        return round_[0] if round_ else self.contour.centroid


@dataclass(frozen=True, slots=True)
class Plate:
    """The insert: exact outline, thickness, steel and holes.

    Parameters
    ----------
    outline : Contour
        Outer contour, counter-clockwise [mm].
    holes : tuple of Hole
        All holes; their contours are the holes of ``region``.
    thickness_mm : float
        Plate thickness [mm].
    steel : str
        Steel name of ``tables.steel``, such as ``S235`` or ``mild``.
    quantity : int
        Pieces wanted.
    """

    outline: Contour
    holes: tuple[Hole, ...]
    thickness_mm: float
    steel: str = "mild"
    quantity: int = 1

    @property
    def region(self) -> Region:
        """The plate as a region with its holes."""
        return Region(self.outline, tuple(h.contour for h in self.holes))


@dataclass(frozen=True, slots=True)
class Piece:
    """A further part of the job that is only cut, such as a gusset, a doubler or a washer; with a mirrored twin or not."""

    name: str
    plate: Plate
    mirrored: bool = False
