"""Which loop lies in which: loops that cross are refused, the rest become outlines and holes by depth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cutplan.files.loops import Loop, chords, same
from cutplan.findings import Finding

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

#: Loops that agree this closely are one loop drawn twice [mm].
SAME_LOOP_MM = 0.002


@dataclass(frozen=True, slots=True)
class Nest:
    """Loops, largest first, with the number of loops around each and the one directly around it (-1: none)."""

    loops: list[Loop]
    depth: list[int]
    parent: list[int]

    def children(self) -> list[list[int]]:
        """Return for each loop the loops directly in it."""
        inside: list[list[int]] = [[] for _ in self.loops]
        for k, p in enumerate(self.parent):
            if p >= 0:
                inside[p].append(k)
        return inside


def without_repeats(loops: list[Loop]) -> tuple[list[Loop], list[Finding]]:
    """Return the loops without those drawn more than once."""
    order = sorted(range(len(loops)), key=lambda i: (round(loops[i].box[0], 2), i))
    boxes = [loops[i].box for i in order]
    gone: set[int] = set()
    for a in range(len(order)):
        if order[a] in gone:
            continue
        for b in range(a + 1, len(order)):
            if boxes[b][0] - boxes[a][0] > 0.02:
                break
            if order[b] not in gone and same(loops[order[a]], loops[order[b]], SAME_LOOP_MM):
                gone.add(order[b])
    findings = []
    if gone:
        first = loops[min(gone)]
        findings.append(
            Finding(
                "duplicate-removed",
                "note",
                f"{len(gone)} closed outlines drawn twice were taken once",
                first.where,
                "the repeated ones were left out",
            )
        )
    return [loop for i, loop in enumerate(loops) if i not in gone], findings


def nest(loops: list[Loop]) -> tuple[Nest, list[Finding]]:
    """Return the nesting of loops that do not cross, with a finding for each crossing or touching pair."""
    import shapely

    loops = sorted(loops, key=lambda loop: -loop.area)
    rings = [shapely.LinearRing(chords(loop)) for loop in loops]
    polygons = np.array([shapely.Polygon(ring) for ring in rings])
    findings = _crossings(loops, np.array(rings), polygons) if len(loops) > 1 else []
    inside = [_inner_point(loop, polygons[i]) for i, loop in enumerate(loops)]
    tree = shapely.STRtree(polygons)
    who, around = tree.query(np.array(inside), predicate="within")
    holders: list[list[int]] = [[] for _ in loops]
    for i, j in zip(who.tolist(), around.tolist(), strict=True):
        if j < i:
            holders[i].append(j)
    return Nest(loops, [len(h) for h in holders], [max(h) if h else -1 for h in holders]), findings


def _inner_point(loop: Loop, polygon: Polygon) -> Geometry:
    """Return a point inside a loop: a circle's centre, else one that GEOS finds."""
    import shapely

    if loop.circle is not None:
        return shapely.Point(loop.circle[0], loop.circle[1])
    valid = polygon if shapely.is_valid(polygon) else shapely.make_valid(polygon)
    return shapely.point_on_surface(valid)


def _crossings(loops: list[Loop], rings: object, polygons: object) -> list[Finding]:
    """Return an error for each pair of loops that cross and a warning for each pair that touch."""
    import shapely

    rings, polygons = np.asarray(rings), np.asarray(polygons)
    left, right = shapely.STRtree(rings).query(rings, predicate="intersects")
    findings: list[Finding] = []
    for i, j in zip(left.tolist(), right.tolist(), strict=True):
        if i >= j:
            continue
        a, b = polygons[i], polygons[j]
        if not shapely.is_valid(a) or not shapely.is_valid(b):
            a, b = shapely.make_valid(a), shapely.make_valid(b)
        common = float(shapely.area(shapely.intersection(a, b)))
        slack = 0.003 * float(shapely.length(rings[j])) + 1e-6
        meeting = shapely.intersection(rings[i], rings[j])
        spot = shapely.point_on_surface(meeting) if meeting.geom_type != "Point" else meeting
        where = f"({spot.x:.3f}, {spot.y:.3f}) mm; {loops[i].where}; {loops[j].where}"
        if slack < common < float(shapely.area(b)) - slack:
            findings.append(
                Finding(
                    "contours-cross",
                    "error",
                    "two closed outlines cross, so what is plate and what is hole is not told",
                    where,
                    "join them into one outline or move one",
                )
            )
        else:
            findings.append(
                Finding(
                    "contours-touch",
                    "warning",
                    "two closed outlines touch: no material is left between them",
                    where,
                    "check the distance meant",
                )
            )
    return findings[:60]


def self_crossings(loops: list[Loop]) -> tuple[list[Loop], list[Finding]]:
    """Return the loops that do not cross themselves, and a finding for each that does.

    A fault smaller than a hundredth of a millimetre is kept with a warning; a loop without area is dropped.
    """
    import shapely

    kept: list[Loop] = []
    findings: list[Finding] = []
    for loop in loops:
        if loop.circle is not None:
            kept.append(loop)
            continue
        xy = chords(loop)
        perimeter = float(np.hypot(*np.diff(xy, axis=0).T).sum())
        if len(xy) < 4 or loop.area <= 1e-4 * perimeter:
            findings.append(
                Finding("no-area", "warning", "a closed outline encloses no area and was left aside", loop.where)
            )
            continue
        polygon = shapely.Polygon(xy)
        if shapely.is_valid(polygon):
            kept.append(loop)
            continue
        why = shapely.is_valid_reason(polygon)
        spot = why[why.find("[") + 1 : why.find("]")].replace(" ", ", ") if "[" in why else ""
        true = float(shapely.area(shapely.make_valid(polygon)))
        kept.append(loop)
        if abs(true - loop.area) <= 0.01 * 0.01 + 1e-7 * loop.area:
            findings.append(
                Finding(
                    "outline-touches-itself",
                    "warning",
                    "an outline touches itself or turns back on itself",
                    f"({spot}) mm; {loop.where}",
                    "check the place",
                )
            )
        else:
            findings.append(
                Finding(
                    "self-crossing",
                    "error",
                    "an outline crosses itself",
                    f"({spot}) mm; {loop.where}",
                    "draw the outline so that it runs round once",
                )
            )
    return kept, findings
