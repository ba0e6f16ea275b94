"""The order in which sections fall: ends first, nothing left hanging on nothing, and the bridges left to the last."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Point
from cutplan.opening.network import Edge
from cutplan.opening.pieces import Piece, Toolset
from cutplan.opening.ribs import Crossing
from cutplan.tables.drills_opening import BRIDGE_MM


@dataclass(frozen=True, slots=True)
class Fall:
    """How one section falls: edges newly cut, what is left standing as bridges, and crossings to part."""

    section: int
    edges: tuple[int, ...]
    crossings: tuple[int, ...]


def fall_order(centres: list[Point], axis: Point, edges: list[Edge], crossings: list[Crossing],
               unseen: list[bool]) -> list[Fall]:
    """Return the order of falling.

    Parameters
    ----------
    centres : list of Point
        Middle of each section [mm].
    axis : Point
        Unit vector of the opening's long axis.
    edges : list of Edge
        With the sections that each links.
    crossings : list of Crossing
        Ribs over edges.
    unseen : list of bool
        Whether a section lies over a rib that nobody has seen.

    Notes
    -----
    Preference: farthest from the middle along the axis, then farthest across, sections without unseen ribs first among
    equals. A section is only taken when, after its edges are cut, every other one still holds to the skin through
    uncut edges: the last in line always can.
    """
    n = len(centres)
    mid = Point(sum(c.x for c in centres) / n, sum(c.y for c in centres) / n)

    def rank(k: int) -> tuple[float, bool, float, int]:
        off = centres[k].minus(mid)
        return (-round(abs(off.dot(axis)) / 5.0), unseen[k], -round(abs(off.cross(axis)) / 5.0), k)

    left = sorted(range(n), key=rank)
    cut: set[int] = {i for i, e in enumerate(edges) if not e.pieces}
    gone: set[int] = set()
    parted: set[int] = set()
    falls: list[Fall] = []
    while left:
        choice = next((k for k in left if _safe(k, left, edges, cut)), left[0])
        new = tuple(i for i, e in enumerate(edges) if i not in cut and e.touches(choice))
        part = tuple(i for i, c in enumerate(crossings)
                     if i not in parted and choice in c.link and not (set(c.link) - {choice}) & gone)
        falls.append(Fall(choice, new, part))
        cut.update(new)
        parted.update(part)
        gone.add(choice)
        left.remove(choice)
    return falls


def _safe(choice: int, left: list[int], edges: list[Edge], cut: set[int]) -> bool:
    """Whether all other sections left still hold to the skin when one is cut free."""
    others = set(left) - {choice}
    held: set[int] = {-1}
    links = [link for i, e in enumerate(edges) if i not in cut and not e.touches(choice) for link in e.links]
    grown = True
    while grown:
        grown = False
        for a, b in links:
            if (a in held) != (b in held):
                new = b if a in held else a
                if new in others:
                    held.add(new)
                    grown = True
    return others <= held


@dataclass(frozen=True, slots=True)
class Split:
    """A piece with a bridge in it: what is cut first, and the bridge."""

    first: tuple[Piece, ...]
    bridge: Piece


def with_bridge(piece: Piece, kit: Toolset, avoid: list[Point]) -> Split | None:
    """Return a piece parted into cuts and a bridge, or None when it is too short to carry one.

    Notes
    -----
    A disc leaves ``BRIDGE_MM`` on the face, so its run-out on both sides is kept clear as well: the bridge is longer on
    the back. A saw stops short of its run's end by the bridge.
    """
    length = piece.length_mm
    if piece.tool != "cut-off disc":
        if length < 3.0 * BRIDGE_MM:
            return None
        head, tail = _cut_run(piece.path, length - BRIDGE_MM)
        return Split((Piece(head, head, piece.tool, 0.0),), Piece(tail, tail, piece.tool, 0.0))
    body = piece.path[0]
    whole = BRIDGE_MM + 2.0 * piece.run_out_mm
    least = kit.least_line_mm
    if length < whole + 2.0 * least or len(piece.path) != 1:
        if length < whole + least or len(piece.path) != 1:
            return None
        return _disc_parts(piece, body, [(0.0, length - whole)], (length - whole, length))
    best = max(
        (0.5, 0.4, 0.6, 0.3, 0.7),
        key=lambda f: (_clear(body, f, length, whole, least, avoid), -abs(f - 0.5)),
    )
    a = min(max(best * length - 0.5 * whole, least), length - whole - least)
    return _disc_parts(piece, body, [(0.0, a), (a + whole, length)], (a, a + whole))


def _clear(body: Segment, share: float, length: float, whole: float, least: float, avoid: list[Point]) -> bool:
    a = min(max(share * length - 0.5 * whole, least), length - whole - least)
    spot = body.point_at((a + 0.5 * whole) / length)
    return all(p.distance(spot) > whole for p in avoid)


def _disc_parts(piece: Piece, body: Segment, spans: list[tuple[float, float]], gap: tuple[float, float]) -> Split:
    r, length = piece.run_out_mm, body.length

    def part(a: float, b: float, overlap: float) -> Piece:
        t0, t1 = max(0.0, a - overlap) / length, min(length, b + overlap) / length
        through = body.part(t0, t1)
        u, v = through.start_direction, through.end_direction
        if isinstance(through, Line):
            reach: tuple[Segment, ...] = (Line(through.start.minus(u.times(r)), through.end.plus(v.times(r))),)
        else:
            reach = (Line(through.start.minus(u.times(r)), through.start), through,
                     Line(through.end, through.end.plus(v.times(r))))
        return Piece((through,), reach, piece.tool, r)

    return Split(tuple(part(a, b, 0.0) for a, b in spans), part(*gap, 0.5))


def _cut_run(run: tuple[Segment, ...], at_mm: float) -> tuple[tuple[Segment, ...], tuple[Segment, ...]]:
    head: list[Segment] = []
    tail: list[Segment] = []
    left = at_mm
    for s in run:
        if left >= s.length - 1e-9:
            head.append(s)
        elif left <= 1e-9:
            tail.append(s)
        else:
            head.append(s.part(0.0, left / s.length))
            tail.append(s.part(left / s.length, 1.0))
        left -= s.length
    return tuple(head), tuple(tail)
