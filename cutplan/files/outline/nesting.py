"""Which loop lies in which: loops that cross are refused, the rest become outlines and holes by depth."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from cutplan.errors import LimitError
from cutplan.files.curves.twins import first_alike
from cutplan.files.limits import MAX_LISTED, MAX_LOOPS, MAX_PAIRS
from cutplan.files.outline.crossings import pair_finding
from cutplan.files.outline.loops import Loop, chords
from cutplan.files.traces import Ints
from cutplan.findings import Finding
from cutplan.texts import plural, say

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

#: Loops that agree this closely are one loop drawn twice [mm].
SAME_LOOP_MM = 0.02


@dataclass(frozen=True, slots=True)
class Nest:
    """Loops, largest first, with the number of loops around each and the one directly around it (-1: none).

    ``crossed`` are the pairs of loops that cross.
    """

    loops: list[Loop]
    depth: list[int]
    parent: list[int]
    crossed: list[tuple[int, int]] = field(default_factory=list)

    def children(self) -> list[list[int]]:
        """Return for each loop the loops directly in it."""
        inside: list[list[int]] = [[] for _ in self.loops]
        for k, p in enumerate(self.parent):
            if p >= 0:
                inside[p].append(k)
        return inside


def without_repeats(loops: list[Loop]) -> tuple[list[Loop], list[Finding], float]:
    """Return the loops without those drawn more than once, and the length that goes with them [mm].

    Box and area of a loop drawn again agree within a few hundredths, and so does its whole line.
    """
    if len(loops) < 2:
        return loops, [], 0.0
    marks = np.array([(*loop.box, loop.area**0.5) for loop in loops])
    first = first_alike(marks, SAME_LOOP_MM)
    gone = first != np.arange(len(loops))
    for i in np.flatnonzero(gone).tolist():
        gone[i] = _same_line(loops[i], loops[int(first[i])])
    if not gone.any():
        return loops, [], 0.0
    finding = Finding(
        "duplicate-removed",
        "note",
        plural(
            "{count} closed outline drawn twice was taken once",
            "{count} closed outlines drawn twice were taken once",
            int(gone.sum()),
        ),
        loops[int(np.flatnonzero(gone)[0])].where.said(),
        say("the repeated ones were left out"),
    )
    again = sum(loops[i].length for i in np.flatnonzero(gone).tolist())
    return [loop for loop, twice in zip(loops, gone.tolist(), strict=True) if not twice], [finding], again


def _same_line(a: Loop, b: Loop) -> bool:
    """Return whether two loops with the same box and area are the same line."""
    if a.circle is not None and b.circle is not None:
        return True
    if np.array_equal(a.xy, b.xy) and np.array_equal(a.bulge, b.bulge):
        return True
    import shapely

    for one, other in ((a, b), (b, a)):
        ring = shapely.LinearRing(chords(other))
        shapely.prepare(ring)
        if not shapely.dwithin(ring, shapely.points(chords(one)), 2.0 * SAME_LOOP_MM).all():
            return False
    return True


def nest(loops: list[Loop]) -> tuple[Nest, list[Finding]]:
    """Return the nesting of loops, and a finding for each pair that crosses or touches.

    Raises
    ------
    LimitError
        If there are too many loops, or too many that lie over each other.
    """
    import shapely

    if len(loops) > MAX_LOOPS:
        raise LimitError(
            say("the drawing holds more than {max_loops} closed outlines", max_loops=MAX_LOOPS),
            hint=say("keep only the plate's layer"),
        )
    loops = sorted(loops, key=lambda loop: -loop.area)
    arcs = sum(int(np.count_nonzero(loop.bulge)) for loop in loops)
    most = int(min(1024, max(8, _CHORDS / max(arcs, 1))))
    rings = np.array([shapely.LinearRing(chords(loop, most=most)) for loop in loops])
    polygons = np.array([shapely.Polygon(ring) for ring in rings])
    points = np.array([_inner_point(loop, polygons[i]) for i, loop in enumerate(loops)])
    around: list[int] = [-1] * len(loops)
    depth = [0] * len(loops)
    findings: list[Finding] = []
    meetings = 0
    crossed: list[tuple[int, int]] = []
    for i, inner in _over_each_other(rings):
        shapely.prepare(polygons[i])
        shapely.prepare(rings[i])
        for j in inner[shapely.contains(polygons[i], points[inner])].tolist():
            depth[j] += 1
            around[j] = i  # loops come largest first, so the last one is the closest around
        for j in inner[shapely.intersects(rings[i], rings[inner])].tolist():
            meetings += 1
            if meetings <= MAX_LISTED:
                found = pair_finding(loops[i], loops[j], (rings[i], rings[j]))
                findings.append(found)
                if found.severity == "error":
                    crossed.append((i, j))
    if meetings > MAX_LISTED:
        findings.append(
            Finding(
                "contours-cross",
                "error",
                plural(
                    "{count} more pair of outlines crosses or touches",
                    "{count} more pairs of outlines cross or touch",
                    meetings - MAX_LISTED,
                ),
            )
        )
    return Nest(loops, depth, around, crossed if meetings <= MAX_LISTED else []), findings


#: Most chords that stand for all arcs of a drawing together when GEOS is asked.
_CHORDS = 4_000_000
#: Loops whose neighbours are looked up at a time.
_AT_ONCE = 64


def _over_each_other(rings: NDArray[np.object_]) -> Iterator[tuple[int, Ints]]:
    """Yield each loop with the smaller loops whose boxes meet its box."""
    import shapely

    tree = shapely.STRtree(rings)
    total = 0
    for start in range(0, len(rings), _AT_ONCE):
        who, other = tree.query(rings[start : start + _AT_ONCE])
        who = who + start
        pick = who < other
        who, other = who[pick], other[pick]
        total += len(who)
        if total > MAX_PAIRS:
            raise LimitError(
                say("more than {max_pairs} pairs of outlines lie over each other", max_pairs=MAX_PAIRS),
                hint=say("keep only the layer of the plate"),
            )
        for i in np.unique(who).tolist():
            yield i, np.sort(other[who == i])


def _inner_point(loop: Loop, polygon: Polygon) -> Geometry:
    """Return a point inside a loop: a circle's centre, else one that GEOS finds, at worst a corner."""
    import shapely

    if loop.circle is not None:
        return shapely.Point(loop.circle[0], loop.circle[1])
    point = shapely.point_on_surface(polygon)
    return point if not shapely.is_empty(point) else shapely.Point(loop.xy[0])
