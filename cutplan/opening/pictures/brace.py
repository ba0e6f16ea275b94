"""The brace in the opening's pictures: filled when it goes on, else its outline with its feet."""

from __future__ import annotations

from cutplan.drawing.model import Item, Pen, Stroke, Text, Tie
from cutplan.geometry.vector import middle
from cutplan.opening.model import OpeningPlan
from cutplan.opening.pictures.parts import BRACE, NOW, cross
from cutplan.pattern.brace import FittedBrace
from cutplan.texts import Reader, say

#: The brace's face while it is put on.
_FACE = "#f3e3b0"


def opening_brace(plan: OpeningPlan) -> FittedBrace | None:
    """Return the brace that is on while the opening is cut."""
    return next((b for b in plan.bracing.fitted if b.on == "marked"), None)


def brace_now_items(plan: OpeningPlan, u: float, read: Reader) -> list[Item]:
    """The brace when it goes on: each bar filled, a cross at each tack; ``u`` part mm to one of paper [1]."""
    brace = opening_brace(plan)
    items: list[Item] = []
    for bar in brace.bars if brace is not None else ():
        items.append(Stroke(bar.footprint().segments, Pen(0.8, NOW), _FACE, True, "now brace"))
    for bar in brace.bars if brace is not None else ():
        for foot in bar.feet:
            items += cross(foot.at, 1.5 * u, Pen(0.5, NOW), "tack")
        mid, along = middle(bar.start, bar.end), bar.end.minus(bar.start)
        tie = Tie(mid, along=along)
        items.append(Text(read(say("BRACE")), mid, 4.5, "middle", 0.0, True, NOW, "now brace", _FACE, tie=tie))
    return items


def brace_items(plan: OpeningPlan) -> list[Item]:
    """The brace while work goes on: its feet filled, its outline broken."""
    brace = opening_brace(plan)
    if brace is None:
        return []
    feet = [Stroke(foot.segments, Pen(0.3, BRACE), "#dedede", True, "brace foot") for foot in brace.foot_contours()]
    bars = [
        Stroke(bar.footprint().segments, Pen(0.25, BRACE, (1.2, 1.2)), closed=True, tag="brace") for bar in brace.bars
    ]
    return [*feet, *bars]
