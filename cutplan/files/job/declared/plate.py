"""``[plate]``, its holes, and ``[[piece]]``: further parts written like it."""

from __future__ import annotations

from cutplan.files.job.declared.key import (
    FARTHEST_MM,
    Key,
    Offer,
    choice,
    count,
    figure,
    flag,
    length,
    point,
    table,
    tables,
    text,
)
from cutplan.pattern.plate import LONGEST_SIDE_MM, PURPOSES
from cutplan.texts import code, every, listed, say

#: Most holes that one plate may have.
MOST_HOLES = 5000

_BY_SHAPE = say("needed for that shape")
_NAMED = text("name", say("label of the hole; several get a number each"), 20)
_USE = (
    choice(
        "purpose",
        say("what the hole is for"),
        PURPOSES,
        offer=Offer("bolt"),
    ),
    text(
        "bolt", say("thread of the bolt: names the clearance class on the drill list"), 20, offer=Offer("M10", off=True)
    ),
    flag("cut", say("true: cut it although bolt holes are drilled; false: never cut it"), None),
    flag("in_skin", say("it is drilled into the skin too, from a template")),
)

_CORNER = (
    point("at", say("place of the corner")),
    text("point", say("or the surveyed point that it is")),
    length("fillet", say("radius that rounds it"), 0.0),
    point("through", say("a point of an arc from the corner before")),
)

_HOLE = tables(
    "hole",
    say("a hole beside those of the drawing; repeat for every hole"),
    point("at", say("its middle"), offer=Offer([40.0, 40.0], [38.1, 38.1])),
    text("point", say("or the surveyed point that is its middle")),
    length("diameter", say("diameter of a round hole"), 1.0, 0.1, usual=_BY_SHAPE, offer=Offer(11.0, 11.1125)),
    length("slot_length", say("length of a slot, over its round ends"), 20.0, 0.2, usual=_BY_SHAPE),
    length("slot_width", say("width of a slot"), 10.0, 0.1, usual=_BY_SHAPE),
    length("width", say("width of a hole with straight sides"), 10.0, 0.1, usual=_BY_SHAPE),
    length("height", say("height of a hole with straight sides"), 10.0, 0.1, usual=_BY_SHAPE),
    length("corner_radius", say("radius of its corners"), 0.0),
    figure("angle_deg", say("angle by which it is turned"), "deg", -360.0, 360.0, 0.0),
    count("count", say("how many, on a circle or in a row"), 1, 1, 5000),
    length("circle_diameter", say("diameter of the bolt circle about the middle"), None, 0.1),
    figure("start_deg", say("where the first of a bolt circle lies"), "deg", -360.0, 360.0, 0.0),
    point("step", say("from one hole of a row to the next")),
    length("mirror_x", say("adds the mirror image left and right of this coordinate"), 0.0, -FARTHEST_MM),
    length("mirror_y", say("adds the mirror image above and below this coordinate"), 0.0, -FARTHEST_MM),
    *_USE,
    _NAMED,
    most=MOST_HOLES,
)

_DRAWN_HOLE = tables(
    "drawn_hole",
    say("what holes of the drawing are for"),
    length("diameter", say("the holes of this diameter"), None, 0.1),
    point("at", say("or the hole around this place")),
    *_USE,
    _NAMED,
    most=MOST_HOLES,
)

PLATE = table(
    "plate",
    say("the plate that is cut and welded in"),
    text(
        "drawing",
        say("a drawing (.dxf or .svg) in the job's folder or below"),
        usual=say("one of {ways}", ways=listed([code("drawing"), code("shape"), code("outline"), code("[survey]")])),
    ),
    choice("drawing_units", say("unit of the drawing, where it states none"), ("", "mm", "in"), ""),
    text(
        "drawing_length",
        say(
            "or one length of it that was measured: {ways}",
            ways=listed([code('"width=150 mm"'), code('"height=..."'), code('"hole=..."')]),
        ),
    ),
    choice("frame", say("what a rectangle around everything is, where the reading asks"), ("", "plate", "border"), ""),
    count("part", say("which part of the drawing, counted from the largest"), 1, 1, 10_000),
    flag(
        "repair",
        say("mend what is doubtful in the drawing: all of it, or a list of the doubts accepted, as the page writes it"),
    ),
    Key("layers", "names", say("read only these layers"), usual=say("all of them")),
    choice(
        "shape",
        say(
            "a basic shape; or {outline}, or {drawing}",
            outline=code("outline = [{ at = [x, y], fillet = r }, ...]"),
            drawing=code('drawing = "plate.dxf"'),
        ),
        ("rectangle", "round"),
        offer=Offer("rectangle"),
    ),
    length(
        "width", say("width of the rectangle"), 100.0, 1.0, LONGEST_SIDE_MM, usual=_BY_SHAPE, offer=Offer(200.0, 203.2)
    ),
    length(
        "height",
        say("height of the rectangle"),
        100.0,
        1.0,
        LONGEST_SIDE_MM,
        usual=_BY_SHAPE,
        offer=Offer(120.0, 127.0),
    ),
    length("corner_radius", say("radius of its corners"), 0.0, offer=Offer(20.0, 19.05)),
    length("diameter", say("diameter of the round plate"), 100.0, 1.0, LONGEST_SIDE_MM, usual=_BY_SHAPE),
    tables("outline", say("corners in order, once round"), *_CORNER),
    choice(
        "mirror",
        say("the outline is half of the plate: it is completed about the line through its first and last corner"),
        ("", "x", "y"),
        "",
    ),
    length(
        "thickness",
        say("thickness of the plate's sheet"),
        3.0,
        0.5,
        40.0,
        need=say("the plate's thickness, such as {this}", this=listed([code("4"), code('"3/16 in"')])),
        offer=Offer(3.0, 3.175, off=True, note=say("MEASURE the plate's sheet and take away the first #")),
    ),
    text(
        "steel",
        say("mild, or a grade such as {grades}", grades=every([code("S235"), code("S355"), code("A36")])),
        40,
        "mild",
        offer=Offer("mild"),
    ),
    count("quantity", say("how many plates"), 1, 1, 1000, offer=Offer(1)),
    _DRAWN_HOLE,
    _HOLE,
    offer=Offer(),
)

PIECE = tables(
    "piece",
    say("a further part that is only cut, such as a gusset; thickness and steel are the plate's unless given"),
    text("name", say("label of the part"), 40, usual=say("numbered in order")),
    flag("mirrored", say("each with a twin of the other hand")),
    *PLATE.keys,
    most=50,
)
