"""One record for each cutting process: its words, kerf, speeds, limits, holes and leads in one place.

What a job may name, what ``check`` refuses, what ``new`` offers and what sheets and docs say of a process is read from
here: a process is known everywhere the day its record is added.
"""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.texts import Message, say

Rows = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class LeadRule:
    """What a process needs where it starts; all but the service guide's figures are trade practice from memory.

    Parameters
    ----------
    hole_thicknesses, hole_kerfs, hole_floor_mm : float
        Smallest hole: the largest of thickness times [1], kerf times [1] and a floor [mm].
    clear_thicknesses, clear_kerfs, clear_floor_mm : float
        Pierce centre to any finished edge, likewise.
    lead_thicknesses, lead_kerfs, lead_floor_mm : float
        Length of the lead-in, likewise.
    slow_thicknesses, slow_mm : float
        Holes below thickness times [1] or this diameter [mm] are cut slowly and get no lead-out.
    slow_speed : float
        Share of the feed in slow holes [1].
    overburn_mm : float
        Cut past the closure on larger contours [mm].
    lead_out_mm : float
        Lead-out on larger contours [mm].
    """

    hole_thicknesses: float
    hole_kerfs: float
    hole_floor_mm: float
    clear_thicknesses: float
    clear_kerfs: float
    clear_floor_mm: float
    lead_thicknesses: float
    lead_kerfs: float
    lead_floor_mm: float
    slow_thicknesses: float
    slow_mm: float
    slow_speed: float
    overburn_mm: float
    lead_out_mm: float

    def least_hole_mm(self, thickness_mm: float, kerf_mm: float) -> float:
        """Return the smallest hole that may be cut [mm]."""
        return max(self.hole_thicknesses * thickness_mm, self.hole_kerfs * kerf_mm, self.hole_floor_mm)

    def clear_mm(self, thickness_mm: float, kerf_mm: float) -> float:
        """Return the least distance from the pierce to any finished edge [mm]."""
        return max(self.clear_thicknesses * thickness_mm, self.clear_kerfs * kerf_mm, self.clear_floor_mm)

    def lead_mm(self, thickness_mm: float, kerf_mm: float) -> float:
        """Return the length of the lead-in where there is room [mm]."""
        return max(self.lead_thicknesses * thickness_mm, self.lead_kerfs * kerf_mm, self.lead_floor_mm)

    def is_slow(self, diameter_mm: float, thickness_mm: float) -> bool:
        """Return whether a hole counts as small: slow, no lead-out, no overburn."""
        return diameter_mm < max(self.slow_thicknesses * thickness_mm, self.slow_mm)


@dataclass(frozen=True, slots=True)
class Iso9013:
    """What ISO 9013 says of a process.

    Thickness that the standard covers [mm] (source key: iso9013-scope), ranges of u and Rz5 usually reached (source key:
    iso9013-process, from memory), tolerance class usual for it (source key: iso9013-limits).
    """

    scope_mm: tuple[float, float]
    squareness: int
    roughness: int
    tolerance_class: int


@dataclass(frozen=True, slots=True)
class ProcessFacts:
    """All that is known of one cutting process.

    Parameters
    ----------
    key : str
        Name in job files.
    word : Message
        The process in a sentence, without article.
    by_hand : bool
        Led by hand along a line, without pierce and leads.
    kerf_mm : (float, float, float) or None
        Least, middle and largest kerf [mm] (source key: kerf-memory); None where it depends on more, see ``tables.kerf``.
    speeds : tuple of (float, float)
        Thickness [mm] and speed [mm/min] (source key: speed-memory).
    pierce_s : (float, float, float)
        Time of one pierce at 5 mm: least, middle, largest [s] (source key: speed-memory).
    lead : LeadRule or None
        Holes and leads (source keys: hole-memory, lead-memory); None for a process led by hand.
    iso9013 : Iso9013 or None
        What the standard says, where it reaches.
    hardens : bool
        Whether its edge is hardened by quenching.
    wide_start : bool
        Whether small holes come out tapered and untrue, so that pins need a drilled hole.
    height_mm : (float, float)
        Pierce height and cut height above the plate [mm], common practice; zeros where nothing is set.
    """

    key: str
    word: Message
    by_hand: bool
    kerf_mm: tuple[float, float, float] | None
    speeds: Rows
    pierce_s: tuple[float, float, float]
    lead: LeadRule | None
    iso9013: Iso9013 | None
    hardens: bool
    wide_start: bool
    height_mm: tuple[float, float] = (0.0, 0.0)


_ALL = (
    ProcessFacts(
        "air plasma",
        say("air plasma"),
        by_hand=False,
        kerf_mm=None,
        speeds=(),
        pierce_s=(1.0, 3.0, 6.0),
        lead=LeadRule(2.0, 4.0, 5.0, 1.0, 2.0, 2.0, 1.5, 3.0, 5.0, 5.0, 32.0, 0.6, 3.0, 4.0),
        iso9013=Iso9013((0.5, 150.0), 4, 4, 2),
        hardens=True,
        wide_start=True,
        height_mm=(3.8, 1.5),
    ),
    ProcessFacts(
        "laser",
        say("laser"),
        by_hand=False,
        kerf_mm=(0.1, 0.25, 0.5),
        speeds=((1.0, 12000.0), (3.0, 5000.0), (6.0, 2200.0), (10.0, 1200.0), (20.0, 600.0)),
        pierce_s=(0.3, 1.0, 4.0),
        lead=LeadRule(1.0, 4.0, 1.0, 0.5, 2.0, 0.5, 1.0, 3.0, 2.0, 2.0, 0.0, 0.8, 0.5, 0.0),
        iso9013=Iso9013((0.5, 32.0), 2, 2, 1),
        hardens=True,
        wide_start=False,
    ),
    ProcessFacts(
        "waterjet",
        say("waterjet"),
        by_hand=False,
        kerf_mm=(0.5, 1.0, 1.2),
        speeds=((2.0, 500.0), (5.0, 220.0), (10.0, 110.0), (20.0, 50.0)),
        pierce_s=(3.0, 8.0, 20.0),
        lead=LeadRule(0.5, 2.5, 2.5, 0.2, 1.2, 1.0, 0.5, 2.0, 3.0, 1.0, 0.0, 0.8, 1.0, 2.0),
        iso9013=None,
        hardens=False,
        wide_start=False,
    ),
    ProcessFacts(
        "oxyfuel",
        say("oxyfuel"),
        by_hand=False,
        kerf_mm=(1.5, 2.0, 3.0),
        speeds=((3.0, 700.0), (6.0, 600.0), (12.0, 480.0), (25.0, 350.0)),
        pierce_s=(10.0, 20.0, 40.0),
        lead=LeadRule(2.0, 5.0, 12.0, 1.0, 2.0, 5.0, 1.5, 3.0, 8.0, 5.0, 32.0, 0.8, 3.0, 5.0),
        iso9013=Iso9013((3.0, 300.0), 3, 3, 2),
        hardens=True,
        wide_start=True,
        height_mm=(8.0, 4.0),
    ),
    ProcessFacts(
        "cut-off disc",
        say("cut-off disc"),
        by_hand=True,
        kerf_mm=None,
        speeds=((1.0, 1200.0), (3.0, 400.0), (6.0, 180.0), (10.0, 100.0)),
        pierce_s=(0.0, 0.0, 0.0),
        lead=None,
        iso9013=None,
        hardens=False,
        wide_start=False,
    ),
    ProcessFacts(
        "jigsaw",
        say("jigsaw"),
        by_hand=True,
        kerf_mm=(1.0, 1.15, 1.3),
        speeds=((1.0, 500.0), (3.0, 180.0), (6.0, 70.0), (10.0, 35.0)),
        pierce_s=(0.0, 0.0, 0.0),
        lead=None,
        iso9013=None,
        hardens=False,
        wide_start=False,
    ),
    ProcessFacts(
        "hacksaw",
        say("hacksaw"),
        by_hand=True,
        kerf_mm=(0.8, 1.0, 1.2),
        speeds=((1.0, 80.0), (3.0, 40.0), (6.0, 20.0), (10.0, 12.0)),
        pierce_s=(0.0, 0.0, 0.0),
        lead=None,
        iso9013=None,
        hardens=False,
        wide_start=False,
    ),
)

#: Every process by its name, in the order in which they are offered.
PROCESSES: dict[str, ProcessFacts] = {facts.key: facts for facts in _ALL}
"""Facts of each process by its name in job files."""


def process_word(process: str) -> Message:
    """Return the word for a process: ``air plasma``."""
    return PROCESSES[process].word
