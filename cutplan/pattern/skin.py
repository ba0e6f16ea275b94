"""The pressed wall around the opening, its box and the ribs hidden behind it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from cutplan.geometry.vector import Point

Knowledge = Literal["known", "suspected", "unknown"]


@dataclass(frozen=True, slots=True)
class Rib:
    """A hidden support behind the skin, drawn as a polyline in the plate's coordinates.

    Parameters
    ----------
    name : str
        Label printed on the plan.
    path : tuple of Point
        At least two points [mm].
    knowledge : {"known", "suspected", "unknown"}
        known: seen or measured; suspected: expected from outside signs; unknown: depth not known.
    depth_mm : float or None
        How far the rib reaches behind the skin [mm]; None when not known.
    thickness_mm : float
        Sheet thickness of the rib [mm].
    joined : bool
        Whether the rib is welded to the skin (and so must be parted before a section can drop).
    thickness_assumed : bool
        Nobody measured its sheet: the thickness is a usual one.
    """

    name: str
    path: tuple[Point, ...]
    knowledge: Knowledge = "known"
    depth_mm: float | None = None
    thickness_mm: float = 2.0
    joined: bool = True
    thickness_assumed: bool = False


WallSide = Literal["left", "right", "bottom", "top"]
WALL_SIDES: tuple[WallSide, ...] = get_args(WallSide)


@dataclass(frozen=True, slots=True)
class Walls:
    """Distances from the opening's bounding box to the side walls of the pressed box [mm].

    ``assumed`` names the sides that nobody measured: their distance is a usual one.
    """

    left_mm: float = 60.0
    right_mm: float = 60.0
    bottom_mm: float = 30.0
    top_mm: float = 30.0
    assumed: tuple[WallSide, ...] = ()

    def mm(self, side: WallSide) -> float:
        """Return the distance on one side [mm]."""
        return {"left": self.left_mm, "right": self.right_mm, "bottom": self.bottom_mm, "top": self.top_mm}[side]


@dataclass(frozen=True, slots=True)
class Skin:
    """The wall that the opening is cut out of.

    Parameters
    ----------
    thickness_mm : float
        Skin thickness [mm].
    steel : str
        Steel name of ``tables.steel``.
    walls : Walls
        Where the box's side walls support the skin.
    box_depth_mm : float or None
        Free depth behind the skin to the next wall, pipe or cable [mm]; None when not measured.
    ribs : tuple of Rib
        Hidden supports.
    """

    thickness_mm: float = 2.5
    steel: str = "mild"
    walls: Walls = Walls()
    box_depth_mm: float | None = None
    ribs: tuple[Rib, ...] = ()
