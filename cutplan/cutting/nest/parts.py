"""What is to be laid on a sheet: parts with their proved paths, where each copy lies, and the stock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import radians

from cutplan.cutting.result import CutPath, CutPlan
from cutplan.geometry.contour import turned_segment
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import ORIGIN, Point
from cutplan.texts import name, say
from cutplan.texts.values import Value

#: Name of the trial piece that is cut on its own lines, so that its sizes tell the kerf.
TRIAL = "kerf trial piece"


def part_said(part: str) -> Value:
    """Return the name of a part as it is told: the user's own word, or that of the trial piece in the reader's language."""
    return say("kerf trial piece") if part == TRIAL else name(part)


@dataclass(frozen=True, slots=True)
class Part:
    """One part: its name, its planned cut, and how many are wanted."""

    name: str
    plan: CutPlan
    quantity: int

    @property
    def net(self) -> Region:
        """The shape with the holes that are cut."""
        return self.plan.net


@dataclass(frozen=True, slots=True)
class Placed:
    """Where one copy lies: number of the part, turned counter-clockwise about the origin [deg], then moved [mm].

    ``host`` is the number of the placed copy in whose hole it lies, -1 for none.
    """

    part: int
    turn_deg: float
    x_mm: float
    y_mm: float
    host: int = -1

    def moved(self, segments: tuple[Segment, ...]) -> tuple[Segment, ...]:
        """Return segments of the part where this copy lies."""
        angle = radians(self.turn_deg)
        return tuple((turned_segment(s, angle, ORIGIN) if angle else s).moved(self.x_mm, self.y_mm) for s in segments)

    def point(self, point: Point) -> Point:
        """Return a place of the part where this copy lies."""
        return point.turned(radians(self.turn_deg)).plus(Point(self.x_mm, self.y_mm))

    def region(self, region: Region) -> Region:
        """Return a region of the part where this copy lies."""
        turned = region.turned(radians(self.turn_deg), ORIGIN) if self.turn_deg else region
        return turned.moved(self.x_mm, self.y_mm)


@dataclass(frozen=True, slots=True)
class Stock:
    """The sheet or remnant that is cut from; of plain rectangles there are as many as needed, any other is there once."""

    shape: Region
    rectangle: bool


def stock_of(stocks: Sequence[Stock], sheet: int) -> Stock:
    """Return what a sheet, counted from 0, is cut from: each stock in its turn, then the last one over again."""
    return stocks[min(sheet, len(stocks) - 1)]


@dataclass(frozen=True, slots=True)
class Room:
    """Metal to keep: between parts, and along the edge of the stock [mm]."""

    spacing_mm: float
    border_mm: float


@dataclass(frozen=True, slots=True)
class SheetCut:
    """One cut on the sheet: whose copy it is, and its path."""

    copy: int
    path: CutPath
