"""The order in which sections fall: ends first, nothing left hanging on nothing, and the bridges left to the last."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.disc import chord_mm
from cutplan.opening.cuts.edges import Edge
from cutplan.opening.cuts.fitting import Piece
from cutplan.opening.cuts.pieces import disc_line, slot
from cutplan.opening.cuts.ribs import Crossing
from cutplan.opening.cuts.toolset import Toolset
from cutplan.opening.cuts.waste import Waste
from cutplan.opening.model import Drill
from cutplan.tables.by_hand.drills_opening import BRIDGE_MM
from cutplan.tables.by_hand.hand_tools import TOOLS


@dataclass(frozen=True, slots=True)
class Fall:
    """How one section falls: edges newly cut, what is left standing as bridges, and crossings to part."""

    section: int
    edges: tuple[int, ...]
    crossings: tuple[int, ...]


def fall_order(
    centres: list[Point], axis: Point, edges: list[Edge], crossings: list[Crossing], unseen: list[bool]
) -> list[Fall]:
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
        part = tuple(
            i
            for i, c in enumerate(crossings)
            if i not in parted and choice in c.link and not (set(c.link) - {choice}) & gone
        )
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


def with_bridge(
    waste: Waste,
    piece: Piece,
    kit: Toolset,
    avoid: list[Point],
    beside: Callable[[Point], bool],
    entries: Sequence[Drill] = (),
) -> Split | None:
    """Return a piece parted into cuts and a bridge, or None when it is too short to carry one.

    Parameters
    ----------
    waste : Waste
        Where the bridge's own cut must stay.
    piece : Piece
        A cut.
    kit : Toolset
        Tools.
    avoid : list of Point
        Places where ribs are parted [mm]: no bridge is left there.
    beside : callable
        Whether a point of the cut borders the section that the bridge is to hold.
    entries : sequence of Drill
        Holes where a blade may go in.

    Notes
    -----
    A disc leaves ``BRIDGE_MM`` on the face, so its run-out on both sides is kept clear as well: the bridge is longer on
    the back, and never shorter than the disc can cut in one plunge. A saw starts at a
    hole and stops short of its run's other end.
    """
    length = piece.length_mm
    if piece.tool != "cut-off disc":
        return _saw_bridge(piece, avoid, beside, entries)
    if len(piece.path) != 1:
        return None
    body, r = piece.path[0], piece.run_out_mm
    least = chord_mm(kit.disc_mm, piece.depth_mm - kit.skin_mm)
    whole = max(BRIDGE_MM + 2.0 * r, kit.least_line_mm + 0.5)
    if length < whole + least:
        return None
    places: list[tuple[list[tuple[float, float]], tuple[float, float]]] = []
    if length >= whole + 2.0 * least:
        for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9):
            a = min(max(share * length - 0.5 * whole, least), length - whole - least)
            places.append(([(0.0, a), (a + whole, length)], (a, a + whole)))
    places += [([(0.0, length - whole)], (length - whole, length)), ([(whole, length)], (0.0, whole))]
    fit = next((p for p in places if _clear(body, *p[1], avoid, beside) and _stands(piece, body, p[0], kit)), None)
    if fit is None:
        return None
    spans, gap = fit
    bridge = body.part(max(0.0, gap[0] - 0.3) / length, min(length, gap[1] + 0.3) / length)
    made = disc_line(waste, bridge, kit, 0.0, 0.0)
    if len(made) != 1 or made[0].tool != "cut-off disc":
        return None
    return Split(tuple(_disc_part(piece, body, a / length, b / length) for a, b in spans), made[0])


def _saw_bridge(
    piece: Piece, avoid: list[Point], beside: Callable[[Point], bool], entries: Sequence[Drill]
) -> Split | None:
    """A saw's run with a bridge left at the end that its blade does not go in at."""
    length = piece.length_mm
    if length < 3.0 * BRIDGE_MM:
        return None
    need = TOOLS[piece.tool].entry_mm
    large = [d for d in entries if d.diameter_mm >= need]

    def at_hole(p: Point) -> bool:
        return any(d.centre.distance(p) < d.radius_mm + 1.5 for d in large)

    ends = [False, True] if at_hole(piece.path[-1].end) and not at_hole(piece.path[0].start) else [True, False]
    for last in ends:
        head, tail = _cut_run(piece.path, length - BRIDGE_MM if last else BRIDGE_MM)
        first, left = (head, tail) if last else (tail, head)
        near = any(s.nearest(p)[1] < 3.0 for s in left for p in avoid)
        if not near and beside(left[0].start) and beside(left[-1].end):
            return Split((replace(piece, path=first, reach=first),), replace(piece, path=left, reach=left))
    return None


def _clear(body: Segment, a: float, b: float, avoid: list[Point], beside: Callable[[Point], bool]) -> bool:
    """Whether a bridge between two distances along a cut borders its section, 3 mm clear of where ribs are parted."""
    if not (beside(body.point_at(a / body.length)) and beside(body.point_at(b / body.length))):
        return False
    spot = body.point_at(0.5 * (a + b) / body.length)
    return all(p.distance(spot) > 0.5 * (b - a) + 3.0 for p in avoid)


def _stands(piece: Piece, body: Segment, spans: list[tuple[float, float]], kit: Toolset) -> bool:
    """Whether the brace leaves the disc room to cut a run but for the bridge."""
    if not kit.around.above:
        return True
    parts = [_disc_part(piece, body, a / body.length, b / body.length) for a, b in spans]
    return all(kit.around.clear(q.reach, q.tool, q.depth_mm, above_only=True) for q in parts)


def _disc_part(piece: Piece, body: Segment, t0: float, t1: float) -> Piece:
    through = body.part(t0, t1)
    return replace(piece, path=(through,), reach=slot(through, piece.run_out_mm))


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
