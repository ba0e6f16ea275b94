"""A template before it meets paper: exact lines at full size, and what is known about them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import pi
from typing import Literal

from cutplan.drawing.model import Stroke
from cutplan.geometry.contour import Contour, mirrored_segment, turned_segment
from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Box, Point

#: What an arrow says on the copy for the other hand.
_OTHER_HAND = {"LEFT": "RIGHT"}

Kind = Literal["plate", "opening", "skin holes", "wrap", "flat pattern"]


@dataclass(frozen=True, slots=True)
class Spot:
    """A hole or pad on a template: what is printed at it, and how much round it no seam may cross.

    ``radius_mm`` is the hole's radius (0: not round), ``clear_mm`` the radius round the centre that a seam must miss,
    ``note_rows`` the note in lines where it may be broken; empty: nowhere.
    """

    name: str
    note: str
    centre: Point
    radius_mm: float
    clear_mm: float
    contour: Contour | None = None
    cross: bool = True
    note_rows: tuple[str, ...] = ()


def note_rows(size: str, bolt: str) -> tuple[str, ...]:
    """Return a size, its millimetres and a bolt in two lines at most: no number is parted from its unit.

    A bolt never stands in a line alone: an M8 there would read as a label.
    """
    first, bracket, metric = size.partition(" (")
    return (first, f"({metric} {bolt}".strip()) if bracket else (f"{first} {bolt}".strip(),)


@dataclass(frozen=True, slots=True)
class Template:
    """One template at full size in its own coordinates [mm].

    Parameters
    ----------
    name : str
        Short and unique, such as ``Plate``.
    kind : Kind
        What it is for.
    edge : Contour
        The line that the paper is cut along.
    lines : tuple of Stroke
        Every exact line: the cut line (tag ``cut``), holes (tag ``hole``), tracing, bend and datum lines.
    spots : tuple of Spot
        Holes with centre crosses and pads.
    says : tuple of str
        What it is, which line to cut on, which side faces out: printed inside the edge, most important first.
    arrows : tuple of (str, float)
        Directions of the vehicle on the template: word and angle [rad].
    title : str
        Its name as printed, in the language of the job; empty: the name.
    whole : bool
        The paper round it is kept, too: it carries marks.
    other_hand : bool
        It is the mirror image, for the other side of the vehicle.
    """

    name: str
    kind: Kind
    edge: Contour
    lines: tuple[Stroke, ...]
    spots: tuple[Spot, ...] = ()
    says: tuple[str, ...] = ()
    arrows: tuple[tuple[str, float], ...] = ()
    title: str = ""
    whole: bool = False
    other_hand: bool = False

    @property
    def shown(self) -> str:
        """The name that is printed."""
        return self.title or self.name

    @property
    def box(self) -> Box:
        """What must be on paper [mm]."""
        box = self.edge.box
        for stroke in self.lines:
            for s in stroke.segments:
                box = box.joined(s.box)
        return box

    def turned(self, angle_rad: float) -> Template:
        """Return the template turned counter-clockwise about its origin [rad]."""
        if angle_rad == 0.0:
            return self
        origin = Point(0.0, 0.0)
        return self._mapped(
            lambda s: turned_segment(s, angle_rad, origin), lambda p: p.turned(angle_rad), lambda a: a + angle_rad
        )

    def moved(self, dx_mm: float, dy_mm: float) -> Template:
        """Return the template moved [mm]."""
        shift = Point(dx_mm, dy_mm)
        return self._mapped(lambda s: s.moved(dx_mm, dy_mm), lambda p: p.plus(shift), lambda a: a)

    def mirrored(self) -> Template:
        """Return the mirror image, left for right (the other hand)."""
        return self._mapped(
            lambda s: mirrored_segment(s, "y"), lambda p: Point(-p.x, p.y), lambda a: pi - a, flipped=True
        )

    def _mapped(
        self,
        segment: Callable[[Segment], Segment],
        point: Callable[[Point], Point],
        angle: Callable[[float], float],
        *,
        flipped: bool = False,
    ) -> Template:
        def contour(c: Contour) -> Contour:
            made = Contour(tuple(segment(s) for s in c.segments))
            return made.reversed() if flipped else made

        return replace(
            self,
            edge=contour(self.edge),
            lines=tuple(replace(line, segments=tuple(segment(s) for s in line.segments)) for line in self.lines),
            spots=tuple(
                replace(s, centre=point(s.centre), contour=contour(s.contour) if s.contour else None)
                for s in self.spots
            ),
            arrows=tuple((_OTHER_HAND.get(w, w) if flipped else w, angle(a)) for w, a in self.arrows),
        )
