"""``[traced]``: the pictures of a card that the drawing comes from."""

from __future__ import annotations

from cutplan.files.job.declared.key import Key, count, flag, length, table, text
from cutplan.texts import code, say

#: Thickness of a card from and to [mm].
CARD_MM = (0.1, 30.0)
_USUAL = say("0.1 mm")

TRACED = table(
    "traced",
    say("where the drawing comes from; its errors lie beside it"),
    Key(
        "pictures",
        "texts",
        say("photographs or scans beside the job file"),
        (),
        need=say("the photographs or scans: {this}", this=code('pictures = ["1.jpg", "2.jpg"]')),
        field="names",
    ),
    length(
        "thickness",
        say("thickness of the card"),
        CARD_MM[0],
        *CARD_MM,
        need=say("the thickness of the card, by caliper: {this}", this=code('thickness = "2.5 mm"')),
    ),
    Key("known", "texts", say("lengths measured between crosses: {this}", this=code('["A1-D2=399.8 mm"]')), ()),
    flag("scan", say("they are flatbed scans")),
    text("printer", say("printer of the marks, by its name in the shop file"), 40),
    length("reading", say("reading error of the rule"), None, 0.001, 10.0, usual=_USUAL),
    length("tolerance", say("how far the edge may lie from lines and arcs"), None, 0.01, 5.0, usual=_USUAL),
    count("holes", say("holes counted on the card, with the outline found before your eyes"), None, 0, 500),
)
