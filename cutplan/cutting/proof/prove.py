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
    names: Sequence[str],
    paths: Sequence[CutPath],
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
    names : sequence of str
        Names of these holes, in their order.
    paths : sequence of CutPath
        Torch centre with leads; each knows half its kerf.
    tab_mm : float
        Reach from the ends of open cuts within which metal may stay: holding tabs [mm].
    bite_mm, rest_mm : float
        Bite and rest that pass [mm].
    """
    if not paths:
        return Proof(0.0, 0.0, 0.0, 0, ())
    edges = Clearance([s for c in net.contours for s in c.segments])
    faults = [*_breaks(paths), *_within(net, paths)]
    deepest, deep = bites(edges, paths, bite_mm)
    faults.extend(deep)
    rests = _Rests(net, names, edges, paths, tab_mm)
    faults.extend(rests.faults(rest_mm))
    return Proof(deepest, rests.rest_mm, rests.corner_mm, rests.places, tuple(faults))


def _breaks(paths: Sequence[CutPath]) -> list[Fault]:
    """Places where a path does not go on where it stopped."""
    return [
        Fault("broken", path.name, a.end, a.end.distance(b.start))
        for path in paths
        for a, b in pairwise(path.segments)
        if a.end.distance(b.start) > JOINT_MM
    ]


def _within(net: Region, paths: Sequence[CutPath]) -> list[Fault]:
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
    # a trial piece led by hand starts on its own edge
    deep &= np.array([p.lead != "none" or p.half_mm > 0.0 for p in paths])
    return [Fault("inside", p.name, p.pierce, p.half_mm) for p, bad in zip(paths, deep, strict=True) if bad]


def bites(edges: Clearance, paths: Sequence[CutPath], pass_mm: float) -> tuple[float, list[Fault]]:
    """Return the deepest bite of all paths [mm], and the worst place of each path that bites deeper than passes [mm]."""
    segments = [s for p in paths for s in p.segments]
    counts = [len(p.segments) for p in paths]
    owner = np.repeat(np.arange(len(paths)), counts)
    half = np.repeat([p.half_mm for p in paths], counts)
    gaps, _ = edges.of(segments, float(half.max()) + 1e-6)
    bite = np.where(np.isfinite(gaps), half - gaps, -1e-6)
    faults: list[Fault] = []
    for k in np.unique(owner[bite > pass_mm]):
        worst = int(np.flatnonzero(owner == k)[bite[owner == k].argmax()])
        faults.append(Fault("bite", paths[k].name, segments[worst].point_at(0.5), float(bite[worst])))
    return float(bite.max()), faults


class _Rests:
    """Metal left on the edges: thickest within and beyond the kerf's reach [mm], and the number of places asked."""

    def __init__(
        self, net: Region, names: Sequence[str], edges: Clearance, paths: Sequence[CutPath], tab_mm: float
    ) -> None:
        self._names = ["outline", *names]
        halves = {p.name if p.inner else "outline": p.half_mm for p in paths}
        widest = max(halves.values())
        found = edge_places(net)
        self._at, self._owner = found.points, found.owner
        half = np.array([halves.get(n, widest) for n in self._names])[found.owner]
        segments = [s for p in paths for s in p.cut]
        self._over, self._fits = left_out(found, edges, segments, half)
        if tab_mm > 0.0:
            for x, y in [p for path in paths if not path.closed for p in (path.touch_down, path.end)]:
                self._over[np.hypot(self._at[:, 0] - x, self._at[:, 1] - y) < tab_mm + widest] = 0.0
        self.rest_mm = float(self._over[self._fits].max(initial=0.0))
        self.corner_mm = float(self._over[~self._fits].max(initial=0.0))
        self.places = len(self._at)

    def faults(self, pass_mm: float) -> list[Fault]:
        """Return the worst place of each contour that keeps metal that could have gone."""
        bad = self._fits & (self._over > pass_mm)
        faults: list[Fault] = []
        for k in np.unique(self._owner[bad]):
            mine = np.flatnonzero(bad & (self._owner == k))
            worst = int(mine[self._over[mine].argmax()])
            faults.append(Fault("rest", self._names[k], Point(*map(float, self._at[worst])), float(self._over[worst])))
        return faults
