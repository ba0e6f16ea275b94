"""Walks along a closed torch line: start it elsewhere, take a stretch of it."""

from __future__ import annotations

from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Segment
from cutplan.tolerance import JOIN_MM


def started_along(contour: Contour, along_mm: float) -> tuple[Segment, ...]:
    """Return the segments of a closed contour that starts at a distance along it [mm]; one is split in two there."""
    length = contour.length
    return stretch(contour, along_mm % length, length)


def stretch(contour: Contour, start_mm: float, length_mm: float) -> tuple[Segment, ...]:
    """Return the segments from a distance along a closed contour, for a length of at most once round [mm]."""
    segments = contour.segments
    start_mm %= contour.length
    k = 0
    while k < len(segments) - 1 and start_mm >= segments[k].length - JOIN_MM:
        start_mm -= segments[k].length
        k += 1
    first = k
    taken: list[Segment] = []
    left = length_mm
    while left > JOIN_MM and len(taken) <= len(segments) + 1:
        s = segments[k % len(segments)]
        begin = max(0.0, start_mm) if k == first else 0.0
        end = min(s.length, begin + left)
        if begin <= JOIN_MM and end >= s.length - JOIN_MM:
            taken.append(s)
        elif end - begin > JOIN_MM:
            taken.append(s.part(begin / s.length, min(1.0, end / s.length)))
        left -= end - begin
        k += 1
    return tuple(taken)
