"""Slots: a contour of two straight sides and two half circles, known by its two end centres."""

from __future__ import annotations

from math import pi

from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Arc, Line
from cutplan.geometry.vector import Point

_SLACK_MM = 1e-3


def as_slot(contour: Contour) -> tuple[Point, Point, float] | None:
    """Return (centre of one end, centre of the other, width [mm]) when a contour is a round-ended slot, else None."""
    arcs: list[Arc] = []
    lines: list[Line] = []
    for s in contour.segments:
        if isinstance(s, Line):
            lines.append(s)
        elif arcs and arcs[-1].centre.distance(s.centre) < _SLACK_MM and abs(arcs[-1].radius - s.radius) < _SLACK_MM:
            arcs[-1] = Arc(arcs[-1].start, s.end, s.centre, s.radius, arcs[-1].sweep + s.sweep)
        else:
            arcs.append(s)
    if len(arcs) == 3 and arcs[0].centre.distance(arcs[2].centre) < _SLACK_MM:
        arcs[0] = Arc(arcs[2].start, arcs[0].end, arcs[0].centre, arcs[0].radius, arcs[0].sweep + arcs[2].sweep)
        arcs.pop()
    if len(arcs) != 2 or len(lines) != 2 or abs(arcs[0].radius - arcs[1].radius) > _SLACK_MM:
        return None
    if any(abs(abs(a.sweep) - pi) > 1e-3 for a in arcs):
        return None
    return arcs[0].centre, arcs[1].centre, arcs[0].radius + arcs[1].radius
