"""The cross at the centre of a hole or mark, for punch and eye."""

from __future__ import annotations

from cutplan.drawing.model import Stroke, line
from cutplan.geometry.vector import Point
from cutplan.templates.drawn.pens import CROSS
from cutplan.templates.shapes.build import CROSS_BEYOND_MM
from cutplan.templates.shapes.template import Spot


def centre_cross(spot: Spot, free_mm: float) -> Stroke:
    """Return a hole's centre cross: a gap for the punch in the middle, arms that reach beyond the hole.

    ``free_mm`` is the distance to the next hole's edge; where holes are close the arms end half way [mm].
    """
    c, gap = spot.centre, 0.6
    reach = max(min(spot.radius_mm + CROSS_BEYOND_MM, 0.5 * (spot.radius_mm + free_mm) - 0.8), spot.radius_mm, 2.0)
    arms = [
        line(c.plus(Point(a * gap, b * gap)), c.plus(Point(a * reach, b * reach))).segments[0]
        for a, b in ((1, 0), (-1, 0), (0, 1), (0, -1))
    ]
    return Stroke(tuple(arms), CROSS, tag="cross")
