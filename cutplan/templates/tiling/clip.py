"""Strokes cut off at a rectangle, lines and arcs kept exact."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import acos, asin, pi

from cutplan.drawing.model import Stroke
from cutplan.geometry.segment import TAU, Arc, Line, Segment
from cutplan.geometry.vector import Box


def clipped(stroke: Stroke, window: Box) -> Stroke | None:
    """Return the part inside a window of a stroke that crosses its edge, or None when nothing is left.

    A filled stroke is left out (filled marks are placed so that they lie inside).
    """
    if stroke.fill:
        return None
    inside = [piece for segment in stroke.segments for piece in clip_segment(segment, window)]
    if not inside:
        return None
    return replace(stroke, segments=tuple(inside), closed=False)


def clip_segment(segment: Segment, window: Box) -> list[Segment]:
    """Return the pieces of a line or arc inside a window, in the direction of travel."""
    box = segment.box
    if not box.meets(window):
        return []
    if box.xmin >= window.xmin and box.xmax <= window.xmax and box.ymin >= window.ymin and box.ymax <= window.ymax:
        return [segment]
    cuts = _line_cuts(segment, window) if isinstance(segment, Line) else _arc_cuts(segment, window)
    stops = sorted({0.0, 1.0, *(t for t in cuts if 1e-12 < t < 1.0 - 1e-12)})
    pieces: list[Segment] = []
    for t0, t1 in pairwise(stops):
        if window.holds(segment.point_at(0.5 * (t0 + t1))):
            pieces.append(segment if (t0, t1) == (0.0, 1.0) else segment.part(t0, t1))
    return pieces


def _line_cuts(s: Line, window: Box) -> list[float]:
    dx, dy = s.end.x - s.start.x, s.end.y - s.start.y
    cuts: list[float] = []
    if dx != 0.0:
        cuts += [(window.xmin - s.start.x) / dx, (window.xmax - s.start.x) / dx]
    if dy != 0.0:
        cuts += [(window.ymin - s.start.y) / dy, (window.ymax - s.start.y) / dy]
    return cuts


def _arc_cuts(s: Arc, window: Box) -> list[float]:
    angles: list[float] = []
    for x in (window.xmin, window.xmax):
        ratio = (x - s.centre.x) / s.radius
        if abs(ratio) <= 1.0:
            angles += [acos(ratio), -acos(ratio)]
    for y in (window.ymin, window.ymax):
        ratio = (y - s.centre.y) / s.radius
        if abs(ratio) <= 1.0:
            angles += [asin(ratio), pi - asin(ratio)]
    turn = 1.0 if s.sweep > 0.0 else -1.0
    return [((a - s.start_angle) * turn % TAU) / abs(s.sweep) for a in angles]
