"""Open strokes joined end to end into closed loops: exact ends first, then small gaps, each with its place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from cutplan.errors import LimitError
from cutplan.files.limits import MAX_PAIRS
from cutplan.files.outline.loops import Loop
from cutplan.files.outline.strokes import Stroke, lengths
from cutplan.files.traces import Floats, Ints
from cutplan.files.where import Where
from cutplan.findings import Finding
from cutplan.texts import mm, place, plural, say
from cutplan.tolerance import JOIN_MM

#: Gaps up to this size are rounding of the file and are counted, not listed [mm].
ROUNDING_MM = 0.002
#: Ends whose neighbours are looked up at a time.
_AT_ONCE = 256


class Run(Protocol):
    """Points (n + 1, 2) with bulges (n), as strokes and chains have them [mm]."""

    @property
    def xy(self) -> Floats: ...

    @property
    def bulge(self) -> Floats: ...


@dataclass(slots=True)
class Web:
    """Strokes with the nodes that their ends meet in; ``nodes[i]`` are the node numbers of stroke i's two ends."""

    strokes: list[Stroke]
    nodes: Ints
    places: Floats

    def degrees(self) -> Ints:
        """Return how many ends meet in each node."""
        return np.bincount(self.nodes.ravel(), minlength=len(self.places)).astype(np.int64)


@dataclass(frozen=True, slots=True)
class Bridge:
    """A gap that was closed: both ends [mm] and its width [mm]."""

    a: tuple[float, float]
    b: tuple[float, float]
    width: float


@dataclass(slots=True)
class Joined:
    """Closed loops, chains that stay open, and groups of strokes with branches."""

    loops: list[Loop] = field(default_factory=list)
    chains: list[Chain] = field(default_factory=list)
    tangles: list[list[int]] = field(default_factory=list)
    bridges: list[Bridge] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Chain:
    """Strokes in order that do not close: points, bulges and the strokes they came from."""

    xy: Floats
    bulge: Floats
    where: Where
    layer: str
    pieces: int
    filled: bool = False
    members: tuple[int, ...] = ()
    added: float = 0.0

    @property
    def length(self) -> float:
        """Drawn length, without what was added to close gaps [mm]."""
        return float(lengths(self.xy, self.bulge).sum()) - self.added

    @property
    def gap(self) -> float:
        return float(np.hypot(*(self.xy[-1] - self.xy[0])))

    @property
    def is_line(self) -> bool:
        """Whether it is a single straight line."""
        return len(self.xy) == 2 and bool(self.bulge[0] == 0.0)


def weave(strokes: list[Stroke], bridge_mm: float) -> tuple[Web, list[Bridge]]:
    """Return the strokes with common nodes: exact ends, then free ends nearest to each other within a bridge [mm]."""
    ends = np.array([[s.xy[0], s.xy[-1]] for s in strokes]).reshape(-1, 2)
    origin = ends.min(axis=0)
    cells = np.round((ends - origin) / JOIN_MM).astype(np.int64)
    _, first, node = np.unique(cells, axis=0, return_index=True, return_inverse=True)
    node = node.reshape(-1)
    places = ends[first]
    degree = np.bincount(node, minlength=len(places))
    free = np.flatnonzero(degree != 2)
    bridges: list[Bridge] = []
    if len(free) > 1 and bridge_mm > 0.0:
        parent = np.arange(len(places))
        _bridge(free, degree, places, node, strokes, bridge_mm, parent, bridges)
        if bridges:
            node = parent[node]
    return Web(strokes, node.reshape(-1, 2), places), bridges


def _bridge(
    free: Ints,
    degree: Ints,
    places: Floats,
    node: Ints,
    strokes: list[Stroke],
    bridge_mm: float,
    parent: Ints,
    bridges: list[Bridge],
) -> None:
    """Merge free nodes with the nearest other ones, closest pairs first, while both are still free."""
    import shapely

    points = np.asarray(shapely.points(places[free]))
    tree = shapely.STRtree(points)
    found: list[tuple[Ints, Ints]] = []
    total = 0
    for start in range(0, len(points), _AT_ONCE):
        a, b = tree.query(points[start : start + _AT_ONCE], predicate="dwithin", distance=bridge_mm)
        pick = a + start < b
        found.append((free[a[pick] + start], free[b[pick]]))
        total += len(found[-1][0])
        if total > MAX_PAIRS:
            raise LimitError(
                say(
                    "more than {max_pairs} pairs of ends lie within the bridging tolerance of each other",
                    max_pairs=MAX_PAIRS,
                ),
                hint=say("keep only the layer of the plate, or give a smaller tolerance"),
            )
    left, right = np.concatenate([f[0] for f in found]), np.concatenate([f[1] for f in found])
    wide = np.hypot(*(places[left] - places[right]).T)
    ends = node.reshape(-1, 2)
    tiny = {
        (min(a, b), max(a, b))
        for (a, b), s in zip(ends.tolist(), strokes, strict=True)
        if s.gap <= bridge_mm and s.length <= 4.0 * bridge_mm
    }
    degree = degree.copy()
    for k in np.argsort(wide, kind="stable").tolist():
        a, b = int(left[k]), int(right[k])
        a, b = _root(parent, a), _root(parent, b)
        if a == b or (min(a, b), max(a, b)) in tiny:
            continue
        exact = wide[k] <= 2.0 * JOIN_MM
        if not exact and (degree[a] % 2 == 0 or degree[b] % 2 == 0):
            continue
        parent[b] = a
        degree[a] += degree[b]
        degree[b] = 0
        pa, pb = places[left[k]], places[right[k]]
        bridges.append(Bridge((float(pa[0]), float(pa[1])), (float(pb[0]), float(pb[1])), float(wide[k])))
    for i in range(len(parent)):
        parent[i] = _root(parent, i)


def _root(parent: Ints, i: int) -> int:
    while parent[i] != i:
        i = int(parent[i])
    return i


def walk(web: Web) -> Joined:
    """Return loops, open chains and tangles of a web, in the order in which their first stroke was drawn."""
    out = Joined()
    degree = web.degrees().tolist()
    ends = web.nodes.tolist()
    meeting: dict[int, list[int]] = {}
    for i, (a, b) in enumerate(ends):
        meeting.setdefault(a, []).append(i)
        meeting.setdefault(b, []).append(i)
    seen = [False] * len(ends)
    for i in range(len(ends)):
        if seen[i]:
            continue
        a, b = ends[i]
        if a != b and degree[a] == degree[b] == 1:
            out.chains.append(_open([(i, False)], web))
            continue
        group = _group(i, ends, meeting)
        for g in group:
            seen[g] = True
        nodes = {n for g in group for n in ends[g]}
        if any(degree[n] > 2 for n in nodes):
            out.tangles.append(group)
            continue
        start = next((n for g in group for n in ends[g] if degree[n] == 1), None)
        order = _order(group[0], start, ends, meeting)
        if start is None:
            out.loops.append(_closed(order, web))
        else:
            out.chains.append(_open(order, web))
    return out


def _group(first: int, ends: list[list[int]], meeting: dict[int, list[int]]) -> list[int]:
    """Return all strokes connected with one, sorted."""
    found = {first}
    todo = [first]
    reached: set[int] = set()
    while todo:
        for n in ends[todo.pop()]:
            if n in reached:
                continue
            reached.add(n)
            for j in meeting[n]:
                if j not in found:
                    found.add(j)
                    todo.append(j)
    return sorted(found)


def _order(
    first: int, start: int | None, ends: list[list[int]], meeting: dict[int, list[int]]
) -> list[tuple[int, bool]]:
    """Return the strokes of a simple chain in order with whether each is run backwards."""
    if start is None:
        stroke, at = first, ends[first][0]
    else:
        stroke, at = meeting[start][0], start
    order: list[tuple[int, bool]] = []
    used: set[int] = set()
    while stroke not in used:
        used.add(stroke)
        a, b = ends[stroke]
        backwards = a != at
        order.append((stroke, backwards))
        at = a if backwards else b
        stroke = next((j for j in meeting[at] if j not in used), stroke)
    return order


def string(order: Sequence[tuple[int, bool]], strokes: Sequence[Run], *, closed: bool) -> tuple[Floats, Floats, float]:
    """Return points (n, 2) and bulges of strokes in order, with small jumps between them closed, and the length added [mm].

    A jump that is mere rounding moves one end. A wider one is closed where the two straight sides meet, if that is as
    near as the jump is wide, else by a short straight piece, so that neither side changes its direction.
    """
    if closed and len(order) > 50 and all(len(strokes[i].bulge) == 1 for i, _ in order):
        pairs = np.array([strokes[i].xy for i, _ in order])
        turned = np.array([backwards for _, backwards in order])
        pairs[turned] = pairs[turned, ::-1]
        if np.array_equal(pairs[1:, 0], pairs[:-1, 1]) and np.array_equal(pairs[0, 0], pairs[-1, 1]):
            bulge = np.array([strokes[i].bulge[0] for i, _ in order])
            bulge[turned] = -bulge[turned]
            return np.vstack([pairs[:, 0], pairs[:1, 0]]), bulge, 0.0
    parts: list[tuple[Floats, Floats]] = []
    for i, backwards in order:
        s = strokes[i]
        parts.append((s.xy[::-1], -s.bulge[::-1]) if backwards else (s.xy, s.bulge))
    n = len(parts)
    if n == 1 and not closed:
        return *parts[0], 0.0
    starts = np.array([p[0][0] for p in parts])
    ends = np.array([p[0][-1] for p in parts])
    jumps = np.hypot(*(starts - np.roll(ends, 1, axis=0)).T)
    if not closed:
        jumps[0] = 0.0
    drawn = 0.0
    wide = bool(jumps.max() > ROUNDING_MM)
    if wide:
        drawn = sum(float(lengths(*p).sum()) for p in parts)
    if jumps.max() > 0.0:
        parts = _jumps_closed(parts, jumps)
    xy = np.vstack([p[0][:-1] for p in parts] + [parts[0][0][:1] if closed else parts[-1][0][-1:]])
    bulge = np.concatenate([p[1] for p in parts])
    return xy, bulge, float(lengths(xy, bulge).sum()) - drawn if wide else 0.0


def _jumps_closed(parts: list[tuple[Floats, Floats]], jumps: Floats) -> list[tuple[Floats, Floats]]:
    """Return parts that start exactly where the one before ends."""
    xys = [p[0].copy() for p in parts]
    bulges = [p[1] for p in parts]
    extra: dict[int, tuple[Floats, Floats]] = {}
    for k in np.flatnonzero(jumps > 0.0).tolist():
        before, after = xys[k - 1], xys[k]
        straight_before, straight_after = bulges[k - 1][-1] == 0.0, bulges[k][0] == 0.0
        corner = None
        if straight_before and straight_after and jumps[k] > ROUNDING_MM:
            corner = _corner(before[-2], before[-1], after[1], after[0], float(jumps[k]))
        if corner is not None:
            before[-1] = after[0] = corner
        elif jumps[k] > ROUNDING_MM:
            extra[k] = (np.vstack([before[-1], after[0]]), np.zeros(1))
        elif straight_before:
            before[-1] = after[0]
        elif straight_after:
            after[0] = before[-1]
        else:
            before[-1] = after[0] = 0.5 * (before[-1] + after[0])
    out: list[tuple[Floats, Floats]] = []
    for k, part in enumerate(zip(xys, bulges, strict=True)):
        if k in extra:
            out.append(extra[k])
        out.append(part)
    if 0 in extra:
        out.append(out.pop(0))
    return out


def _corner(a0: Floats, a1: Floats, b0: Floats, b1: Floats, reach: float) -> Floats | None:
    """Return where two straight sides meet, if both reach it within a distance of their ends [mm]."""
    u, v = a1 - a0, b1 - b0
    cross = float(u[0] * v[1] - u[1] * v[0])
    if abs(cross) <= 0.05 * float(np.hypot(*u) * np.hypot(*v)):
        return None
    w = b1 - a1
    corner: Floats = a1 + u * (float(w[0] * v[1] - w[1] * v[0]) / cross)
    near = max(float(np.hypot(*(corner - a1))), float(np.hypot(*(corner - b1))))
    return corner if near <= 1.5 * reach else None


def _closed(order: list[tuple[int, bool]], web: Web) -> Loop:
    strokes = web.strokes
    xy, bulge, added = string(order, strokes, closed=True)
    if len(order) == 1:
        s = strokes[order[0][0]]
        return Loop(xy, bulge, s.where, s.layer, s.circle, s.fitted, added)
    first = strokes[order[0][0]]
    fitted = any(strokes[i].fitted for i, _ in order)
    return Loop(xy, bulge, _named([strokes[i] for i, _ in order]), first.layer, None, fitted, added)


def _open(order: list[tuple[int, bool]], web: Web) -> Chain:
    if len(order) == 1:
        s = web.strokes[order[0][0]]
        return Chain(s.xy, s.bulge, s.where, s.layer, 1, s.filled, (order[0][0],))
    xy, bulge, added = string(order, web.strokes, closed=False)
    members = [web.strokes[i] for i, _ in order]
    return Chain(xy, bulge, _named(members), members[0].layer, len(members), False, tuple(i for i, _ in order), added)


def _named(members: list[Stroke]) -> Where:
    """Return the place of the strokes of a chain."""
    return members[0].where.with_more(len(members) - 1)


def bridge_findings(bridges: list[Bridge], listed: int) -> list[Finding]:
    """Return a finding for each bridged gap, and one note for all that are mere rounding."""
    findings: list[Finding] = []
    rounding = [b.width for b in bridges if 2.0 * JOIN_MM < b.width <= ROUNDING_MM]
    wide = sorted((b for b in bridges if b.width > ROUNDING_MM), key=lambda b: -b.width)
    if rounding:
        findings.append(
            Finding(
                "ends-rounded",
                "note",
                plural(
                    "{count} joint with ends {width} apart was closed",
                    "{count} joints with ends up to {width} apart were closed",
                    len(rounding),
                    width=mm(max(rounding), 4),
                ),
            )
        )
    for b in wide[:listed]:
        findings.append(
            Finding(
                "gap-bridged",
                "warning" if b.width > 0.01 else "note",
                say("a gap of {width} was bridged", width=mm(b.width, 4)),
                say("{a} to {b}", a=place(*b.a, 3), b=place(*b.b, 3)),
                say("the two ends were joined"),
                done=True,
            )
        )
    if len(wide) > listed:
        findings.append(
            Finding(
                "gap-bridged",
                "warning",
                plural("{count} more gap was bridged", "{count} more gaps were bridged", len(wide) - listed),
            )
        )
    return findings
