"""Openings that overlap, united: cutting both leaves the same hole as cutting their common outline."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

import numpy as np

from cutplan.files.outline.account import Aside
from cutplan.files.outline.joining import walk, weave
from cutplan.files.outline.loops import Loop, chords, to_contour
from cutplan.files.outline.nesting import Nest
from cutplan.files.outline.strokes import Stroke
from cutplan.findings import Finding
from cutplan.geometry.intersect import meet
from cutplan.geometry.segment import Arc, Segment
from cutplan.texts import mm, place, say

#: Most openings, and most of their pieces, that are united with each other.
_MOST, _PIECES = 60, 2000
#: Largest difference between the area of the outline found and of the union that GEOS finds, by length [mm].
_SAME_MM = 0.004
_INSIDE = say("inside an opening made of several")


def united(tree: Nest) -> tuple[list[Loop], list[Finding], list[Aside]]:
    """Return the loops with openings that overlap made one, a finding for each union, and what is not cut any more.

    Only loops that all lie in one part and hold nothing are united; all others stay as they are.
    """
    loops = list(tree.loops)
    gone: set[int] = set()
    made: list[Loop] = []
    findings: list[Finding] = []
    asides: list[Aside] = []
    for group in _groups(tree):
        if len(group) > _MOST or sum(len(loops[i].bulge) for i in group) > _PIECES or not _openings(tree, group):
            continue
        found = _union([loops[i] for i in group])
        if found is None:
            continue
        loop, left = found
        gone.update(group)
        made.append(loop)
        asides += left
        findings.append(_finding(loop, len(group), left))
    return [loop for i, loop in enumerate(loops) if i not in gone] + made, findings, asides


def _finding(loop: Loop, count: int, left: list[Aside]) -> Finding:
    x0, y0, x1, y1 = loop.box
    return Finding(
        "openings-united",
        "warning",
        say("{count} openings that overlap were read as one", count=count),
        say("{at}; {what}", at=place(0.5 * (x0 + x1), 0.5 * (y0 + y1), 3), what=loop.where.said()),
        say("{length} of lines inside it are not cut", length=mm(sum(a.length_mm for a in left))),
    )


def _groups(tree: Nest) -> list[list[int]]:
    """Return the groups of loops that cross each other."""
    group_of: dict[int, set[int]] = {}
    for a, b in tree.crossed:
        both = group_of.get(a, {a}) | group_of.get(b, {b})
        for i in both:
            group_of[i] = both
    out: list[list[int]] = []
    for members in group_of.values():
        if sorted(members) not in out:
            out.append(sorted(members))
    return out


def _openings(tree: Nest, group: Iterable[int]) -> bool:
    """Return whether loops that cross each other are all openings of one part, with nothing in them."""
    members = set(group)
    around: set[int] = set()
    for i in members:
        chain = []
        k = tree.parent[i]
        while k >= 0:
            if k not in members:
                chain.append(k)
            k = tree.parent[k]
        if len(chain) % 2 == 0:
            return False
        around.add(chain[0])
    inside = any(p in members and k not in members for k, p in enumerate(tree.parent))
    return len(around) == 1 and not inside


def _union(loops: list[Loop]) -> tuple[Loop, list[Aside]] | None:
    """Return the outline around loops that overlap, and what lies inside it; None where it cannot be told."""
    import shapely

    rings = [shapely.Polygon(chords(loop)) for loop in loops]
    whole = shapely.union_all(rings)
    if not isinstance(whole, shapely.Polygon) or len(whole.interiors):
        return None
    kept: list[Stroke] = []
    left: list[Aside] = []
    for i, loop in enumerate(loops):
        others = shapely.union_all([r for k, r in enumerate(rings) if k != i])
        for piece in _cut(loop, [other for k, other in enumerate(loops) if k != i]):
            middle = piece.point_at(0.5)
            if shapely.contains_xy(others, middle.x, middle.y):
                xy, bulge = _arrays(piece)
                left.append(Aside(xy, bulge, "left_aside", _INSIDE))
            else:
                kept.append(Stroke(*_arrays(piece), loop.where, loop.layer))
    web, _ = weave(kept, 1e-4)
    joined = walk(web)
    if len(joined.loops) != 1 or joined.chains or joined.tangles:
        return None
    found = joined.loops[0]
    if abs(found.area - float(whole.area)) > _SAME_MM * float(whole.length):
        return None
    return Loop(found.xy, found.bulge, loops[0].where.with_more(len(loops) - 1), loops[0].layer), left


def _arrays(s: Segment) -> tuple[np.ndarray, np.ndarray]:
    return np.array([s.start, s.end], dtype=np.float64), np.array([s.bulge if isinstance(s, Arc) else 0.0])


def _cut(loop: Loop, others: list[Loop]) -> list[Segment]:
    """Return the pieces of a loop between the places where others cross it."""
    theirs = [s for other in others for s in _halves(to_contour(other).segments)]
    out: list[Segment] = []
    for s in _halves(to_contour(loop).segments):
        box = s.box.grown(1e-3)
        at = {0.0, 1.0}
        for t in theirs:
            if box.meets(t.box):
                at.update(m.ta for m in meet(s, t))
        cuts = sorted(at)
        cuts = [0.0] + [t for t in cuts if 1e-7 < t < 1.0 - 1e-7] + [1.0]
        out += [s.part(a, b) for a, b in pairwise(cuts)]
    return out


def _halves(segments: Iterable[Segment]) -> list[Segment]:
    """Return segments with full circles and long arcs halved."""
    out: list[Segment] = []
    for s in segments:
        if isinstance(s, Arc) and abs(s.sweep) > 3.0:
            out += [s.part(0.0, 0.5), s.part(0.5, 1.0)]
        else:
            out.append(s)
    return out
