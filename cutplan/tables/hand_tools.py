"""Hand tools that open a skin: kerf, reach, what they can follow, pace and wear."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.tables.band import Band
from cutplan.texts import Message, say

MEMORY = "workshop figures, from memory"
PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class HandToolFacts:
    """What one hand tool can do in sheet of 1 to 6 mm.

    Parameters
    ----------
    name : str
        One of ``pattern.wishes.HAND_TOOLS``.
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
    """

    name: str
    kerf_mm: Band
    entry_mm: float
    tightest_mm: float
    metres_per_hour: Band
    said: Message
    wear: Message
    metres_per_piece: Band


TOOLS: dict[str, HandToolFacts] = {
    "cut-off disc": HandToolFacts(
        "cut-off disc",
        Band(0.1, 0.25, 0.4, "mm", MEMORY),
        0.0,
        1e9,
        Band(3.0, 6.0, 12.0, "m/h", PRACTICE),
        say("cut-off disc"),
        say("cut-off discs"),
        Band(0.8, 2.0, 5.0, "m", PRACTICE),
    ),
    "jigsaw": HandToolFacts(
        "jigsaw",
        Band(1.0, 1.15, 1.3, "mm", MEMORY),
        10.0,
        15.0,
        Band(2.0, 4.0, 8.0, "m/h", PRACTICE),
        say("jigsaw"),
        say("metal jigsaw blades"),
        Band(0.4, 1.0, 3.0, "m", PRACTICE),
    ),
    "hacksaw": HandToolFacts(
        "hacksaw",
        Band(0.9, 1.0, 1.2, "mm", MEMORY),
        12.0,
        40.0,
        Band(0.5, 1.0, 2.0, "m/h", PRACTICE),
        say("hacksaw"),
        say("hacksaw blades"),
        Band(0.5, 1.5, 3.0, "m", PRACTICE),
    ),
    "hand plasma": HandToolFacts(
        "hand plasma",
        Band(1.2, 1.7, 2.3, "mm", MEMORY),
        0.0,
        5.0,
        Band(6.0, 12.0, 25.0, "m/h", PRACTICE),
        say("hand plasma"),
        say("plasma nozzles"),
        Band(20.0, 60.0, 150.0, "m", PRACTICE),
    ),
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
#: Height that a tool needs under a brace [mm]; a disc half its diameter more. Common practice, no source.
ROOM_UNDER_MM = {"cut-off disc": 15.0, "jigsaw": 90.0, "hacksaw": 40.0, "hand plasma": 60.0}
#: Depth that a saw blade reaches through a hole [mm]. From memory.
BLADE_REACH_MM = 120.0


def tool_kerf_mm(tool: str, disc_thickness_mm: float) -> float:
    """Return the middle kerf of a hand tool [mm]; a disc adds its wobble to its thickness [mm]."""
    facts = TOOLS[tool]
    return facts.kerf_mm.mid + (disc_thickness_mm if tool == "cut-off disc" else 0.0)


def disc_reach_mm(diameter_mm: float) -> float:
    """Return how deep a disc of a diameter [mm] can go before flange or guard touch the skin [mm], from memory."""
    flange = FLANGE_RADIUS_MM[0] if diameter_mm <= 150.0 else FLANGE_RADIUS_MM[1]
    return max(0.0, 0.5 * diameter_mm - flange - GUARD_MM)


#: Room that a tool needs beside its cut, guard or shoe, on the side it is not held [mm]. Common practice, no source.
BESIDE_MM = 8.0


def tool_words(tool: str) -> Message:
    """Return the name of a hand tool, a drill or a file in words."""
    if tool == "drill":
        return say("drill")
    if tool == "hole saw":
        return say("hole saw")
    if tool == "flap disc and file":
        return say("flap disc and file")
    return TOOLS[tool].said
