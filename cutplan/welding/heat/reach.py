"""How far the heat of the whole plan reaches: the warmest that places beside the joint, and the insert, ever get."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.geometry.contour import Contour
from cutplan.geometry.vector import Point
from cutplan.tables.band import Band
from cutplan.tables.steel import CARBON_STEEL, SteelProperties
from cutplan.texts import say
from cutplan.welding.heat.kernels import Floats, insert_rise_K, sheet_rise_K
from cutplan.welding.heat.wait import HeatRoom, HotBead, Start

#: Rays around the joint, distances along each [mm], and looks at the clock.
RAYS, LOOKS = 10, 80
DISTANCES_MM = np.concatenate([np.arange(10.0, 50.0, 5.0), np.arange(50.0, 110.0, 10.0), np.arange(120.0, 321.0, 25.0)])
#: The clock runs on this long after the last arc [s].
AFTER_S = 240.0


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """The warmest that places get in the course of a plan.

    Parameters
    ----------
    distances_mm : ndarray (n,)
        Distances from the joint, away from the insert [mm].
    rise_K : ndarray (n,)
        Highest rise at each, over all rays and times, middle settings and the thickness that takes the heat [K].
    insert_C : Band
        Highest temperature in the middle of the insert [degC].
    """

    distances_mm: Floats
    rise_K: Floats
    insert_C: Band

    def distance_mm(self, rise_K: float) -> float:
        """Return the distance beyond which a rise [K] is not passed [mm]; 0 where all places stay below."""
        above = np.flatnonzero(self.rise_K > rise_K)
        if not above.size:
            return 0.0
        last = int(above[-1])
        if last + 1 == len(self.distances_mm):
            return float(self.distances_mm[-1])
        (d0, d1), (r0, r1) = self.distances_mm[last : last + 2], self.rise_K[last : last + 2]
        return float(d0 + (r0 - rise_K) / (r0 - r1) * (d1 - d0))


def plan_reach(
    beads: tuple[HotBead, ...],
    starts: tuple[Start, ...],
    outline: Contour,
    room: HeatRoom,
    ambient_C: float = 20.0,
    steel: SteelProperties = CARBON_STEEL,
) -> Reach:
    """Return how warm places get while a plan is welded and shortly after.

    Parameters
    ----------
    beads : tuple of HotBead
        Beads in the order of welding
    starts : tuple of Start
        Their starts
    outline : Contour
        The plate's outline
    room : HeatRoom
        The metal that takes the heat
    ambient_C : float
        Temperature of the metal before welding [degC]
    steel : SteelProperties
        Properties

    Returns
    -------
    Reach
        Rises by distance, and the temperature of the insert's middle.

    Notes
    -----
    Outside: a wide sheet with surface loss; walls, ribs and mounts take heat away, so it is on the safe side. Between
    looks at the clock a near place may be warmer for seconds: below about 20 mm the peak of one bead counts.
    """
    where = np.concatenate([b.nodes for b in beads])
    when = np.concatenate(
        [
            s.start_s + (np.arange(len(b.nodes)) + 0.5) / len(b.nodes) * b.duration_s
            for b, s in zip(beads, starts, strict=True)
        ]
    )
    heat = np.concatenate([np.full(len(b.nodes), b.heat_J_per_mm * b.length_mm / len(b.nodes)) for b in beads])
    clock = np.linspace(0.0, starts[-1].end_s + AFTER_S, LOOKS)
    rays = _rays(outline)
    points = [Point(p.x + out.x * d, p.y + out.y * d) for d in DISTANCES_MM for p, out in rays]
    # in a notch a ray comes nearer to another edge: such a place is not that far from the joint
    far = np.array([outline.nearest(p)[1] for p in points]) >= 0.98 * np.repeat(DISTANCES_MM, len(rays))
    places = np.array(points)
    top = np.zeros(len(places))
    middle = np.array([_middle(outline)])
    insert = np.zeros(3)
    welded = np.array([b.length_mm for b in beads])
    ends = np.array([s.end_s for s in starts])
    for t in clock:
        now = np.full(len(places), t)
        # only what was released by then
        past = slice(int(np.searchsorted(when, t)))
        given = where[past], when[past], heat[past]
        np.maximum(top, sheet_rise_K(places, now, *given, room.flow_mm, steel), out=top)
        low = sheet_rise_K(middle, now[:1], *given, room.flow_mm, steel)[0]
        inside = *given[:2], room.plate_share * given[2]
        high = insert_rise_K(middle, now[:1], *inside, room.box, room.plate_mm, steel)[0]
        share = min(float(welded[ends <= t].sum()) / room.joint_mm, 1.0) ** 0.5
        np.maximum(insert, [low, share * low + (1.0 - share) * high, high], out=insert)
    rise = np.where(far, top, 0.0).reshape(len(DISTANCES_MM), len(rays)).max(axis=1)
    low, mid, high = (ambient_C + float(v) for v in insert)
    source = say("superposed sources: joint as metal, by share joined, insulated")
    return Reach(DISTANCES_MM, rise, Band(min(low, mid), mid, max(mid, high), "degC", source))


def _rays(outline: Contour) -> list[tuple[Point, Point]]:
    """Places along the outline with the direction away from the plate."""
    step = outline.length / RAYS
    rays = []
    for i in range(RAYS):
        place, along = outline.point_at_length((i + 0.5) * step)
        right = along.left().times(-1.0)
        rays.append((place, right if outline.ccw else right.times(-1.0)))
    return rays


def _middle(outline: Contour) -> tuple[float, float]:
    """Centroid of the insert, or the middle of its box where the centroid lies outside it."""
    centre = outline.centroid
    chosen = centre if outline.contains(centre) else outline.box.centre
    return (chosen.x, chosen.y)
