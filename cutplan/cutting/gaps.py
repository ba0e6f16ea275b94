"""The metal between two contours that lie apart."""

from __future__ import annotations

import numpy as np

from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten
from cutplan.geometry.segment_table import SegmentTable

#: Chord error of the points that measure a gap [mm].
CHORDS_MM = 0.05


def gap_between(a: Contour, b: Contour) -> float:
    """Return the least distance between two contours that do not meet [mm]: exact for circles, else within 0.05 mm.

    Two straight edges of polygons are nearest at a corner of one of them, so corners and points on arcs suffice.
    """
    ca, cb = a.as_circle(), b.as_circle()
    if ca and cb:
        return ca[0].distance(cb[0]) - ca[1] - cb[1]
    return min(
        float(SegmentTable(b.segments).distances(np.array(flatten(a, CHORDS_MM))).min()),
        float(SegmentTable(a.segments).distances(np.array(flatten(b, CHORDS_MM))).min()),
    )
