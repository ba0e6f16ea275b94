"""``[[pad]]`` and ``[brace]``: what must stay flat, and what holds it while welding."""

from __future__ import annotations

from typing import get_args

from cutplan.files.job.declared.key import Key, Offer, choice, length, point, table, tables, text
from cutplan.geometry.vector import Point
from cutplan.pattern.brace import DESIGNS
from cutplan.pattern.pads import BraceKind
from cutplan.texts import code, say


def _end(name: str, x: int) -> Key:
    return point(
        name,
        say("end of its line over the plate"),
        default=Point(float(x), 0.0),
        need=say("the brace's line: {this}", this=code(f"{name} = [x, y]")),
        offer=Offer([x, 0]),
    )


PAD = tables(
    "pad",
    say("a face that must stay flat and in place"),
    text("name", say("label of the pad"), 20, usual=say("numbered in order"), offer=Offer("mount")),
    point("at", say("its middle; or {hole}", hole=code('hole = "H1"')), field="centre", offer=Offer([0, 0])),
    text("hole", say("or the hole of the plate that it lies around")),
    length("diameter", say("size of the face"), 40.0, 1.0, 2000.0, offer=Offer(40.0, 38.1)),
    length(
        "flatness", say("allowed out of flat, over the pad and between pads"), 0.5, 0.01, 50.0, offer=Offer(0.5, 0.508)
    ),
    length("pitch", say("allowed change of the distance to the other pads"), 0.5, 0.01, 50.0, offer=Offer(0.5, 0.508)),
    most=100,
    offer=Offer(off=True),
)

BRACE = table(
    "brace",
    say("what holds the pads while welding"),
    choice(
        "kind",
        say("square tube, flat bar, angle, or the real mating part"),
        get_args(BraceKind),
        "tube",
        offer=Offer("tube"),
    ),
    length("size", say("outside width of the section"), 38.0, 3.0, 500.0, offer=Offer(38.0, 38.1)),
    length("wall", say("wall of a tube or angle, thickness of a bar"), 3.0, 0.5, 60.0, offer=Offer(3.0, 3.175)),
    _end("from", 0),
    _end("to", 100),
    choice("design", say("how it lies to the opening"), DESIGNS, usual=say("chosen by computation")),
    offer=Offer(off=True),
)
