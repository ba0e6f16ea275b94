"""``[survey]``: tape readings between named points."""

from __future__ import annotations

from cutplan.files.job.declared.key import Key, choice, length, point, table, tables, text
from cutplan.texts import code, listed, say

_EACH = say("each reading needs {keys}", keys=listed(("from", "to", "length")))
_SIDE = say("a side needs {keys}", keys=listed(("point", "of", "side")))
#: Standard errors of one reading that are accepted [mm].
_ERROR_MM = (0.01, 20.0)

SURVEY = table(
    "survey",
    say("tape readings between named points, adjusted together"),
    length("reading_error", say("standard error of one reading"), 0.5, *_ERROR_MM),
    Key(
        "base",
        "names",
        say("two points: the first is the origin, the second lies on the x axis"),
        usual=say("or {this}", this=code("[[survey.known]]")),
    ),
    tables(
        "known",
        say("a point whose place is known"),
        text("name", say("name of the point")),
        point("at", say("its place"), need=say("the place of a known point")),
        most=100,
    ),
    tables(
        "tape",
        say("one reading"),
        text("from", say("point where the tape begins"), need=_EACH),
        text("to", say("point where it ends"), need=_EACH),
        length("length", say("what was read"), 1.0, 0.1, need=_EACH),
        length(
            "error", say("its own standard error"), None, *_ERROR_MM, usual=say("as {this}", this=code("reading_error"))
        ),
        most=2000,
    ),
    tables(
        "side",
        say("on which side of a line a point lies: distances alone fit a figure and its mirror image"),
        text("point", say("the point"), need=_SIDE),
        Key("of", "names", say("two points: the line, from the first to the second")),
        choice("side", say("where the point lies, seen along the line"), ("left", "right"), "left", need=_SIDE),
        most=100,
    ),
    Key("outline", "names", say("corners of the plate, once round; or use the points in {this}", this=code("[plate]"))),
    tables(
        "hole",
        say("a round hole of the plate"),
        text("point", say("its middle"), need=say("the surveyed centre of the hole")),
        length("diameter", say("its diameter"), 10.0, 0.1, need=say("its diameter")),
        most=1000,
    ),
)
