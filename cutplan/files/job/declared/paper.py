"""``[paper]`` and ``[marks]``: sheets of the templates, and the directions printed on them."""

from __future__ import annotations

from cutplan.files.job.declared.key import Offer, choice, figure, flag, length, point, table, tables, text
from cutplan.pattern.wishes import PaperWish
from cutplan.tables.paper import FREE, LEAST_MARGIN_MM, LEAST_OVERLAP_MM, SHEETS
from cutplan.texts import code, listed, say

_USUAL = PaperWish()
_LINE = say("end of the line")
_BY_SIZE = say("by the size")

PAPER = table(
    "paper",
    say("paper of the templates"),
    choice(
        "size",
        say("sheet, a roll, or a size of your own"),
        (*SHEETS, *FREE),
        _USUAL.name,
        field="name",
        offer=Offer("A4"),
    ),
    length("width", say("width of a roll, or of a sheet of your own"), 210.0, 60.0, 2000.0, usual=_BY_SIZE),
    length("height", say("height of a sheet of your own"), 0.0, 60.0, 2000.0, usual=_BY_SIZE),
    length("margin", say("border that the printer does not reach"), _USUAL.margin_mm, LEAST_MARGIN_MM, 60.0),
    length("overlap", say("overlap of neighbouring sheets"), _USUAL.overlap_mm, LEAST_OVERLAP_MM, 60.0),
    text("printer", say("name of the printer in the shop file"), 40, _USUAL.printer),
    offer=Offer(),
)

MARKS = table(
    "marks",
    say("where the vehicle's front, left and up are on the plate, and what else is printed on it"),
    figure(
        "forward_deg",
        say("where the vehicle's front is, counter-clockwise from the drawing's right"),
        "deg",
        -360.0,
        360.0,
        usual=say("90 where no direction is given"),
        offer=Offer(90),
    ),
    figure(
        "up_deg",
        say(
            "the same for up: name the two of {keys} that lie in the plate",
            keys=listed([code("forward_deg"), code("up_deg"), code("left_deg")]),
        ),
        "deg",
        -360.0,
        360.0,
        offer=Offer(90, off=True),
    ),
    figure("left_deg", say("the same for the vehicle's left"), "deg", -360.0, 360.0, offer=Offer(180, off=True)),
    text("side_out", say("the face that you see in the drawing"), 40, "outside", offer=Offer("outside")),
    choice("hand", say("the hand of the part, where there are two"), ("", "left", "right"), ""),
    flag("mirrored_copy", say("templates of the other hand too")),
    tables(
        "datum",
        say("a datum line"),
        point("from", _LINE, need=say("a datum line: {this}", this=code("from = [x, y]"))),
        point("to", _LINE, need=say("a datum line: {this}", this=code("to = [x, y]"))),
        most=20,
    ),
    offer=Offer(),
)
