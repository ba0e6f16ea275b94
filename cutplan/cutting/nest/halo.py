"""Shapes for the laying: each part grown by half of the metal to keep, a hair too large rather than too small."""

from __future__ import annotations

from math import radians
from typing import TYPE_CHECKING

from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import to_shapely

if TYPE_CHECKING:
    from shapely import Polygon

#: Chord error of the shapes, and how much larger they are made for that and for rounding [mm].
CHORD_MM = 0.02
MARGIN_MM = 0.06
#: Corners closer to the line than this are left out [mm].
SIMPLE_MM = 0.03


def halo(outline: Contour, half_mm: float) -> Polygon:
    """Return a polygon that holds every place within half the spacing of an outline [mm]."""
    grown = to_shapely(outline, CHORD_MM).buffer(half_mm + MARGIN_MM, quad_segs=12)
    simple: Polygon = grown.simplify(SIMPLE_MM)  # type: ignore[assignment]
    return simple


def turned(shape: Polygon, turn_deg: float) -> Polygon:
    """Return a polygon turned counter-clockwise about the origin [deg]."""
    from shapely import affinity

    return affinity.rotate(shape, radians(turn_deg), origin=(0.0, 0.0), use_radians=True) if turn_deg else shape


def inside_of(contour: Contour, half_mm: float) -> Polygon:
    """Return what of the waste within a hole lies farther than half the spacing from its edge [mm]; may be empty."""
    return to_shapely(contour, CHORD_MM).buffer(-(half_mm + MARGIN_MM), quad_segs=12)
