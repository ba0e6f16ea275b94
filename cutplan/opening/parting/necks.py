"""Necks of the waste so narrow that the slots on both sides of them meet: it falls apart there without a cut across."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from cutplan.geometry.vector import Point
from cutplan.opening.parting.places import Chord

if TYPE_CHECKING:
    from shapely import Polygon

#: What is left beside a neck and is smaller than this is dressed away with it [mm2]. Our own.
_CRUMB_MM2 = 20.0
#: A neck is looked for between parts grown so much beyond half the kerf [mm].
_TOUCH_MM = 0.05
#: What lies so near to the path counts as on it [mm].
_HAIR_MM = 1e-6


def necks(path_poly: Polygon, kerf_mm: float) -> list[Chord]:
    """Return one line across each neck at which the waste falls apart, from side to side of the path.

    Parameters
    ----------
    path_poly : shapely.Polygon
        Inside of the kerf's centre line [mm].
    kerf_mm : float
        Width of the slot [mm].

    Notes
    -----
    What the slots leave is the inside less half a kerf all round. Where that is several pieces, the metal between two
    of them is gone: its narrowest place, between the two sides of the path, is where their sections are told apart.
    """
    from shapely import get_parts

    left = [p for p in get_parts(path_poly.buffer(-0.5 * kerf_mm, join_style="mitre")) if p.area >= _CRUMB_MM2]
    if len(left) < 2:
        return []
    grown = [p.buffer(0.5 * kerf_mm + _TOUCH_MM) for p in left]
    between = path_poly
    for shape in grown:
        between = between.difference(shape)
    found = []
    for neck in get_parts(between):
        if sum(neck.distance(g) < _HAIR_MM for g in grown) >= 2:
            found += _across(neck, path_poly)
    return found


def _across(neck: Polygon, path_poly: Polygon) -> list[Chord]:
    """The shortest line between two sides of a neck."""
    from shapely import get_parts, line_merge
    from shapely.ops import nearest_points

    border = path_poly.exterior.buffer(_HAIR_MM)
    sides = [s for s in get_parts(line_merge(neck.exterior.intersection(border))) if s.length > 1e-3]
    pairs = [nearest_points(a, b) for a, b in combinations(sides, 2)]
    if not pairs:
        return []
    a, b = min(pairs, key=lambda p: round(p[0].distance(p[1]), 6))
    p, q = Point(a.x, a.y), Point(b.x, b.y)
    out = q.minus(p).unit().times(2.0 * _HAIR_MM)  # to the path for certain
    return [(p.minus(out), q.plus(out))]
