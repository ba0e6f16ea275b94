"""Hand tools that open a skin: kerf, what they can follow, pace and wear. Their bodies are in ``tool_bodies``."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.tables.band import Band
from cutplan.tables.cutting.cut_process import PROCESSES
from cutplan.texts import Message, mm, say

MEMORY = say("workshop figures, from memory")
PRACTICE = say("common practice, no source")


@dataclass(frozen=True, slots=True)
class HandToolFacts:
    """What one hand tool can do in sheet of 1 to 6 mm.

    Parameters
    ----------
    name : str
        Its key: one of ``pattern.wishes.HAND_TOOLS``, or ``drilled row``.
    kerf_mm : Band
        Width that the tool removes [mm]; for a disc what is added to the disc's thickness.
    entry_mm : float
        Hole that the blade needs to start inside the metal [mm]; 0: none.
    tightest_mm : float
        Smallest radius that it follows [mm]; a disc cuts straight only (a large number).
    metres_per_hour : Band
        Pace in 2 to 3 mm sheet, setting up included [m/h].
    said, wear : Message
        Its name; what is used up.
    metres_per_piece : Band
        Cut length that one disc, blade or tip lasts in 2 to 3 mm sheet [m].
    depth_set : bool
        It can be held at a depth: by the disc's own size, or by a stop on the bit. A blade or a jet cannot.
    """

    name: str
    kerf_mm: Band
    entry_mm: float
    tightest_mm: float
    metres_per_hour: Band
    said: Message
    wear: Message
    metres_per_piece: Band
    depth_set: bool = False


def _kerf(low: float, mid: float, high: float) -> Band:
    return Band(low, mid, high, "mm", MEMORY)


def _blade(key: str) -> tuple[float, float, float]:
    """Kerf [mm] of a blade that cuts the plate, too: told once, where the processes are."""
    kerf_mm = PROCESSES[key].kerf_mm
    assert kerf_mm is not None
    return kerf_mm


def _pace(low: float, mid: float, high: float) -> Band:
    return Band(low, mid, high, "m/h", PRACTICE)


def _life(low: float, mid: float, high: float) -> Band:
    return Band(low, mid, high, "m", PRACTICE)


TOOLS: dict[str, HandToolFacts] = {
    t.name: t
    for t in (
        HandToolFacts(
            "cut-off disc",
            _kerf(0.1, 0.25, 0.4),
            0.0,
            1e9,
            _pace(3.0, 6.0, 12.0),
            say("cut-off disc"),
            say("cut-off discs"),
            _life(0.8, 2.0, 5.0),
            depth_set=True,
        ),
        HandToolFacts(
            "jigsaw",
            _kerf(*_blade("jigsaw")),
            10.0,
            15.0,
            _pace(2.0, 4.0, 8.0),
            say("jigsaw"),
            say("metal jigsaw blades"),
            _life(0.4, 1.0, 3.0),
        ),
        HandToolFacts(
            "reciprocating saw",
            _kerf(1.3, 1.5, 1.8),
            20.0,
            60.0,
            _pace(3.0, 6.0, 12.0),
            say("reciprocating saw"),
            say("reciprocating saw blades"),
            _life(0.5, 1.5, 4.0),
        ),
        HandToolFacts(
            "hacksaw",
            _kerf(*_blade("hacksaw")),
            12.0,
            40.0,
            _pace(0.5, 1.0, 2.0),
            say("hacksaw"),
            say("hacksaw blades"),
            _life(0.5, 1.5, 3.0),
        ),
        HandToolFacts(
            "hand plasma",
            _kerf(1.2, 1.7, 2.3),
            0.0,
            5.0,
            _pace(6.0, 12.0, 25.0),
            say("hand plasma"),
            say("plasma nozzles"),
            _life(20.0, 60.0, 150.0),
        ),
        # holes side by side to a stop, the webs between snapped with a chisel and filed: turns anywhere, goes nearly anywhere
        HandToolFacts(
            "drilled row",
            _kerf(2.4, 2.5, 2.8),
            0.0,
            0.0,
            _pace(0.2, 0.4, 0.8),
            say("row of drilled holes"),
            say("drills of {diameter}", diameter=mm(2.5, None)),
            _life(0.2, 0.5, 1.5),
            depth_set=True,
        ),
    )
}

#: Drills and step drills found in a small shop [mm]. Common practice, no source.
DRILLS_MM = (
    4.0,
    5.0,
    6.0,
    7.0,
    8.0,
    9.0,
    10.0,
    11.0,
    12.0,
    13.0,
    14.0,
    16.0,
    18.0,
    20.0,
    22.0,
    24.0,
    25.0,
    26.0,
    28.0,
    30.0,
    32.0,
)
#: Hole saws for a window to look through [mm], largest first. Common practice, no source.
WINDOWS_MM = (38.0, 32.0, 25.0, 20.0, 16.0)
#: Clamping flange of a grinder [mm radius] for discs up to 150 mm, and above. From memory.
FLANGE_RADIUS_MM = (21.0, 34.0)
#: Guard and hand clearance lost from a disc's reach [mm]. From memory.
GUARD_MM = 4.0
#: Depth that a saw blade reaches through a hole [mm]. From memory.
BLADE_REACH_MM = 120.0
#: Room that a disc needs beside its cut for its guard, on the side it is not held [mm]. Common practice, no source.
BESIDE_MM = 8.0
#: Width of a drilled row [mm], and of the teeth's pitch along it [mm]. Common practice.
ROW_MM, ROW_PITCH_MM = 2.5, 3.0


def tool_kerf_mm(tool: str, disc_thickness_mm: float) -> float:
    """Return the middle kerf of a hand tool [mm]; a disc adds its wobble to its thickness [mm]."""
    facts = TOOLS[tool]
    return facts.kerf_mm.mid + (disc_thickness_mm if tool == "cut-off disc" else 0.0)


def disc_reach_mm(diameter_mm: float) -> float:
    """Return how deep a disc of a diameter [mm] can go before flange or guard touch the skin [mm], from memory."""
    flange = FLANGE_RADIUS_MM[0] if diameter_mm <= 150.0 else FLANGE_RADIUS_MM[1]
    return max(0.0, 0.5 * diameter_mm - flange - GUARD_MM)


def tool_words(tool: str) -> Message:
    """Return the name of a hand tool, a drill or a file in words."""
    if tool == "drill":
        return say("drill")
    if tool == "hole saw":
        return say("hole saw")
    if tool == "flap disc and file":
        return say("flap disc and file")
    return TOOLS[tool].said
