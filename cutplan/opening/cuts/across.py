"""The ends of the cuts across: the holes they end in, and the cuts moved to them."""

from __future__ import annotations

from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.nodes import WEB_MM, Node, drill_sizes, node_near, span_on
from cutplan.opening.cuts.toolset import Toolset
from cutplan.opening.cuts.waste import Waste
from cutplan.opening.model import Drill
from cutplan.opening.parting.places import Chord
from cutplan.texts import say


def tee_nodes(
    waste: Waste, chords: list[Chord], nodes: list[Node], taken: list[Drill], kit: Toolset
) -> tuple[list[Node], list[Chord]]:
    """Return the nodes with those at the ends of section cuts added, and the cuts moved to the hole centres.

    An end that falls on a corner hole goes to that hole; an end on an earlier cut stays where it is.
    """
    nodes = list(nodes)
    moved: list[Chord] = []
    total = waste.path.length
    for a, b in chords:
        ends = []
        for end, other in ((a, b), (b, a)):
            at, gap = waste.path.nearest(end)
            if gap > 0.05:
                ends.append(_on_moved(end, other, chords, moved))
                continue
            near = node_near(nodes, at, total, kit.tee_mm)
            if near is not None and near.drill is not None:
                ends.append(near.drill.centre)
                continue
            node = None
            if kit.tee_mm > 0.0:
                node = _tee(waste, end, other, kit, taken)
            if node is None or node.drill is None:
                nodes.append(Node(at, at, at, None, "tee"))
                ends.append(end)
            else:
                nodes.append(node)
                ends.append(node.drill.centre)
        # a short cut between two sides of one hole stays as it is
        moved.append((ends[0], ends[1]) if ends[0].distance(ends[1]) > 1.0 else (a, b))
    return sorted(nodes, key=lambda n: n.at_mm % total), moved


def _on_moved(end: Point, other: Point, chords: list[Chord], moved: list[Chord]) -> Point:
    """Where a cut that ends on an earlier cut meets that cut after it was moved to its holes."""
    for old, new in zip(chords, moved, strict=False):
        if old != new and Line(*old).nearest(end)[1] < 0.05:
            u, v = other.minus(end), new[1].minus(new[0])
            den = u.cross(v)
            if abs(den) > 1e-9:
                t = new[0].minus(end).cross(v) / den
                return end.plus(u.times(t))
    return end


def _tee(waste: Waste, end: Point, other: Point, kit: Toolset, taken: list[Drill]) -> Node | None:
    """The hole at the end of a cut across: on the cut, as near to the line as it fits."""
    u, length = other.minus(end).unit(), other.distance(end)
    for diameter in drill_sizes(kit.tee_mm, min(6.0 if kit.main == "cut-off disc" else kit.entry_mm, kit.tee_mm)):
        radius = 0.5 * diameter
        low, high = 0.0, min(4.0 * radius, length)
        if waste.edge_gap(end.plus(u.times(high))) < radius:
            continue
        for _ in range(24):
            mid = 0.5 * (low + high)
            low, high = (mid, high) if waste.edge_gap(end.plus(u.times(mid))) < radius + 0.005 else (low, mid)
        centre = end.plus(u.times(high))
        if any(centre.distance(d.centre) < radius + d.radius_mm + WEB_MM for d in taken):
            continue
        drill = Drill("", centre, diameter, "tee", say("ends the cut across before it reaches the line"))
        at, _ = waste.path.nearest(centre)
        span = span_on(waste, drill, at)
        if span is not None and span[1] - span[0] < 0.5 * waste.path.length:
            taken.append(drill)
            return Node(at, span[0], span[1], drill, "tee")
    return None


def prolonged(waste: Waste, chords: list[Chord], nodes: list[Node]) -> list[Chord]:
    """Return the cuts across with those that end in a hole prolonged to the path."""
    ended = {n.drill.centre: n.drill for n in nodes if n.drill}
    longer: list[Chord] = []
    reached: set[Drill] = set()
    for a, b in chords:
        u = b.minus(a).unit()
        # of several cuts that end in one hole only the first goes on to the path: no sliver between them
        holes = [ended.get(p) for p in (a, b)]
        back, on = (3.0 * h.diameter_mm if h and h not in reached else 0.0 for h in holes)
        reached.update(h for h in holes if h)
        longer.append((_first_out(waste, a, u.times(-1.0), back), _first_out(waste, b, u, on)))
    return longer


def _first_out(waste: Waste, p: Point, u: Point, most_mm: float) -> Point:
    """Where a ray from a point inside first leaves the path's inside, at most so far [mm]."""
    if most_mm <= 0.0:
        return p
    from shapely import LineString, get_parts
    from shapely import Point as GeosPoint

    ray = LineString([p, p.plus(u.times(most_mm))])
    hits = [GeosPoint(p).distance(h) for h in get_parts(ray.intersection(waste.path_poly.exterior)) if not h.is_empty]
    far = min(hits, default=0.0)
    return p.plus(u.times(far + 1e-3)) if hits else p
