"""The brace in the opening's pictures: filled when it goes on, else its outline with its feet."""

from __future__ import annotations

from math import atan2, degrees, radians

from cutplan.drawing.model import Item, Pen, Stroke, Text
from cutplan.geometry.vector import Point, middle
from cutplan.opening.model import OpeningPlan
from cutplan.opening.pictures.parts import BRACE, NOW, cross
from cutplan.pattern.brace import BraceBar, FittedBrace
from cutplan.texts import Reader, say


def opening_brace(plan: OpeningPlan) -> FittedBrace | None:
    """Return the brace that is on while the opening is cut."""
    return next((b for b in plan.bracing.fitted if b.on == "marked"), None)


def brace_now_items(plan: OpeningPlan, u: float, read: Reader) -> list[Item]:
    """The brace when it goes on: each bar filled, a cross at each tack; ``u`` part mm to one of paper [1]."""
    brace = opening_brace(plan)
    items: list[Item] = []
    for bar in brace.bars if brace is not None else ():
        items.append(Stroke(bar.footprint().segments, Pen(0.8, NOW), "#f3e3b0", True, "now brace"))
    for bar in brace.bars if brace is not None else ():
        for foot in bar.feet:
            items += cross(foot.at, 1.5 * u, Pen(0.5, NOW), "tack")
        items += _named(bar, u, read)
    return items


def _named(bar: BraceBar, u: float, read: Reader) -> list[Item]:
    """The word along a bar, beside it where it is too narrow to hold it."""
    along = bar.direction
    angle = degrees(atan2(along.y, along.x))
    angle = angle - 180.0 if angle > 90.0 else angle + 180.0 if angle <= -90.0 else angle
    size = 4.5
    mid = middle(bar.start, bar.end)
    if bar.section.width_mm < 1.2 * size * u:
        mid = mid.plus(Point(0.0, 0.5 * bar.section.width_mm + 0.75 * size * u).turned(radians(angle)))
    drop = Point(0.0, -0.34 * size * u).turned(radians(angle))
    return [Text(read(say("BRACE")), mid.plus(drop), size, "middle", angle, True, NOW, "now brace")]


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
