"""``[welding]``: how the plate is welded in."""

from __future__ import annotations

from typing import get_args

from cutplan.files.job.declared.key import Offer, choice, count, figure, length, table, text
from cutplan.pattern.wishes import WELD_ORDERS, WELD_POSITIONS, Welding, WeldProcess
from cutplan.texts import code, listed, say

#: What must be given together, or not at all.
SETTINGS = ("current_A", "voltage_V", "speed_mm_per_s")
_USUAL = Welding()
_TABLE = say("from the table")
_RULE = say("by the rules for the thickness")

WELDING = table(
    "welding",
    say("how the plate is welded in"),
    choice("process", say("arc process"), get_args(WeldProcess), _USUAL.process, offer=Offer("GMAW")),
    text(
        "settings",
        say("{table}, or instead of it {keys}", table=code('"from the table"'), keys=listed(SETTINGS)),
        offer=Offer("from the table"),
    ),
    figure("current_A", say("welding current"), "A", 5.0, 500.0, usual=_TABLE),
    figure("voltage_V", say("arc voltage"), "V", 5.0, 50.0, usual=_TABLE),
    figure("speed_mm_per_s", say("speed of travel"), "mm/s", 0.3, 50.0, usual=_TABLE),
    length("wire", say("diameter of wire or rod"), None, 0.4, 5.0, usual=_TABLE),
    length("stitch", say("length of a stitch"), None, 8.0, 500.0, usual=_RULE),
    length("tack", say("length of a tack"), None, 3.0, 60.0, usual=_RULE),
    length("tack_spacing", say("distance from tack to tack"), None, 10.0, 500.0, usual=_RULE),
    figure(
        "interpass_C", say("highest temperature where the next bead starts"), "degC", 30.0, 400.0, _USUAL.interpass_C
    ),
    figure("ambient_C", say("temperature of the metal before welding"), "degC", -30.0, 60.0, _USUAL.ambient_C),
    count("orders", say("how many orders the search may try"), _USUAL.orders, 10, 1_000_000),
    choice(
        "position",
        say("welding position by ISO 6947"),
        WELD_POSITIONS,
        usual=say("by the direction of up in {this}", this=code("[marks]")),
    ),
    choice("order", say("order of the stitches"), WELD_ORDERS, usual=say("chosen by comparison")),
    offer=Offer(),
)
