"""Every path proved before it is written: what the kerf sweeps, against the part, on both sides of the line.

The least distance of every line and arc of the path from every edge of the part is known by formula, so the deepest
bite is exact. From places along the edges the distance to the path is asked the other way round: more than half the kerf
is metal that stays, which is right only where a disc as wide as the kerf cannot lie against the edge.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from cutplan.cutting.result import CutPath, Fault, Proof
from cutplan.geometry.clearance import Clearance
from cutplan.geometry.contour import Contour
from cutplan.geometry.locate import inside
from cutplan.geometry.offset.proved import edge_places, left_out
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point

#: Deepest bite and thickest rest that pass [mm].
BITE_MM = 0.001
REST_MM = 0.03
#: Gap between the parts of one path that counts as none [mm].
JOINT_MM = 1e-6


def prove(
    net: Region,
    paths: Sequence[CutPath],
    half_mm: float,
    *,
    tab_mm: float = 0.0,
    bite_mm: float = BITE_MM,
    rest_mm: float = REST_MM,
) -> Proof:
    """Return the proof of paths against the part that they cut free.

    Parameters
    ----------
    net : Region
        The shape wanted, with the holes that are cut.
    paths : sequence of CutPath
        Torch centre with leads.
    half_mm : float
        Distance of the torch line from the edge: half the kerf, zero for a trial piece [mm].
    tab_mm : float
        Reach from the ends of open cuts within which metal may stay: holding tabs [mm].
    bite_mm, rest_mm : float
        Bite and rest that pass [mm].
    """
    if not paths:
        return Proof(-half_mm, 0.0, 0.0, 0, ())
    edges = Clearance([s for c in net.contours for s in c.segments])
    faults = [*_breaks(paths), *_within(net, paths, half_mm)]
    deepest, bites = _bites(edges, paths, half_mm, bite_mm)
    faults.extend(bites)
    rest, corner, places, left = _rests(net, edges, paths, half_mm, tab_mm, rest_mm)
    faults.extend(left)
    return Proof(deepest, rest, corner, places, tuple(faults))


def _breaks(paths: Sequence[CutPath]) -> list[Fault]:
    """Places where a path does not go on where it stopped."""
    return [
        Fault("broken", path.name, a.end, a.end.distance(b.start))
        for path in paths
        for a, b in pairwise(path.segments)
        if a.end.distance(b.start) > JOINT_MM
    ]


def _within(net: Region, paths: Sequence[CutPath], half_mm: float) -> list[Fault]:
    """Paths that start on the part itself."""
    import shapely

    starts = np.array([p.pierce for p in paths])
    deep = inside(net.outer, starts)
    if net.holes:
        x0, y0, x1, y1 = np.array([h.box for h in net.holes]).T
        which, hole = shapely.STRtree(shapely.box(x0, y0, x1, y1)).query(shapely.points(starts))
        for k, h in zip(which, hole, strict=True):
            if deep[k] and net.holes[h].contains(paths[k].pierce):
                deep[k] = False
    if half_mm == 0.0:
        deep &= np.array([p.lead != "none" for p in paths])
    return [Fault("inside", p.name, p.pierce, half_mm) for p, bad in zip(paths, deep, strict=True) if bad]


def _bites(edges: Clearance, paths: Sequence[CutPath], half_mm: float, pass_mm: float) -> tuple[float, list[Fault]]:
    """Deepest bite of all paths [mm], and the worst place of each path that bites."""
    segments = [s for p in paths for s in p.segments]
    owner = np.repeat(np.arange(len(paths)), [len(p.segments) for p in paths])
    gaps, _ = edges.of(segments, half_mm + 1e-6)
    bite = np.where(np.isfinite(gaps), half_mm - gaps, -1e-6)
    faults: list[Fault] = []
    for k in np.unique(owner[bite > pass_mm]):
        worst = int(np.flatnonzero(owner == k)[bite[owner == k].argmax()])
        faults.append(Fault("bite", paths[k].name, segments[worst].point_at(0.5), float(bite[worst])))
    return float(bite.max()), faults


def _rests(
    net: Region, edges: Clearance, paths: Sequence[CutPath], half_mm: float, tab_mm: float, pass_mm: float
) -> tuple[float, float, int, list[Fault]]:
    """Thickest metal left within and beyond the kerf's reach [mm], the number of places asked, and the faults."""
    places = edge_places(net)
    points, owner = places.points, places.owner
    over, reached = left_out(places, edges, [s for p in paths for s in p.cut], half_mm)
    if tab_mm > 0.0:
        ends = np.array([p for path in paths if not path.closed for p in (path.touch_down, path.end)]).reshape(-1, 2)
        for x, y in ends:
            over[np.hypot(points[:, 0] - x, points[:, 1] - y) < tab_mm + half_mm] = 0.0
    rest = float(over[reached].max(initial=0.0))
    corner = float(over[~reached].max(initial=0.0))
    faults: list[Fault] = []
    bad = reached & (over > pass_mm)
    for k in np.unique(owner[bad]):
        mine = np.flatnonzero(bad & (owner == k))
        worst = int(mine[over[mine].argmax()])
        name = (
            "outline" if k == 0 else next((p.name for p in paths if p.inner and _of(p, net.holes[k - 1])), f"hole {k}")
        )
        faults.append(Fault("rest", name, Point(*map(float, points[worst])), float(over[worst])))
    return rest, corner, len(points), faults


def _of(path: CutPath, hole: Contour) -> bool:
    """Whether a path cuts a hole."""
    return hole.contains(path.pierce)
