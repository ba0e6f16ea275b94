"""The waste to be cut away: the net line, the rough line left for dressing, and the path of the kerf's centre."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_segment, to_shapely
from cutplan.geometry.offset.regions import offset_contour
from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Point
from cutplan.opening.parting.necks import necks
from cutplan.opening.parting.places import Chord
from cutplan.pattern.skin import Rib
from cutplan.tables.by_hand.drills_opening import RIB_ZONE_MM
from cutplan.tables.by_hand.hand_tools import tool_kerf_mm

if TYPE_CHECKING:
    from shapely import LineString, Polygon

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
    ribs : tuple of Rib
        What lies behind the skin.
    """

    line: Contour
    rough: Contour
    path: Contour
    kerf_mm: float
    allowance_mm: float
    ribs: tuple[Rib, ...] = ()

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
        """Rough line grown by a quarter of the allowance: how far a slot's run-out may stray."""
        grown: Polygon = self.rough_poly.buffer(0.03 + 0.25 * self.allowance_mm, quad_segs=4, join_style="mitre")
        return grown

    def line_slack(self, by_mm: float) -> Polygon:
        """Net line grown by a little [mm]."""
        grown: Polygon = self.line_poly.buffer(by_mm, quad_segs=4, join_style="mitre")
        return grown

    @cached_property
    def rib_lines(self) -> list[LineString]:
        """Ribs as GEOS lines."""
        from shapely import LineString as GeosLine

        return [GeosLine(r.path) for r in self.ribs]

    def ribs_near(self, run: Sequence[Segment]) -> tuple[str, ...]:
        """Names of the ribs so near to a run that the tool may only touch there."""
        if not self.ribs:
            return ()
        from shapely import LineString as GeosLine

        line = GeosLine([run[0].start, *(p for s in run for p in flatten_segment(s, 0.05)[1:])])
        return tuple(
            r.name for r, path in zip(self.ribs, self.rib_lines, strict=True) if path.distance(line) < RIB_ZONE_MM
        )

    def near_rib(self, segment: Segment) -> bool:
        """Whether a rib lies so near to a segment that the tool may only touch there."""
        return bool(self.ribs_near((segment,)))

    def edge_gap(self, p: Point) -> float:
        """Distance of a point inside from the rough line [mm]; 0 outside."""
        return self.rough.nearest(p)[1] if self.rough.contains(p) else 0.0

    @cached_property
    def path_poly(self) -> Polygon:
        """Inside of the kerf's centre line, flattened."""
        return to_shapely(self.path, FLAT_MM)

    @cached_property
    def necks(self) -> tuple[Chord, ...]:
        """Lines across the necks at which the waste falls apart without a cut."""
        return tuple(necks(self.path_poly, self.kerf_mm))


def wastes(
    line: Contour,
    tool: str,
    disc_thickness_mm: float,
    allowance_mm: float,
    ribs: tuple[Rib, ...] = (),
) -> tuple[Waste, ...]:
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
    ribs : tuple of Rib
        What lies behind the skin.

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
                found.append(Waste(line, rough, path, kerf, allowance_mm, ribs))
    return tuple(sorted(found, key=lambda w: -w.path.area))
