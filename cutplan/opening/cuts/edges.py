"""Where the waste is cut: the edges between drilled holes along the line, and the straight cuts across."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf, sqrt
from typing import TYPE_CHECKING

from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_segment
from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Point, middle
from cutplan.opening.cuts.fitting import Piece, fits, fitting_piece
from cutplan.opening.cuts.nodes import Node, sawn, starts
from cutplan.opening.cuts.pieces import by_ribs, disc_line
from cutplan.opening.cuts.toolset import Toolset
from cutplan.opening.cuts.waste import Waste
from cutplan.opening.model import Drill
from cutplan.opening.parting.places import Chord

if TYPE_CHECKING:
    from shapely import Geometry, Polygon


#: A path without any hole: one edge all round.
NOWHERE: list[tuple[Node | None, Node | None]] = [(None, None)]


@dataclass(frozen=True, slots=True)
class Edge:
    """A stretch that is cut in one go: along the line between two holes, or across the waste.

    Parameters
    ----------
    kind : {"edge", "divide"}
        On the opening's line, or across the waste.
    full : tuple of Segment
        The whole stretch, hole centres included [mm]: ribs are crossed by it.
    pieces : tuple of Piece
        What each tool cuts of it.
    links : tuple of (int, int)
        Pairs of section indexes that it joins; -1 is the skin.
    nominal_mm : float
        Its length along the kerf's centre [mm].
    """

    kind: str
    full: tuple[Segment, ...]
    pieces: tuple[Piece, ...]
    links: tuple[tuple[int, int], ...]
    nominal_mm: float

    def touches(self, section: int) -> bool:
        return any(section in link for link in self.links)


def sub_path(path: Contour, s0: float, s1: float) -> list[tuple[Segment, int]]:
    """Return the part of a closed path between two distances along it [mm], each piece with its segment's index.

    The distances may lie beyond the start or the end of the path; ``s0 < s1 <= s0 + length``.
    """
    total = path.length
    out: list[tuple[Segment, int]] = []
    bounds = starts(path)
    for lap in (-1, 0, 1, 2):
        for i, (start, segment) in enumerate(zip(bounds, path.segments, strict=True)):
            a, length = start + lap * total, segment.length
            t0, t1 = max(0.0, (s0 - a) / length), min(1.0, (s1 - a) / length)
            if t1 - t0 > 1e-9 and (t1 - t0) * length > 1e-6:
                out.append((segment if (t0, t1) == (0.0, 1.0) else segment.part(t0, t1), i))
    return out


def edges_of(
    waste: Waste,
    nodes: list[Node],
    chords: list[Chord],
    moved: list[Chord],
    longer: list[Chord],
    sections: list[Polygon],
    kit: Toolset,
) -> list[Edge]:
    """Return all edges: along the path first, then the cuts across in the order they were chosen.

    ``chords`` run from path to path and give the nominal lengths; ``moved`` are the same between hole centres,
    ``longer`` those prolonged to the path.
    """
    from shapely import LineString
    from shapely import Point as GeosPoint

    path, total = waste.path, waste.path.length
    out: list[Edge] = []
    by_saw = sawn(path, kit.slot_mm, kit.least_line_mm)
    spans: list[tuple[Node | None, Node | None]] = list(zip(nodes, nodes[1:] + nodes[:1], strict=True))
    for first, last in spans or NOWHERE:
        if first is None or last is None:
            s0, s1, f0, f1 = 0.0, total, 0.0, total
        else:
            f0 = first.at_mm
            f1 = last.at_mm
            while f1 <= f0 + 1e-9:
                f1 += total
            s0 = first.leave_mm
            s1 = last.enter_mm + (f1 - last.at_mm)
        full = [s for s, _ in sub_path(path, f0, f1)]
        if not full:
            continue
        here = middle_of(full)
        spot = GeosPoint(here)
        section = min(range(len(sections)), key=lambda k: sections[k].exterior.distance(spot))
        run = sub_path(path, s0, s1) if s1 - s0 > 0.05 else []
        pieces = _edge_pieces(waste, run, by_saw, kit, _diameter_mm(first), _diameter_mm(last))
        out.append(Edge("edge", tuple(full), tuple(pieces), ((section, -1),), sum(s.length for s in full)))
    ended = {n.drill.centre: n.drill for n in nodes if n.drill}
    for (a0, b0), (a, b), (a1, b1) in zip(chords, moved, longer, strict=True):
        holes = [_hole_at(ended, p) for p in (a, b)]
        u = b.minus(a).unit()
        insets = _inset(holes[0], a, u), _inset(holes[1], b, u.times(-1.0))
        # where the slots on both sides of a neck meet there is nothing to cut across it
        piece = [] if (a0, b0) in waste.necks else disc_line(waste, Line(a, b), kit, *insets)
        links = _links(LineString([a1, b1]), sections)
        out.append(Edge("divide", (Line(a1, b1),), tuple(piece), links, a0.distance(b0)))
    return out


def _hole_at(holes: dict[Point, Drill], p: Point) -> Drill | None:
    for centre, drill in holes.items():
        if centre.distance(p) < drill.radius_mm:
            return drill
    return None


def _inset(drill: Drill | None, end: Point, u: Point) -> float:
    """How far from an end inside a hole a cut may stop: half a millimetre inside the hole's edge [mm]."""
    if drill is None:
        return 0.0
    off = end.minus(drill.centre)
    b = off.dot(u)
    return max(0.0, -b + sqrt(max(0.0, b * b - off.dot(off) + drill.radius_mm**2)) - 0.5)


def middle_of(run: list[Segment]) -> Point:
    """Return the point half way along a run of segments [mm]."""
    left = 0.5 * sum(s.length for s in run)
    for s in run:
        if left <= s.length:
            return s.point_at(left / s.length)
        left -= s.length
    return middle(run[0].start, run[-1].end)


def _diameter_mm(node: Node | None) -> float:
    return node.drill.diameter_mm if node is not None and node.drill is not None else 0.0


def _edge_pieces(
    waste: Waste, run: list[tuple[Segment, int]], by_saw: list[bool], kit: Toolset, first_mm: float, last_mm: float
) -> list[Piece]:
    """Group a run into disc cuts and saw runs; ends in a hole (of these diameters, 0: none) are cut half a millimetre
    into it."""
    if not run:
        return []
    segments = [s for s, _ in run]
    if first_mm > 0.0:
        segments[0] = _longer(segments[0], 0.5, 0.0)
    if last_mm > 0.0:
        segments[-1] = _longer(segments[-1], 0.0, 0.5)
    disc_main = kit.main == "cut-off disc"
    out: list[Piece] = []
    curved: list[Segment] = []
    beside_rib = False

    def flush(last: bool) -> None:
        nonlocal curved
        if curved:
            start = inf if out or not last else max(first_mm, last_mm)
            if not out and not last:
                start = inf  # it ends at what is cut next
            out.append(fitting_piece(waste, curved, kit, kit.second, start))
        curved = []

    for s, (_, i) in zip(segments, run, strict=True):
        # a disc goes along a rib at its touching depth; only what a saw follows is parted there
        for part, near in by_ribs(waste, s) if not disc_main or by_saw[i] else [(s, False)]:
            straight = isinstance(part, Line) and not disc_main and (near or not fits(waste, [part], kit.main, kit))
            cut = disc_line(waste, part, kit, 0.0, 0.0) if straight or (disc_main and not by_saw[i]) else []
            if any(p.tool == "cut-off disc" for p in cut):
                flush(False)
                out.extend(cut)
                continue
            if curved and near != beside_rib:
                flush(False)
            beside_rib = near
            curved.append(part)
    flush(True)
    return _merged(waste, out, kit)


def _merged(waste: Waste, pieces: list[Piece], kit: Toolset) -> list[Piece]:
    """Saw cuts that follow one another made one."""
    out: list[Piece] = []
    for piece in pieces:
        last = out[-1] if out else None
        if (
            last is not None
            and last.tool == piece.tool != "cut-off disc"
            and last.path[-1].end.distance(piece.path[0].start) < 0.01
        ):
            run = (*last.path, *piece.path)
            out[-1] = replace(last, path=run, reach=run, depth_mm=min(last.depth_mm, piece.depth_mm))
        else:
            out.append(piece)
    return out


def _longer(s: Segment, before_mm: float, after_mm: float) -> Segment:
    """Return a segment made longer at its ends along itself [mm]."""
    if isinstance(s, Line):
        u = s.start_direction
        return Line(s.start.minus(u.times(before_mm)), s.end.plus(u.times(after_mm)))
    k = s.length
    return replace(s.part(-before_mm / k, 1.0 + after_mm / k))


def _links(chord: object, sections: list[Polygon]) -> tuple[tuple[int, int], ...]:
    """Pairs of sections that lie on the two sides of a cut across."""
    from shapely import LineString

    assert isinstance(chord, LineString)
    (x0, y0), (x1, y1) = chord.coords[0], chord.coords[-1]
    a, b = Point(x0, y0), Point(x1, y1)
    u = b.minus(a).unit()
    band = chord.buffer(1.5, cap_style="flat")
    sides: tuple[list[tuple[int, float, float]], list[tuple[int, float, float]]] = ([], [])
    for k, section in enumerate(sections):
        shared = section.intersection(band)
        if shared.is_empty or shared.area < 1.5:
            continue
        centre = Point(shared.centroid.x, shared.centroid.y)
        along = [Point(x, y).minus(a).dot(u) for part in _parts(shared) for x, y in part.exterior.coords]
        sides[0 if u.cross(centre.minus(a)) > 0.0 else 1].append((k, min(along), max(along)))
    return tuple((i, j) for i, i0, i1 in sides[0] for j, j0, j1 in sides[1] if min(i1, j1) - max(i0, j0) > 1.0)


def _parts(shape: Geometry) -> list[Polygon]:
    from shapely import get_parts

    return [p for p in get_parts(shape) if p.geom_type == "Polygon"]


def tips(waste: Waste, nodes: list[Node]) -> list[Polygon]:
    """Return what stays of the waste beside each hole: between the path's ends in the hole and the corner behind it."""
    from shapely import Polygon as GeosPolygon

    out: list[Polygon] = []
    for n in nodes:
        if n.drill is None or n.leave_mm - n.enter_mm < 0.1:
            continue
        points = [p for s, _ in sub_path(waste.path, n.enter_mm, n.leave_mm) for p in flatten_segment(s, 0.05)]
        wedge = GeosPolygon([n.drill.centre, *points])
        out.append(wedge if wedge.is_valid else wedge.buffer(0.0))
    return out
