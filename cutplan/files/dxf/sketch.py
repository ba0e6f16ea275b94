"""What is to be written to a drawing file: layers with outlines, circles, marks and notes, in millimetres."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Point
from cutplan.texts import Message


@dataclass(frozen=True, slots=True)
class Note:
    """A line of text: lower left corner [mm], height [mm], turned counter-clockwise [deg]."""

    text: Message | str
    at: Point
    height_mm: float = 3.5
    angle_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class SketchLayer:
    """One layer of a drawing.

    Parameters
    ----------
    name : str
        Plain trade word, such as ``cut`` or ``notes``.
    contours : tuple of Contour
        Closed outlines: full circles become CIRCLE, all else one closed polyline with bulges.
    chains : tuple of tuple of Segment
        Open paths, each segment starting where the one before ends.
    points : tuple of Point
        Marks, drawn as POINT and, where ``cross_mm`` is above zero, as a cross of two lines.
    notes : tuple of Note
        Text.
    colour : int
        AutoCAD colour index, 1 red, 3 green, 5 blue, 7 black or white.
    cross_mm : float
        Length of each line of a cross [mm].
    """

    name: str
    contours: tuple[Contour, ...] = ()
    chains: tuple[tuple[Segment, ...], ...] = ()
    points: tuple[Point, ...] = ()
    notes: tuple[Note, ...] = ()
    colour: int = 7
    cross_mm: float = 0.0
