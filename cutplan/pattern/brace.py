"""The brace as it is really fitted: its bars with height and feet, and its one life through the work.

The job's own wish is :class:`cutplan.pattern.pads.Brace`. What is drawn, bought, tacked on, modelled and cut off again is
:class:`FittedBrace`: the parts list, the opening and the weld plan read this one object. Its stiffness as fitted comes
from ``cutplan.fem.brace``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cutplan.geometry.contour import Contour, polygon
from cutplan.geometry.vector import Point
from cutplan.tables.brace_sections import BraceSection

#: single, pair: bars flat on the skin beside the opening; frame: bars all round it; flush: one bar flat on the skin
#: across it; across: one bar across it on feet that let the tool pass; part: the real part bolted to the plate's pads.
BraceDesign = Literal["single", "pair", "frame", "flush", "across", "part"]
DESIGNS: tuple[BraceDesign, ...] = ("pair", "single", "frame", "across", "flush", "part")
#: Stages of the work, in order: line marked, waste out, plate tacked, last bead cold.
Stage = Literal["marked", "open", "tacked", "cold"]
STAGES: tuple[Stage, ...] = ("marked", "open", "tacked", "cold")


@dataclass(frozen=True, slots=True)
class BraceFoot:
    """A place where a bar is fixed.

    Parameters
    ----------
    at : Point
        Middle of what it covers [mm].
    along_mm, across_mm : float
        What it covers along and across the bar [mm].
    height_mm : float
        Length of the post between what it stands on and the bar's lower face [mm]; 0: the bar itself is tacked there.
    on : {"skin", "pad"}
        What it stands on: the skin, or a pad of the plate (bolted).
    """

    at: Point
    along_mm: float
    across_mm: float
    height_mm: float = 0.0
    on: Literal["skin", "pad"] = "skin"


@dataclass(frozen=True, slots=True)
class BraceBar:
    """One straight bar.

    Parameters
    ----------
    name : str
        Label on pictures and lists: ``bar 1``.
    start, end : Point
        Cut ends of its middle line, over the plate [mm].
    section : BraceSection
        What it is cut from.
    underside_mm : float
        Height of its lower face above the outer face of what its feet stand on [mm].
    feet : tuple of BraceFoot
        Where it is fixed, from start to end; at least two.
    """

    name: str
    start: Point
    end: Point
    section: BraceSection
    underside_mm: float
    feet: tuple[BraceFoot, ...]

    @property
    def length_mm(self) -> float:
        """Length to cut it to [mm]."""
        return self.start.distance(self.end)

    @property
    def axis_mm(self) -> float:
        """Height of its centroid above the outer face that its feet stand on [mm]."""
        return self.underside_mm + self.section.centroid_mm

    @property
    def top_mm(self) -> float:
        """Height of its upper face [mm]."""
        return self.underside_mm + self.section.height_mm

    @property
    def direction(self) -> Point:
        """Unit vector from start to end."""
        return self.end.minus(self.start).unit()

    def footprint(self) -> Contour:
        """Return what the bar covers, seen from above."""
        return _rectangle(self.start, self.end, self.section.width_mm)

    def foot_contours(self) -> tuple[Contour, ...]:
        """Return what each foot covers."""
        u = self.direction
        return tuple(
            _rectangle(f.at.minus(u.times(0.5 * f.along_mm)), f.at.plus(u.times(0.5 * f.along_mm)), f.across_mm)
            for f in self.feet
        )


@dataclass(frozen=True, slots=True)
class FittedBrace:
    """A brace as fitted, with its life.

    Parameters
    ----------
    design : BraceDesign
        How it lies to the opening.
    bars : tuple of BraceBar
        Its bars.
    on, off : Stage
        The stage at which it goes on, and the one at which it comes off.
    moved : Stage or None
        The stage at which it is taken off and put back in its place; None: it stays where it is.
    given : bool
        The job names it; False: proposed.
    """

    design: BraceDesign
    bars: tuple[BraceBar, ...]
    on: Stage = "marked"
    off: Stage = "cold"
    moved: Stage | None = None
    given: bool = False

    @property
    def kind(self) -> str:
        """Kind of its section: tube, bar, angle or part."""
        return self.bars[0].section.kind

    @property
    def section(self) -> BraceSection:
        """Section of its bars."""
        return self.bars[0].section

    @property
    def on_skin(self) -> bool:
        """It is tacked to the skin, not bolted to the plate."""
        return all(f.on == "skin" for bar in self.bars for f in bar.feet)

    @property
    def tacks(self) -> int:
        """Tacks to grind off again: two for each foot on the skin."""
        return 2 * sum(f.on == "skin" for bar in self.bars for f in bar.feet)

    def is_on(self, stage: Stage) -> bool:
        """Whether it is fitted while the work goes on from a stage to the next."""
        return STAGES.index(self.on) <= STAGES.index(stage) < STAGES.index(self.off)

    def foot_contours(self) -> tuple[Contour, ...]:
        """Return what its feet cover."""
        return tuple(c for bar in self.bars for c in bar.foot_contours())


def _rectangle(a: Point, b: Point, width_mm: float) -> Contour:
    side = b.minus(a).unit().left().times(0.5 * width_mm)
    corners = (a.minus(side), b.minus(side), b.plus(side), a.plus(side))
    return polygon([(p.x, p.y) for p in corners])
