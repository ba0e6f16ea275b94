"""The offset of any shape: cut all untrimmed pieces where they meet, keep what is far enough, join it up."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import atan2, hypot

import numpy as np
from numpy.typing import NDArray

from cutplan.geometry.intersect import meet
from cutplan.geometry.offset.local import trimmed
from cutplan.geometry.offset.raw import Piece
from cutplan.geometry.pairs import near_pairs
from cutplan.geometry.segment import TAU, Arc, Segment
from cutplan.geometry.segment_table import SegmentTable
from cutplan.geometry.vector import Point

#: Ends closer than this are one node [mm].
NODE_MM = 3e-5
#: Pieces that come this close are cut [mm].
MEET_MM = 1e-6
#: How much nearer to the input than the offset distance a kept piece may come [mm].
NEAR_MM = 5e-8
#: Two pieces between the same nodes closer than this are one piece [mm].
TWIN_MM = 6e-5
#: Total length of pieces that may be left over when loops are joined [mm].
LEFT_OVER_MM = 1e-2


class Unstitched(Exception):
    """The kept pieces do not join into loops: a degenerate distance."""


@dataclass(slots=True)
class _Edge:
    piece: Piece
    start: int
    end: int
    used: bool = False


def arranged_offset(
    pieces: list[Piece], segments: list[Segment], size_mm: float, tips: list[tuple[Point, ...]]
) -> list[list[Piece]]:
    """Return the closed loops of an offset.

    Parameters
    ----------
    pieces : list[Piece]
        Untrimmed pieces of all contours.
    segments : list[Segment]
        The input's segments, from which the loops keep their distance.
    size_mm : float
        Distance of the offset, above zero [mm].
    tips : list of four points
        Kites (corner, start, tip, end) that sharp corners add to the area swept [mm].

    Returns
    -------
    list[list[Piece]]
        Loops, in a fixed order.

    Raises
    ------
    Unstitched
        When pieces are left over; a slightly different distance helps.
    """
    parts = _cut(pieces)
    parts = _kept(parts, segments, size_mm, tips)
    try:
        return _loops(parts, weld=False)
    except Unstitched:
        # a piece too short to be an edge may be all that joins two places
        return _loops(parts, weld=True)


def _cut(pieces: list[Piece]) -> list[Piece]:
    """Cut every piece wherever it meets another one."""
    cuts: list[list[tuple[float, Point]]] = [[] for _ in pieces]
    for i, j in near_pairs([p.segment.box for p in pieces], MEET_MM):
        for m in meet(pieces[i].segment, pieces[j].segment, MEET_MM):
            cuts[i].append((m.ta, m.point))
            cuts[j].append((m.tb, m.point))
    result: list[Piece] = []
    for piece, found in zip(pieces, cuts, strict=True):
        segment = piece.segment
        if isinstance(segment, Arc) and segment.is_circle:
            places = sorted(set(found))
            if not places:
                result.append(piece)
                continue
            places.append((places[0][0] + 1.0, places[0][1]))
        else:
            inner = sorted({f for f in found if 0.0 < f[0] < 1.0})
            places = [(0.0, segment.start), *inner, (1.0, segment.end)]
        for (t0, p0), (t1, p1) in pairwise(places):
            if (t1 - t0) * segment.length > NODE_MM or (p0 != p1 and t1 > t0):
                result.append(Piece(trimmed(segment, t0, p0, t1, p1), piece.source))
    return result


def _kept(parts: list[Piece], segments: list[Segment], size_mm: float, tips: list[tuple[Point, ...]]) -> list[Piece]:
    """Drop every part that comes nearer to the input than the offset distance."""
    if not parts:
        return []
    table = SegmentTable(segments)
    far = np.ones(len(parts), dtype=bool)
    for t in (0.5, 0.2, 0.8):
        probes = np.array([p.segment.point_at(t) for p in parts])
        alive = np.flatnonzero(far)
        far[alive] = table.clear(probes[alive], size_mm - NEAR_MM)
        if tips:
            far &= ~in_kites(probes, tips)
    return [p for p, ok in zip(parts, far, strict=True) if ok]


def in_kites(points: NDArray[np.float64], tips: list[tuple[Point, ...]]) -> NDArray[np.bool_]:
    """Return whether each of (n, 2) points [mm] lies inside one of some kites, a hair off their edges."""
    inside = np.zeros(len(points), dtype=bool)
    for kite in tips:
        depth = np.full(len(points), np.inf)
        area = sum(a.cross(b) for a, b in zip(kite, (*kite[1:], kite[0]), strict=True))
        for a, b in zip(kite, (*kite[1:], kite[0]), strict=True):
            dx, dy = b.x - a.x, b.y - a.y
            side = (dx * (points[:, 1] - a.y) - dy * (points[:, 0] - a.x)) / max(hypot(dx, dy), 1e-300)
            depth = np.minimum(depth, side if area > 0.0 else -side)
        inside |= depth > NEAR_MM
    return inside


class _Nodes:
    """Points merged within a tolerance by a grid of cells, and welded where a piece too short for an edge joins two."""

    def __init__(self) -> None:
        self._cells: dict[tuple[int, int], list[int]] = {}
        self._points: list[Point] = []
        self._welded: dict[int, int] = {}

    def weld(self, a: int, b: int) -> None:
        """Make two nodes one."""
        a, b = sorted((self.of(a), self.of(b)))
        if a != b:
            self._welded[b] = a

    def of(self, node: int) -> int:
        """Return the node that stands for a node and all that are welded to it."""
        while node in self._welded:
            node = self._welded[node]
        return node

    def at(self, point: Point) -> int:
        cx, cy = round(point.x / NODE_MM), round(point.y / NODE_MM)
        for ix in (cx - 1, cx, cx + 1):
            for iy in (cy - 1, cy, cy + 1):
                for k in self._cells.get((ix, iy), ()):
                    if self._points[k].distance(point) <= NODE_MM:
                        return k
        self._points.append(point)
        self._cells.setdefault((cx, cy), []).append(len(self._points) - 1)
        return len(self._points) - 1


def _loops(parts: list[Piece], *, weld: bool) -> list[list[Piece]]:
    nodes = _Nodes()
    loops: list[list[Piece]] = []
    edges: list[_Edge] = []
    for piece in parts:
        s = piece.segment
        if isinstance(s, Arc) and s.is_circle:
            loops.append([piece])
            continue
        if s.length <= NODE_MM and not weld:
            continue
        edge = _Edge(piece, nodes.at(s.start), nodes.at(s.end))
        if s.length > NODE_MM:
            edges.append(edge)
        else:
            nodes.weld(edge.start, edge.end)
    for edge in edges:
        edge.start, edge.end = nodes.of(edge.start), nodes.of(edge.end)
    edges = _without_twins(edges)
    edges, lost = _without_dead_ends(edges)
    if lost > LEFT_OVER_MM:
        raise Unstitched
    leaving: dict[int, list[_Edge]] = {}
    for edge in edges:
        leaving.setdefault(edge.start, []).append(edge)
    stray = 0.0
    for edge in edges:
        if edge.used:
            continue
        path: list[_Edge] = [edge]
        edge.used = True
        place = {edge.start: 0}
        while path:
            here = path[-1]
            if here.end in place:
                k = place[here.end]
                loops.append([e.piece for e in path[k:]])
                for e in path[k:]:
                    place.pop(e.start, None)
                path = path[:k]
                continue
            options = [e for e in leaving.get(here.end, ()) if not e.used]
            if not options:
                stray += sum(e.piece.segment.length for e in path)
                break
            nxt = options[0] if len(options) == 1 else _leftmost(here, options)
            nxt.used = True
            place[nxt.start] = len(path)
            path.append(nxt)
    if stray > LEFT_OVER_MM:
        raise Unstitched
    return loops


def _leftmost(here: _Edge, options: list[_Edge]) -> _Edge:
    """The edge that turns most to the left, so that shapes touching at a point stay apart."""
    u = here.piece.segment.end_direction

    def turn(edge: _Edge) -> tuple[float, float]:
        s = edge.piece.segment
        v = s.start_direction
        bend = s.sweep / s.length if isinstance(s, Arc) else 0.0
        angle = round(atan2(u.cross(v), u.dot(v)), 6)
        return (angle if angle < TAU / 2.0 - 1e-5 else -angle, bend)

    return max(options, key=turn)


def _without_twins(edges: list[_Edge]) -> list[_Edge]:
    """Drop doubled edges and pairs that run back along each other."""
    seen: dict[tuple[int, int], list[int]] = {}
    dropped = [False] * len(edges)
    for k, edge in enumerate(edges):
        middle = edge.piece.segment.point_at(0.5)
        if edge.start == edge.end and edge.piece.segment.length < 10.0 * NODE_MM:
            dropped[k] = True
            continue
        for other in seen.get((edge.start, edge.end), ()):
            if not dropped[other] and edges[other].piece.segment.point_at(0.5).distance(middle) < TWIN_MM:
                dropped[k] = True
                break
        if dropped[k]:
            continue
        for other in seen.get((edge.end, edge.start), ()):
            if not dropped[other] and edges[other].piece.segment.point_at(0.5).distance(middle) < TWIN_MM:
                dropped[k] = dropped[other] = True
                break
        if not dropped[k]:
            seen.setdefault((edge.start, edge.end), []).append(k)
    return [e for e, gone in zip(edges, dropped, strict=True) if not gone]


def _without_dead_ends(edges: list[_Edge]) -> tuple[list[_Edge], float]:
    """Drop edges that cannot belong to a loop; return the rest and the length dropped [mm]."""
    lost = 0.0
    while True:
        starts = {e.start for e in edges}
        ends = {e.end for e in edges}
        rest = [e for e in edges if e.end in starts and e.start in ends]
        if len(rest) == len(edges):
            return edges, lost
        kept = {id(e) for e in rest}
        lost += sum(e.piece.segment.length for e in edges if id(e) not in kept)
        edges = rest
