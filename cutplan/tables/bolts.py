"""Bolt holes: ISO 273 clearance, and the edge and pitch distances of EN 1993-1-8 Table 3.3."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from cutplan.errors import CutplanError
from cutplan.texts import Message, code, every, listed, say
from cutplan.units import MM_PER_INCH

#: Clearance hole for a thread [mm]: fine H12, medium H13, coarse H14 (source key: iso273).
CLEARANCE: dict[str, tuple[float, float, float]] = {
    "M5": (5.3, 5.5, 5.8),
    "M6": (6.4, 6.6, 7.0),
    "M8": (8.4, 9.0, 10.0),
    "M10": (10.5, 11.0, 12.0),
    "M12": (13.0, 13.5, 14.5),
    "M14": (15.0, 15.5, 16.5),
    "M16": (17.0, 17.5, 18.5),
    # ISO 273, above M16 from memory
    "M18": (19.0, 20.0, 21.0),
    "M20": (21.0, 22.0, 24.0),
    "M22": (23.0, 24.0, 26.0),
    "M24": (25.0, 26.0, 28.0),
    "M27": (28.0, 30.0, 32.0),
    "M30": (31.0, 33.0, 35.0),
    "M33": (34.0, 36.0, 38.0),
    "M36": (37.0, 39.0, 42.0),
}
#: Clearance hole for an inch bolt [in]: close, normal, loose (ASME B18.2.8, from memory).
INCH_CLEARANCE: dict[str, tuple[float, float, float]] = {
    "1/4": (17 / 64, 9 / 32, 19 / 64),
    "5/16": (21 / 64, 11 / 32, 23 / 64),
    "3/8": (25 / 64, 13 / 32, 27 / 64),
    "7/16": (29 / 64, 15 / 32, 31 / 64),
    "1/2": (17 / 32, 9 / 16, 39 / 64),
    "5/8": (21 / 32, 11 / 16, 47 / 64),
    "3/4": (25 / 32, 13 / 16, 29 / 32),
    "7/8": (29 / 32, 15 / 16, 33 / 32),
    "1": (33 / 32, 35 / 32, 37 / 32),
}
CLASSES = ("fine", "medium", "coarse")
#: Words for the classes.
CLASS_WORDS = {"fine": say("fine"), "medium": say("medium"), "coarse": say("coarse")}
#: The same for inch bolts.
INCH_CLASS_WORDS = {"fine": say("close"), "medium": say("normal"), "coarse": say("loose")}
#: Least distances over the hole diameter d0 [1] (source key: en1993-1-8).
MIN_EDGE = 1.2
MIN_EDGE_SLOT = 1.5
MIN_PITCH = 2.2
MIN_PITCH_ACROSS = 2.4
#: Two sizes closer than this are the same size [mm].
SAME_MM = 0.051


@dataclass(frozen=True, slots=True)
class Fit:
    """How a hole fits a bolt: class name (``fine``, ``medium``, ``coarse``, ``too small``, ``too large``), and words.

    ``clearance_mm`` is hole less bolt [mm].
    """

    bolt: str
    hole_mm: float
    class_: str
    clearance_mm: float

    @property
    def text(self) -> Message:
        """The fit in words."""
        if self.bolt in INCH_CLEARANCE and self.class_ != "too small":
            bolt = code(f"{self.bolt} in")
            if self.class_ == "too large":
                return say("{bolt}, wider than ASME B18.2.8 loose", bolt=bolt)
            return say("{bolt}, ASME B18.2.8 {class_}", bolt=bolt, class_=INCH_CLASS_WORDS[self.class_])
        if self.class_ in CLASSES:
            return say("{bolt}, ISO 273 {class_}", bolt=code(self.bolt), class_=CLASS_WORDS[self.class_])
        if self.class_ == "too small":
            return say("{bolt} does not pass", bolt=code(self.bolt))
        return say("{bolt}, wider than ISO 273 coarse", bolt=code(self.bolt))


def thread_mm(bolt: str) -> float:
    """Return the nominal diameter of a thread such as ``M10``, ``M10x1.25`` or ``3/8`` (inches) [mm].

    Raises
    ------
    CutplanError
        When the text names no thread.
    """
    match = re.match(r"^\s*[Mm]\s*(\d{1,3}(?:\.\d{1,3})?)", bolt)
    if match:
        return float(match[1])
    inch = inch_name(bolt)
    if not inch:
        raise CutplanError(
            say("{bolt} names no thread", bolt=code(repr(bolt[:40]))),
            hint=say("write it like {ways}", ways=listed([code('"M10"'), code('"3/8 in"')])),
        )
    return float(Fraction(127, 5) * Fraction(inch))


def inch_name(bolt: str) -> str:
    """Return the name of an inch bolt in the table, such as ``3/8`` for ``3/8-16 UNC``; empty when it is none."""
    match = re.match(r"""^\s*(\d{1,2}/\d{1,2}|1)\s*(?:-|"|''|in\b|UN|$)""", bolt, re.IGNORECASE)
    return match[1] if match and match[1] in INCH_CLEARANCE else ""


def _sizes(bolt: str) -> tuple[str, tuple[float, float, float] | None]:
    """Name and clearance holes [mm] of a thread."""
    inch = inch_name(bolt)
    if inch:
        fine, medium, coarse = INCH_CLEARANCE[inch]
        return inch, (MM_PER_INCH * fine, MM_PER_INCH * medium, MM_PER_INCH * coarse)
    name = f"M{thread_mm(bolt):g}"
    return name, CLEARANCE.get(name)


def clearance_mm(bolt: str, class_: str = "medium") -> float:
    """Return the clearance hole of a thread [1]_.

    Parameters
    ----------
    bolt : str
        Thread, M5 to M36, or 1/4 to 1 inch.
    class_ : str
        ``fine``, ``medium`` or ``coarse``.

    Returns
    -------
    float
        Hole diameter [mm].

    Raises
    ------
    CutplanError
        When the thread or the class is not in the table.

    References
    ----------
    .. [1] ISO 273 (source key ``iso273``).
    """
    _, sizes = _sizes(bolt)
    if sizes is None or class_ not in CLASSES:
        raise CutplanError(
            say("no {class_} clearance hole is listed for {bolt}", class_=code(class_), bolt=code(bolt)),
            hint=say("threads: {threads}; classes: {classes}", threads=every(CLEARANCE), classes=every(CLASSES)),
        )
    return sizes[CLASSES.index(class_)]


def bolt_fit(bolt: str, hole_mm: float) -> Fit | None:
    """Return how a hole fits a bolt [1]_, or None when the thread is not in the table.

    Parameters
    ----------
    bolt : str
        Thread, such as ``M10``.
    hole_mm : float
        Hole diameter [mm]

    Returns
    -------
    Fit or None
        The coarsest class is the widest hole; a hole between two classes counts as the wider of them.

    References
    ----------
    .. [1] ISO 273 (source key ``iso273``).
    """
    nominal = thread_mm(bolt)
    name, sizes = _sizes(bolt)
    if sizes is None:
        return None
    clearance = hole_mm - nominal
    if hole_mm <= nominal:
        return Fit(name, hole_mm, "too small", clearance)
    for class_, size in zip(CLASSES, sizes, strict=True):
        if hole_mm <= size + SAME_MM:
            return Fit(name, hole_mm, class_, clearance)
    return Fit(name, hole_mm, "too large", clearance)


def likely_bolt(hole_mm: float) -> str:
    """Return the largest thread whose fine to coarse clearance holds a hole [mm]; empty when none does."""
    names = [n for n, (fine, _, coarse) in CLEARANCE.items() if fine - SAME_MM <= hole_mm <= coarse + SAME_MM]
    return names[-1] if names else ""


def least_edge_mm(hole_mm: float, *, slot: bool = False) -> float:
    """Return the least distance from a bolt hole's centre to an edge [1]_.

    Parameters
    ----------
    hole_mm : float
        Hole diameter d0 [mm]
    slot : bool
        Whether the hole is a slot (then from the centre of its end).

    Returns
    -------
    float
        1.2 d0, or 1.5 d0 for a slot [mm].

    References
    ----------
    .. [1] EN 1993-1-8 Table 3.3 (source key ``en1993-1-8``).
    """
    return (MIN_EDGE_SLOT if slot else MIN_EDGE) * hole_mm


def least_pitch_mm(hole_mm: float, *, across: bool = False) -> float:
    """Return the least distance between bolt hole centres [1]_: 2.2 d0 along the load, 2.4 d0 across it [mm].

    References
    ----------
    .. [1] EN 1993-1-8 Table 3.3 (source key ``en1993-1-8``).
    """
    return (MIN_PITCH_ACROSS if across else MIN_PITCH) * hole_mm


def pilot_mm(drill_mm: float) -> float:
    """Return a pilot drill for a final drill [mm]: our own choice, a little over the web of the next drill.

    0 means that none is needed (up to 5 mm).
    """
    if drill_mm <= 5.0:
        return 0.0
    for limit, pilot in ((8.0, 3.0), (11.0, 4.0), (14.0, 5.0)):
        if drill_mm <= limit:
            return pilot
    return 6.0
