"""Take edges out of a contour that are too short to mean anything, before it is offset."""

from __future__ import annotations

from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import TAU, Arc, Line, Segment, arc_from_bulge
from cutplan.geometry.vector import Point
from cutplan.tolerance import MICRO_MM

#: Sweep above which an arc keeps its ends: moved ends would swing it about [rad].
_WIDE_RAD = 0.55 * TAU


def without_micro_edges(contour: Contour, micro_mm: float = MICRO_MM) -> tuple[Contour, float]:
    """Return a contour whose neighbouring corners lie apart, and how far its line moved at most [mm].

    Parameters
    ----------
    contour : Contour
        Closed contour.
    micro_mm : float
        Corners that lie nearer than this to the corner kept before them give way to it [mm].

    Returns
    -------
    (Contour, float)
        The departure is never above ``micro_mm``, however many edges are taken out in a row, since each one is measured
        from the corner that stays. A contour that is smaller than ten times the limit is returned as it is.
    """
    segments = contour.segments
    if len(segments) < 2 or all(s.length > micro_mm for s in segments) or contour.box.diagonal < 10.0 * micro_mm:
        return contour, 0.0
    # start with the longest segment, so that the corner that is kept first is a real one
    k = max(range(len(segments)), key=lambda i: segments[i].length)
    segments = segments[k:] + segments[:k]
    kept: list[Segment] = []
    moved_mm = 0.0
    here = segments[0].start
    for s in segments:
        wide = isinstance(s, Arc) and abs(s.sweep) > _WIDE_RAD
        if not wide and s.end.distance(here) <= micro_mm and s.length < 4.0 * micro_mm:
            moved_mm = max(moved_mm, s.end.distance(here))
            continue
        kept.append(_between(s, here, s.end))
        here = s.end
    first = kept[0].start
    if here != first:
        # what was left out last joins the corner where the contour started
        kept[-1] = _between(kept[-1], kept[-1].start, first)
    if len(kept) < 2:
        return contour, 0.0
    return Contour(tuple(kept)), moved_mm


def _between(segment: Segment, start: Point, end: Point) -> Segment:
    """Return the segment between ends moved by a hair; an arc keeps its sweep, a wide one its circle."""
    if segment.start == start and segment.end == end:
        return segment
    if not isinstance(segment, Arc):
        return Line(start, end)
    if abs(segment.sweep) > _WIDE_RAD:
        if start == end:
            return Arc(start, start, segment.centre, segment.radius, TAU if segment.sweep > 0.0 else -TAU)
        return Arc(start, end, segment.centre, segment.radius, segment.sweep)
    return arc_from_bulge(start, end, segment.bulge)
