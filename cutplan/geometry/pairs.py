"""Which of many boxes overlap: the quick question before any exact one."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.geometry.vector import Box

#: Number of boxes from which the spatial index of GEOS is used.
_MANY = 400


def near_pairs(boxes: Sequence[Box], slack_mm: float = 0.0) -> list[tuple[int, int]]:
    """Return the pairs (i, j), i < j, of boxes that overlap or come within a slack [mm], in order."""
    if len(boxes) >= _MANY:
        return _indexed(boxes, slack_mm)
    order = sorted(range(len(boxes)), key=lambda k: boxes[k].xmin)
    pairs: list[tuple[int, int]] = []
    for place, i in enumerate(order):
        _, ymin, xmax, ymax = boxes[i]
        xmax += slack_mm
        ymin -= slack_mm
        ymax += slack_mm
        for j in order[place + 1 :]:
            other = boxes[j]
            if other.xmin > xmax:
                break
            if other.ymin <= ymax and other.ymax >= ymin:
                pairs.append((i, j) if i < j else (j, i))
    pairs.sort()
    return pairs


def _indexed(boxes: Sequence[Box], slack_mm: float) -> list[tuple[int, int]]:
    import numpy as np
    import shapely

    edges = np.asarray(boxes, dtype=float)
    half = 0.5 * slack_mm
    shapes = shapely.box(edges[:, 0] - half, edges[:, 1] - half, edges[:, 2] + half, edges[:, 3] + half)
    first, second = shapely.STRtree(shapes).query(shapes)
    keep = first < second
    first, second = first[keep], second[keep]
    order = np.lexsort((second, first))
    return list(zip(first[order].tolist(), second[order].tolist(), strict=True))
