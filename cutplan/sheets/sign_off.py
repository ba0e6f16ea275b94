"""The block where the work is signed off: on the cover where it has room, else after the last step."""

from __future__ import annotations

from cutplan.drawing.layout import frame
from cutplan.drawing.model import Pen, Text, line
from cutplan.geometry.vector import Box, Point
from cutplan.sheets.page import CELL, SMALL, Builder

#: Least and most height of a line to sign on, and of heading and lead above them [mm].
_LINE_MM, _HEAD_MM = (7.2, 11.0), 16.5
_ROWS = ("sign.cut", "sign.weld", "sign.measure", "sign.accept")
#: Least height of the block [mm].
SIGN_MM = _LINE_MM[0] * len(_ROWS) + _HEAD_MM


def signoff(b: Builder) -> None:
    """Write the sign-off block."""
    b.need(SIGN_MM)
    tall = min(max((b.room - _HEAD_MM) / len(_ROWS), _LINE_MM[0]), _LINE_MM[1])
    b.heading(b.say("sign.title"))
    b.para(b.say("sign.lead"), SMALL)
    top = b.y
    for i, key in enumerate(_ROWS):
        y = top - (i + 1) * tall
        b.add(Text(b.say(key), Point(b.left + 3.0, y + 0.5 * tall - 1.6), CELL, bold=True, tag="sign"))
        b.add(line((b.left, y), (b.right, y), Pen(0.3), "sign"))
        b.add(Text(b.say("sign.name"), Point(b.left + 0.36 * b.wide, y + tall - 3.5), SMALL, tag="sign"))
        b.add(Text(b.say("sign.date"), Point(b.left + 0.78 * b.wide, y + tall - 3.5), SMALL, tag="sign"))
    b.add(frame(Box(b.left, top - tall * len(_ROWS), b.right, top), Pen(0.6), "sign"))
    for share in (0.34, 0.76):
        x = b.left + share * b.wide
        b.add(line((x, top), (x, top - tall * len(_ROWS)), Pen(0.3), "sign"))
    b.y = top - tall * len(_ROWS) - 4.0
