"""Places and pieces along a closed outline, through its start where needed."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Point
from cutplan.pattern.joint import Span


def piece(outline: Contour, span: Span) -> tuple[Segment, ...]:
    """Return the exact lines and arcs of an outline over a stretch.

    Parameters
    ----------
    outline : Contour
        Closed outline
    span : Span
        Stretch, start within the outline's length, end above the start and possibly beyond the length [mm]

    Returns
    -------
    tuple of Segment
        Segments in the outline's direction [mm].
    """
    length = outline.length
    out: list[Segment] = []
    for turn in (0.0, length):
        run = turn
        for s in outline.segments:
            a, b = max(span.start_mm, run), min(span.end_mm, run + s.length)
            if b - a > 1e-9:
                out.append(s.part((a - run) / s.length, min(1.0, (b - run) / s.length)))
            run += s.length
    return tuple(out)


def backward(path: tuple[Segment, ...]) -> tuple[Segment, ...]:
    """Return a path travelled the other way."""
    return tuple(s.reversed() for s in reversed(path))


def place(outline: Contour, along_mm: float) -> Point:
    """Return the point at a distance along an outline from its start, any turn of it [mm]."""
    return outline.point_at_length(along_mm)[0]


def nodes(outline: Contour, span: Span, count: int, reverse: bool) -> NDArray[np.float64]:
    """Return the middles of equal pieces of a stretch in the direction of travel, shape (count, 2) [mm]."""
    middles = _middles(outline, span, count)
    return middles[::-1].copy() if reverse else middles


@lru_cache(maxsize=1024)
def _middles(outline: Contour, span: Span, count: int) -> NDArray[np.float64]:
    """The same beads are asked for in every order that is timed."""
    step = (span.end_mm - span.start_mm) / count
    points = [place(outline, span.start_mm + (i + 0.5) * step) for i in range(count)]
    found = np.array(points, dtype=np.float64)
    found.setflags(write=False)
    return found
