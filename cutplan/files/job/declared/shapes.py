"""``[[tube]]`` and ``[[flange]]``: wrap templates and flat patterns of bent strips."""

from __future__ import annotations

from cutplan.files.job.declared.key import FARTHEST_MM, Key, figure, length, tables, text
from cutplan.texts import code, say

_NUMBERED = say("numbered in order")
_TUBE = say("outside diameters of branch and main tube, and the branch's wall")

TUBE = tables(
    "tube",
    say("a wrap template for the notched end of a tube"),
    text("name", say("label of the template"), 30, usual=_NUMBERED),
    length("branch", say("outside diameter of the tube that is notched"), 38.0, 3.0, 1000.0, need=_TUBE),
    length("main", say("outside diameter of the tube that it meets; 0: a plain mitre"), 50.0, 0.0, 2000.0, need=_TUBE),
    length("wall", say("wall of the tube that is notched"), 2.0, 0.2, 50.0, need=_TUBE),
    figure("angle_deg", say("angle between the axes"), "deg", 10.0, 90.0, 90.0),
    length("offset", say("distance between the axes, positive towards the 90° mark"), 0.0, -1000.0, 1000.0),
    most=50,
)

FLANGE = tables(
    "flange",
    say("the flat pattern of a bent strip"),
    text("name", say("label of the strip"), 30, usual=_NUMBERED),
    Key("legs", "lengths", say("outside lengths of the legs, in order"), (), (1.0, FARTHEST_MM)),
    Key(
        "angles_deg",
        "numbers",
        say("angle between the legs when bent: 180 is flat, 135 a bend of 45"),
        (),
        (1.0, 179.0),
        "deg",
    ),
    length("width", say("width of the strip"), 50.0, 1.0),
    length("thickness", say("thickness of the sheet"), 2.0, 0.3, 20.0),
    length("radius", say("inside radius of the bends"), 2.0, 0.1, 500.0),
    Key(
        "ways",
        "texts",
        say("{up} or {down} for each bend, seen on the printed side", up=code('"up"'), down=code('"down"')),
        (),
    ),
    most=50,
)
