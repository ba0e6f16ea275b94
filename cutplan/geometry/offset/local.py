"""The offset of a shape whose offset has no distant collisions: every corner trimmed on its own.

When the trimmed loops neither cross nor touch themselves or each other, and one place on each loop keeps
its distance from the input, then every place does: along a loop the distance can only start to fall short
where the loop meets another part of the offset, and it meets none.
"""

from __future__ import annotations

import numpy as np

from cutplan.geometry.contour import Contour
from cutplan.geometry.intersect import meet
from cutplan.geometry.offset.raw import Piece, RawContour, Source
from cutplan.geometry.pairs import near_pairs
from cutplan.geometry.segment import Arc, Line, Segment
from cutplan.geometry.segment_table import SegmentTable
from cutplan.geometry.vector import Point

#: Loops that come closer than this count as touching [mm].
TOUCH_MM = 1e-6
#: Shortest trimmed segment that this way accepts [mm].
SHORTEST_MM = 1e-3
#: How far from a shared corner a second crossing of two neighbours must be to count [mm].
_SAME_CORNER_MM = 1e-4


def local_offset(
    contours: list[Contour], raws: list[RawContour], size_mm: float, sharp: bool
) -> list[list[Piece]] | None:
    """Return the trimmed loops, or None when they collide, collapse or vanish in part.

    Parameters
    ----------
    contours : list[Contour]
        Input contours.
    raws : list[RawContour]
        Their untrimmed offsets.
    size_mm : float
        Distance of the offset, above zero [mm].
    sharp : bool
        Whether sharp tips were made.

    Returns
    -------
    list of loops, or None
        Full circles that shrink to nothing are left out.
    """
    loops: list[list[Piece]] = []
    for index, raw in enumerate(raws):
        if len(raw.moved) == 1 and isinstance(contours[index].segments[0], Arc) and not raw.joins[0]:
            if raw.moved[0] is not None:
                loops.append([Piece(raw.moved[0], Source(index, 0))])
            continue
        loop = _trimmed(contours[index], raw, index)
        if loop is None:
            return None
        loops.append(loop)
    if _collide(loops):
        return None
    segments = [s for c in contours for s in c.segments]
    probes = [next(p for p in loop if not p.source.corner or not sharp).segment.point_at(0.5) for loop in loops]
    return loops if _far(probes, segments, size_mm - TOUCH_MM) else None


def trimmed(segment: Segment, t0: float, p0: Point, t1: float, p1: Point) -> Segment:
    """Return the piece of a segment between two fractions [1] of its length, whose exact end points are given."""
    if isinstance(segment, Arc):
        sweep = segment.sweep if t0 == 0.0 and t1 == 1.0 else segment.sweep * (t1 - t0)
        return Arc(p0, p1, segment.centre, segment.radius, sweep)
    return Line(p0, p1)


def _far(probes: list[Point], segments: list[Segment], distance_mm: float) -> bool:
    """Whether no place comes nearer to any segment than a distance."""
    if len(probes) * len(segments) < 500:
        return all(s.nearest(p)[1] >= distance_mm for p in probes for s in segments)
    return bool(SegmentTable(segments).clear(np.array(probes), distance_mm).all())


def _trimmed(contour: Contour, raw: RawContour, index: int) -> list[Piece] | None:
    n = len(raw.moved)
    first: list[tuple[float, Point] | None] = [None] * n
    last: list[tuple[float, Point] | None] = [None] * n
    for i, hollow in enumerate(raw.concave):
        if not hollow:
            continue
        j = (i + 1) % n
        a, b = raw.moved[i], raw.moved[j]
        if a is None or b is None:
            return None
        found = meet(a, b)
        if not found:
            return None
        corner = contour.segments[j].start
        best = min(found, key=lambda m: m.point.distance(corner))
        last[i] = (best.ta, best.point)
        first[j] = (best.tb, best.point)
    loop: list[Piece] = []
    for i, segment in enumerate(raw.moved):
        if segment is None:
            return None
        t0, p0 = first[i] or (0.0, segment.start)
        t1, p1 = last[i] or (1.0, segment.end)
        if (t1 - t0) * segment.length < SHORTEST_MM:
            return None
        if first[i] or last[i]:
            segment = trimmed(segment, t0, p0, t1, p1)
        loop.append(Piece(segment, Source(index, i)))
        for join in raw.joins[i]:
            loop.append(Piece(join, Source(index, i, corner=True)))
    return loop


def _collide(loops: list[list[Piece]]) -> bool:
    """Whether any two segments meet anywhere but at the corner that they share."""
    segments: list[Segment] = []
    following: list[int] = []
    for loop in loops:
        base, n = len(segments), len(loop)
        segments.extend(p.segment for p in loop)
        following.extend(base + (k + 1) % n for k in range(n))
    for i, j in near_pairs([s.box for s in segments], TOUCH_MM):
        a, b = segments[i], segments[j]
        shared = []
        if following[i] == j:
            shared.append(a.end)
        if following[j] == i:
            shared.append(b.end)
        if shared and isinstance(a, Line) and isinstance(b, Line):
            continue
        for m in meet(a, b, TOUCH_MM):
            if all(m.point.distance(p) > _SAME_CORNER_MM for p in shared):
                return True
    return False
