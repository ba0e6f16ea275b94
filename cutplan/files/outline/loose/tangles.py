"""Strokes that meet in branches: overlaps merged, loose ends cut off, and the outer boundary taken as the outline."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import atan2

import numpy as np

from cutplan.files.curves.arc_overlaps import merged_arcs
from cutplan.files.outline.joining import Bridge, Chain, Joined, Web, string, walk, weave
from cutplan.files.outline.loops import Loop
from cutplan.files.outline.repeats import merged_overlaps, without_repeats
from cutplan.files.outline.strokes import Stroke, direction, total_length
from cutplan.files.where import Where
from cutplan.findings import Finding

#: Strokes that are gone through at most while outer boundaries are taken off a tangle, all rounds together.
_WORK = 200_000
#: Pieces beyond which strokes are not cut into single lines and arcs to find what lies on itself.
_PIECES = 60_000
#: Lines and arcs beyond which those that lie on each other are not looked for.
_MERGED = 100_000


@dataclass(slots=True)
class Untangled:
    """What came of strokes that did not simply close."""

    loops: list[Loop] = field(default_factory=list)
    chains: list[Chain] = field(default_factory=list)
    bridges: list[Bridge] = field(default_factory=list)
    notes: list[Finding] = field(default_factory=list)
    branches: list[Branching] = field(default_factory=list)
    duplicate_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Branching:
    """A group of strokes with branches: places [mm], box, and what kind it is.

    ``touch``: every branch is only a touch of two outlines. ``tree``: nothing in it goes round, as in a centre mark.
    """

    places: tuple[tuple[float, float], ...]
    box: tuple[float, float, float, float]
    where: Where
    touch: bool
    tree: bool


def exploded(strokes: list[Stroke]) -> list[Stroke]:
    """Return the strokes cut into single lines and arcs."""
    out: list[Stroke] = []
    for s in strokes:
        if len(s.bulge) == 1:
            out.append(s)
            continue
        for i in range(len(s.bulge)):
            out.append(Stroke(s.xy[i : i + 2], s.bulge[i : i + 1], s.where, s.layer, False, None, s.fitted, s.copies))
    return out


def untangle(strokes: list[Stroke], bridge_mm: float) -> Untangled:
    """Return loops and chains of strokes with branches or loose ends, after merging what lies on itself."""
    out = Untangled()
    many = sum(len(s.bulge) for s in strokes) - len(strokes) > _PIECES
    pieces, repeats = without_repeats(strokes if many else exploded(strokes))
    merged, overlaps = merged_overlaps(pieces) if len(pieces) <= _MERGED else (pieces, [])
    merged, arcs = merged_arcs(merged) if len(pieces) <= _MERGED else (merged, [])
    tries = [(pieces, repeats)]
    if overlaps or arcs:
        tries.insert(0, (merged, repeats + overlaps + arcs))
    best: tuple[int, Web, list[Bridge], Joined, list[Finding]] | None = None
    for candidate, found in tries:
        web, bridges = weave(candidate, bridge_mm)
        odd = int((web.degrees() % 2).sum())
        if best is None or odd < best[0]:
            best = (odd, web, bridges, walk(web), found)
    assert best is not None
    _, web, out.bridges, joined, out.notes = best
    out.duplicate_mm = total_length(strokes) - total_length(web.strokes)
    out.loops += joined.loops
    out.chains += joined.chains
    for group in joined.tangles:
        _peel([web.strokes[i] for i in group], web.nodes[group], web, out)
    return out


def _peel(
    strokes: list[Stroke], nodes: np.ndarray[tuple[int, int], np.dtype[np.int64]], web: Web, out: Untangled
) -> None:
    """Take outer boundaries off a tangle until no branch is left."""
    degree: dict[int, int] = {}
    for n in nodes.ravel().tolist():
        degree[n] = degree.get(n, 0) + 1
    places = sorted(tuple(web.places[n].tolist()) for n, d in degree.items() if d > 2)
    low = np.min([s.xy.min(axis=0) for s in strokes], axis=0)
    high = np.max([s.xy.max(axis=0) for s in strokes], axis=0)
    touch = all(d % 2 == 0 for d in degree.values())
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    edges = nodes.tolist()
    alive = _pruned(list(range(len(strokes))), edges)
    shared = _side_by_side(alive, strokes, edges) if not touch and len(alive) == len(strokes) else []
    touch = touch or bool(shared)
    out.branches.append(Branching(tuple(places), box, strokes[0].where, touch, not alive))
    if shared:
        out.loops += [_loop(cycle, strokes) for cycle in shared]
        out.duplicate_mm -= total_length([s for s in strokes if s.copies == 2])  # each side of it is cut
        return
    cut = sorted(set(range(len(strokes))) - set(alive))
    out.chains += [_chain(strokes[i]) for i in cut]
    work = 0
    while alive:
        work += len(alive)
        if work > _WORK:
            break
        found = _outer(alive, strokes, edges)
        used: set[int] = set()
        for cycle in found:
            used.update(i for i, _ in cycle)
            out.loops.append(_loop(cycle, strokes))
        if not used:
            break
        alive = [i for i in alive if i not in used]
        kept = _pruned(alive, edges)
        still = set(kept)
        out.chains += [_chain(strokes[i]) for i in alive if i not in still]
        alive = kept
    out.chains += [_chain(strokes[i]) for i in alive]


def _pruned(alive: list[int], edges: list[list[int]]) -> list[int]:
    """Return the edges that are left when all edges with a loose end are taken away, again and again."""
    at: dict[int, set[int]] = {}
    for i in alive:
        for n in edges[i]:
            at.setdefault(n, set()).add(i)
    todo = sorted(n for n, members in at.items() if len(members) == 1 and not _self_loop(members, edges))
    gone: set[int] = set()
    while todo:
        n = todo.pop()
        for i in list(at[n]):
            gone.add(i)
            for m in edges[i]:
                at[m].discard(i)
                if len(at[m]) == 1 and not _self_loop(at[m], edges):
                    todo.append(m)
    return [i for i in alive if i not in gone]


def _self_loop(members: set[int], edges: list[list[int]]) -> bool:
    (i,) = members
    return edges[i][0] == edges[i][1]


def _side_by_side(alive: list[int], strokes: list[Stroke], edges: list[list[int]]) -> list[list[tuple[int, bool]]]:
    """Return the cells of a tangle of parts drawn side by side: every edge between two cells was drawn twice."""
    if not any(strokes[i].copies > 1 for i in alive) or len(alive) > _WORK // 10:
        return []
    after = _turns(alive, strokes, edges)
    cell_of: dict[tuple[int, bool], int] = {}
    cells: list[list[tuple[int, bool]]] = []
    for start in after:
        if start in cell_of:
            continue
        way = [start]
        step = after[start]
        while step != start:
            way.append(step)
            step = after[step]
        # with the next way counter-clockwise taken at each node, cells run clockwise and the outside counter-clockwise
        inner = _loop(way, strokes).signed_area < 0.0
        for step in way:
            cell_of[step] = len(cells) if inner else -1
        if inner:
            cells.append(way)
    for i in alive:
        left, right = cell_of[(i, False)], cell_of[(i, True)]
        if (left >= 0 and right >= 0) != (strokes[i].copies == 2) or left == right:
            return []
    return cells


def _turns(alive: list[int], strokes: list[Stroke], edges: list[list[int]]) -> dict[tuple[int, bool], tuple[int, bool]]:
    """Return for each way along an edge the way that follows it around the same side."""
    fans: dict[int, list[tuple[float, int, bool]]] = {}
    for i in alive:
        for backwards in (False, True):
            dx, dy = direction(strokes[i].xy, strokes[i].bulge, at_end=backwards)
            fans.setdefault(edges[i][1 if backwards else 0], []).append((atan2(dy, dx), i, backwards))
    for fan in fans.values():
        fan.sort()
    after: dict[tuple[int, bool], tuple[int, bool]] = {}
    for fan in fans.values():
        for k, (_, i, backwards) in enumerate(fan):
            # arriving against this way out, leave by the next way counter-clockwise: the outer side stays on the right
            _, j, leave = fan[(k + 1) % len(fan)]
            after[(i, not backwards)] = (j, leave)
    return after


def _outer(alive: list[int], strokes: list[Stroke], edges: list[list[int]]) -> list[list[tuple[int, bool]]]:
    """Return the outer boundary of one connected tangle as simple cycles of (edge, backwards)."""
    after = _turns(alive, strokes, edges)
    lowest = min(alive, key=lambda i: (float(strokes[i].xy[:, 0].min()), i))
    best: list[tuple[int, bool]] = []
    best_area = 0.0
    for start in ((lowest, False), (lowest, True)):
        walk_: list[tuple[int, bool]] = []
        step = start
        while True:
            walk_.append(step)
            step = after[step]
            if step == start or len(walk_) > 2 * len(alive) + 2:
                break
        area = _loop(walk_, strokes).signed_area
        if abs(area) > abs(best_area):
            best, best_area = walk_, area
    return _simple(best, edges)


def _simple(way: list[tuple[int, bool]], edges: list[list[int]]) -> list[list[tuple[int, bool]]]:
    """Split a closed walk where it meets itself; pieces that run out and back vanish."""
    cycles: list[list[tuple[int, bool]]] = []
    stack: list[tuple[int, bool]] = []
    at: list[int] = []
    seen: dict[int, int] = {}
    for i, backwards in way:
        start, end = (edges[i][1], edges[i][0]) if backwards else (edges[i][0], edges[i][1])
        if not at:
            at.append(start)
            seen[start] = 0
        stack.append((i, backwards))
        if end in seen:
            k = seen[end]
            cycle = stack[k:]
            for n in at[k + 1 :]:
                del seen[n]
            del stack[k:], at[k + 1 :]
            if len(cycle) != 2 or cycle[0][0] != cycle[1][0]:
                cycles.append(cycle)
        else:
            seen[end] = len(at)
            at.append(end)
    return cycles


def _loop(cycle: list[tuple[int, bool]], strokes: list[Stroke]) -> Loop:
    xy, bulge, added = string(cycle, strokes, closed=True)
    first = strokes[cycle[0][0]]
    return Loop(xy, bulge, first.where.with_more(len(cycle) - 1), first.layer, added=added)


def _chain(s: Stroke) -> Chain:
    return Chain(s.xy, s.bulge, s.where, s.layer, 1)
