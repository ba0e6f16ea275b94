"""``[opening]``: how the opening is cut out of the skin by hand."""

from __future__ import annotations

from cutplan.files.job.declared.key import Offer, choice, figure, length, table, tables
from cutplan.pattern.wishes import HAND_TOOLS, OpeningWork
from cutplan.tables.by_hand.tool_bodies import SIZES
from cutplan.texts import say

_USUAL = OpeningWork()
_MIDDLING = say("a middling one")

OPENING = table(
    "opening",
    say("how the opening is cut out of the skin by hand"),
    choice("tool", say("tool for straight cuts"), HAND_TOOLS, _USUAL.tool, offer=Offer("cut-off disc")),
    length(
        "disc_diameter",
        say("diameter of the cut-off disc"),
        _USUAL.disc_diameter_mm,
        20.0,
        400.0,
        offer=Offer(125.0, 114.3),
    ),
    length("disc_thickness", say("thickness of the cut-off disc"), _USUAL.disc_thickness_mm, 0.4, 8.0),
    length("allowance", say("metal left inside the line for dressing"), _USUAL.allowance_mm, 0.0, 10.0),
    length("longest_section", say("longest side of a section that falls"), _USUAL.longest_section_mm, 20.0, 3000.0),
    figure("heaviest_section_kg", say("heaviest section that falls"), "kg", 0.05, 50.0, _USUAL.heaviest_section_kg),
    length("corner_drill", say("drill for the corners"), None, 1.0, 60.0, usual=say("by the corner's radius")),
    tables(
        "own_tool",
        say("a tool of this shop: the sizes that differ from a middling one"),
        choice("name", say("the tool"), tuple(SIZES), "jigsaw"),
        length("front", say("how far it reaches ahead of the cut"), None, 0.0, 1000.0, usual=_MIDDLING),
        length("back", say("how far it reaches behind the cut"), None, 0.0, 1000.0, usual=_MIDDLING),
        length("side", say("how far it reaches to each side"), None, 1.0, 500.0, usual=_MIDDLING),
        length("height", say("how high it stands over the skin"), None, 0.0, 2000.0, usual=_MIDDLING),
        length("blade", say("how far its blade stands out of the shoe"), None, 0.0, 500.0, usual=_MIDDLING),
        length("stroke", say("stroke of its blade"), None, 0.0, 200.0, usual=_MIDDLING),
        most=10,
    ),
    offer=Offer(),
)
