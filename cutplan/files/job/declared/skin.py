"""``[skin]``: the wall around the opening, its box and its ribs."""

from __future__ import annotations

from cutplan.files.job.declared.key import Key, Offer, choice, flag, length, table, tables, text
from cutplan.texts import code, say

_FROM_OPENING = say("from the opening to this side wall of the box")
_MEASURE = say("MEASURE it to the bend of the skin, take away the first #")

SKIN = table(
    "skin",
    say("the pressed wall that the opening is cut out of"),
    length(
        "thickness",
        say("thickness of the skin"),
        2.5,
        0.4,
        20.0,
        need=say(
            "the skin's thickness: measure it with a caliper at a drain hole or a cut edge; the depth of the tools, the "
            "heat and the weld rest on it"
        ),
        offer=Offer(3.0, 3.175, off=True, note=say("MEASURE it at a drain hole or edge, take away the first #")),
    ),
    text("steel", say("mild, or a grade"), 40, "mild", offer=Offer("mild")),
    length(
        "box_depth",
        say("free depth behind the skin, to the next wall, pipe or cable"),
        None,
        1.0,
        offer=Offer(80.0, 76.2, off=True),
    ),
    table(
        "walls",
        say("from the opening to the box's own side walls"),
        length("left", _FROM_OPENING, 60.0, 1.0, offer=Offer(60.0, 63.5, off=True, note=_MEASURE)),
        length("right", _FROM_OPENING, 60.0, 1.0, offer=Offer(60.0, 63.5, off=True, note=_MEASURE)),
        length("bottom", _FROM_OPENING, 30.0, 1.0, offer=Offer(30.0, 31.75, off=True, note=_MEASURE)),
        length("top", _FROM_OPENING, 30.0, 1.0, offer=Offer(30.0, 31.75, off=True, note=_MEASURE)),
        offer=Offer(),
    ),
    tables(
        "rib",
        say("a hidden support behind the skin; repeat for every rib, known or suspected"),
        text("name", say("label of the rib"), 20, usual=say("numbered in order"), offer=Offer("R1")),
        Key(
            "path",
            "points",
            say("its line, two or more points"),
            most=2,
            need=say("the rib's line: {this}", this=code("path = [[x, y], [x, y]]")),
            offer=Offer([[0, 0], [0, 100]]),
        ),
        choice(
            "knowledge",
            say("how much is known of it"),
            ("known", "suspected", "unknown"),
            "suspected",
            offer=Offer("suspected"),
        ),
        length("depth", say("how far it reaches behind the skin"), None, 0.5, offer=Offer(20.0, 19.05)),
        length("thickness", say("thickness of its sheet"), 2.0, 0.4, 20.0),
        flag("joined", say("it is welded to the skin, and so parted before a section drops"), True),
        most=50,
        offer=Offer(off=True),
    ),
    offer=Offer(),
)
