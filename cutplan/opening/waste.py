"""The waste to be cut away: the net line, the rough line left for dressing, and the path of the kerf's centre."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import to_shapely
from cutplan.geometry.offset import offset_contour
from cutplan.geometry.vector import Point
from cutplan.tables.hand_tools import tool_kerf_mm

if TYPE_CHECKING:
    from shapely import Polygon

#: Chord error of the flattened shapes that splitting and simulation work on [mm].
FLAT_MM = 0.01


@dataclass(frozen=True)
class Waste:
    """One connected piece of waste inside the net line.

    Parameters
    ----------
    line : Contour
        Net line of the opening, counter-clockwise [mm].
    rough : Contour
        Net line less the dressing allowance [mm]: no kerf beyond it.
    path : Contour
        Centre of the kerf along the rough line [mm].
    kerf_mm, allowance_mm : float
        Kerf width and dressing allowance [mm].
    """

    line: Contour
    rough: Contour
    path: Contour
    kerf_mm: float
    allowance_mm: float

    @cached_property
    def line_poly(self) -> Polygon:
        """Net line, flattened."""
        return to_shapely(self.line, FLAT_MM)

    @cached_property
    def rough_poly(self) -> Polygon:
        """Rough line, flattened."""
        return to_shapely(self.rough, FLAT_MM)

    @cached_property
    def rough_slack(self) -> Polygon:
        """Rough line grown by a hair, so that a slot that touches it counts as inside."""
        grown: Polygon = self.rough_poly.buffer(0.03, quad_segs=4)
        return grown

    def edge_gap(self, p: Point) -> float:
        """Distance of a point inside from the rough line [mm]; 0 outside."""
        return self.rough.nearest(p)[1] if self.rough.contains(p) else 0.0

    @cached_property
    def path_poly(self) -> Polygon:
        """Inside of the kerf's centre line, flattened."""
        return to_shapely(self.path, FLAT_MM)


def wastes(line: Contour, tool: str, disc_thickness_mm: float, allowance_mm: float) -> tuple[Waste, ...]:
    """Return the pieces of waste inside a net line, largest first; empty when no kerf fits inside.

    Parameters
    ----------
    line : Contour
        Net line of the opening [mm].
    tool : str
        Hand tool, for its kerf.
    disc_thickness_mm : float
        Disc thickness [mm]; not used by other tools.
    allowance_mm : float
        Metal left for dressing [mm].

    Notes
    -----
    Where a neck is narrower than twice the allowance and the kerf the waste falls into several pieces; the metal of
    the neck is dressed away.
    """
    line = line.oriented(ccw=True)
    kerf = tool_kerf_mm(tool, disc_thickness_mm)
    found: list[Waste] = []
    roughs = [line] if allowance_mm <= 0.0 else offset_contour(line, -allowance_mm, join="sharp")
    for rough in roughs:
        if not rough.ccw:
            continue
        for path in offset_contour(rough, -0.5 * kerf, join="sharp"):
            if path.ccw and path.area > 1.0:
                found.append(Waste(line, rough, path, kerf, allowance_mm))
    return tuple(sorted(found, key=lambda w: -w.path.area))
