"""What must be done to a drawing so that a printer that stretches and skews puts it down true."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import cos, sqrt, tan

from cutplan.drawing.model import Item, Stroke, Text
from cutplan.errors import JobError
from cutplan.geometry.flatten import flatten_segment
from cutplan.geometry.segment import Arc, Line, Segment
from cutplan.geometry.vector import Point
from cutplan.pattern.shop import PrinterScale
from cutplan.texts import name, number, say

#: Chord tolerance for arcs that a correction turns into ellipses [mm].
_CHORD_MM = 0.003
#: A printer further off than this is not corrected but refused (a wrong reading is likelier).
WORST = 0.06


@dataclass(frozen=True, slots=True)
class Correction:
    """The correction of one printer: what is measured on paper for each drawn millimetre, where it is to be undone.

    ``x``, ``y`` are 1.0 and ``skew_rad`` 0.0 for what is not corrected. A length drawn as ``length / x`` prints true.
    """

    x: float = 1.0
    y: float = 1.0
    skew_rad: float = 0.0
    printer: str = "default"

    @property
    def idle(self) -> bool:
        """Whether nothing is corrected."""
        return self.x == 1.0 and self.y == 1.0 and self.skew_rad == 0.0

    def turned(self) -> Correction:
        """Return the correction for a sheet that is printed lying: the printer's axes change places on the page."""
        return Correction(self.y, self.x, -self.skew_rad, self.printer)

    def drawn(self, true: Point, about: Point) -> Point:
        """Return where a point must be drawn to land at ``true`` on the paper, about the sheet's centre [mm]."""
        x, y = true.x - about.x, true.y - about.y
        return Point(
            about.x + (x - y * tan(self.skew_rad)) / self.x,
            about.y + y / (self.y * cos(self.skew_rad)),
        )

    def printed(self, drawn: Point, about: Point) -> Point:
        """Return where such a printer puts a drawn point, about the sheet's centre [mm]; undoes :meth:`drawn`."""
        u, v = drawn.x - about.x, drawn.y - about.y
        y = v * self.y * cos(self.skew_rad)
        return Point(about.x + u * self.x + y * tan(self.skew_rad), about.y + y)


def reading_share(printer: PrinterScale) -> float:
    """Return the relative error that the reading leaves in a measured scale (reading over length), 0 when unknown [1]."""
    return printer.reading_mm / printer.length_mm if printer.length_mm > 0.0 else 0.0


def correction(printer: PrinterScale) -> Correction:
    """Return the correction of a measured printer; what is within the reading error is left alone.

    Parameters
    ----------
    printer : PrinterScale
        Measured scale per axis, skew [rad], reading error and measured length [mm].

    Raises
    ------
    JobError
        When a scale is further than 6 % from one, or the skew above 2 degrees.
    """
    if not (abs(printer.x - 1.0) <= WORST and abs(printer.y - 1.0) <= WORST and abs(printer.skew_rad) <= 0.035):
        raise JobError(
            say(
                "printer {printer} is measured more than {most} (or 2 degrees) off",
                printer=name(printer.name),
                most=number(100 * WORST, "%", 0),
            ),
            say(
                "shop file, printer: x {x}, y {y}, skew {skew}",
                x=number(printer.x),
                y=number(printer.y),
                skew=number(printer.skew_rad, "rad"),
            ),
            say("print the calibration sheet at 100 % and read it again"),
        )
    share = reading_share(printer)
    # a skew read from two diagonals of a rectangle carries about sqrt(2) d / (2 a b) readings; d^2/(ab) is near 2.1
    least_skew = 1.5 * sqrt(2.0) * share
    return Correction(
        printer.x if abs(printer.x - 1.0) > share else 1.0,
        printer.y if abs(printer.y - 1.0) > share else 1.0,
        printer.skew_rad if abs(printer.skew_rad) > least_skew else 0.0,
        printer.name,
    )


def skew_from_diagonals(width_mm: float, height_mm: float, rising_mm: float, falling_mm: float) -> float:
    r"""Return the angle missing from square between two printed axes [rad].

    .. math:: \psi = \frac{d_1^2 - d_2^2}{4 a b}

    Parameters
    ----------
    width_mm, height_mm : float
        Measured sides of the printed rectangle [mm].
    rising_mm : float
        Measured diagonal from lower left to upper right [mm].
    falling_mm : float
        Measured diagonal from upper left to lower right [mm].

    Returns
    -------
    float
        Skew [rad], positive when the rising diagonal is the longer one; exact as a sine for a parallelogram
        (:math:`|a+b|^2 - |a-b|^2 = 4 a \cdot b`), and the sine equals the angle within 1e-5 below 2 degrees.
    """
    return (rising_mm**2 - falling_mm**2) / (4.0 * width_mm * height_mm)


def corrected(item: Item, correct: Correction, about: Point) -> Item:
    """Return an item as it must be drawn; arcs become chords within 0.003 mm because they print as ellipses."""
    if correct.idle:
        return item
    if isinstance(item, Text):
        return Text(
            item.text,
            correct.drawn(item.at, about),
            item.height_mm,
            item.anchor,
            item.angle_deg,
            item.bold,
            item.colour,
            item.tag,
        )
    segments: list[Segment] = []
    for s in item.segments:
        points = flatten_segment(s, _CHORD_MM) if isinstance(s, Arc) else [s.start, s.end]
        drawn = [correct.drawn(p, about) for p in points]
        segments.extend(Line(a, b) for a, b in pairwise(drawn))
    return Stroke(tuple(segments), item.pen, item.fill, item.closed, item.tag)
