"""How long the opening takes and what it uses up: ranges from common practice, not predictions."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.opening.model import Cut, Drill, RibPart
from cutplan.tables.band import Band
from cutplan.tables.by_hand.hand_tools import PRACTICE, TOOLS
from cutplan.texts import Message, say

#: Minutes each: a drilled hole, a window, a rib parted, a section lifted out; set-up once; dressing a metre.
_HOLE = (0.7, 1.5, 3.0)
_WINDOW = (3.0, 6.0, 12.0)
_RIB = (2.0, 5.0, 15.0)
_SECTION = (1.0, 2.0, 5.0)
_ONCE = (30.0, 60.0, 120.0)
_DRESS_M = (8.0, 15.0, 30.0)


def time_band(
    cuts: Sequence[Cut],
    drills: Sequence[Drill],
    windows: int,
    parts: Sequence[RibPart],
    sections: int,
    perimeter_mm: float,
) -> Band:
    """Return the working time [min]: measuring, bracing, marking, drilling, cutting, parting, dressing."""
    out = []
    for k in range(3):
        minutes = _ONCE[k] + len(drills) * _HOLE[k] + windows * _WINDOW[k] + len(parts) * _RIB[k]
        minutes += sections * _SECTION[k] + 1e-3 * perimeter_mm * _DRESS_M[k]
        for cut in cuts:
            pace = TOOLS[cut.tool].metres_per_hour
            slow = (pace.high, pace.mid, pace.low)[k]
            minutes += 60.0 * 1e-3 * cut.length_mm / slow
        out.append(minutes)
    return Band(out[0], out[1], out[2], "min", PRACTICE)


def consumables(cuts: Sequence[Cut], parts: Sequence[RibPart]) -> tuple[tuple[Message, Band], ...]:
    """Return what is used up, named, in pieces; drills and hole saws last, and are told by size elsewhere."""
    out: list[tuple[Message, Band]] = []
    for tool in dict.fromkeys(c.tool for c in cuts):
        facts = TOOLS[tool]
        metres = 1e-3 * sum(c.length_mm for c in cuts if c.tool == tool)
        life = facts.metres_per_piece
        out.append((facts.wear, Band(metres / life.high, metres / life.mid, metres / life.low, "pieces", PRACTICE)))
    if any(p.tool == "hacksaw" for p in parts) and all(c.tool != "hacksaw" for c in cuts):
        n = float(len(parts))
        out.append((TOOLS["hacksaw"].wear, Band(0.2 * n, 0.5 * n, 1.0 * n, "pieces", PRACTICE)))
    out.append((say("flap discs"), Band(0.3, 1.0, 2.0, "pieces", PRACTICE)))
    return tuple(out)
