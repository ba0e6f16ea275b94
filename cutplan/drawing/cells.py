"""Which cells of a square grid a box covers and lines pass: how the placers of texts know what is taken."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import product
from math import ceil

from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Box

Cell = tuple[int, int]
#: Most places looked at along one segment.
MOST = 4000


def covered(box: Box, size_mm: float) -> Iterator[Cell]:
    """Return the cells that a box touches."""
    x0, x1 = int(box.xmin // size_mm), int(box.xmax // size_mm)
    y0, y1 = int(box.ymin // size_mm), int(box.ymax // size_mm)
    return product(range(x0, x1 + 1), range(y0, y1 + 1))


def passed(segments: Iterable[Segment], size_mm: float, step_mm: float, arc_places: int = 1) -> Iterator[Cell]:
    """Return the cells that lines pass, looked at every ``step_mm``, arcs at least at so many places."""
    for s in segments:
        count = min(max(1, ceil(s.length / step_mm)), MOST)
        if isinstance(s, Line):
            (x, y), (u, v) = s.start, s.end
            u, v = (u - x) / count, (v - y) / count
            yield from ((int((x + i * u) // size_mm), int((y + i * v) // size_mm)) for i in range(count + 1))
        else:
            count = max(count, arc_places)
            points = (s.point_at(i / count) for i in range(count + 1))
            yield from ((int(p.x // size_mm), int(p.y // size_mm)) for p in points)
