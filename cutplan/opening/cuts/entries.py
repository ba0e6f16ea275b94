"""Entries for a saw blade: one hole on every stretch that a disc cannot follow."""

from __future__ import annotations

from cutplan.opening.cuts.nodes import Node, drill_sizes, node_for, node_near, sawn, starts
from cutplan.opening.cuts.toolset import Toolset
from cutplan.opening.cuts.waste import Waste
from cutplan.opening.model import Drill
from cutplan.tables.by_hand.hand_tools import TOOLS
from cutplan.texts import say


def entry_nodes(waste: Waste, nodes: list[Node], taken: list[Drill], kit: Toolset) -> list[Node]:
    """Return the nodes with one entry for a saw blade added to every stretch that a disc cannot follow.

    A stretch that touches a hole already there needs none: the blade goes in at that hole.
    """
    path, total = waste.path, waste.path.length
    entry = kit.entry_mm if kit.main != "cut-off disc" else TOOLS[kit.second].entry_mm
    wanted: list[float] = []
    along = starts(path)
    if kit.main == "cut-off disc":
        by_saw = sawn(path, kit.slot_mm, kit.least_line_mm)
        free = [
            b and not _covered(nodes, a, a + s.length, total)
            for b, a, s in zip(by_saw, along, path.segments, strict=True)
        ]
        for first, last in _runs(free):
            s0, s1 = along[first], along[last] + path.segments[last].length
            s1 += total if s1 <= s0 else 0.0
            inside = any(
                s0 - 6.0 <= _at_or_after(n.at_mm, s0 - 6.0, total) <= s1 + 6.0
                for n in nodes
                if n.drill and n.drill.diameter_mm >= entry
            )
            if not inside:
                wanted.append(s0)
    elif kit.entry_mm > 0.0:
        wanted = _without_entry(nodes, total, entry)
    nodes = list(nodes)
    for at in wanted:
        spot, _ = path.point_at_length(at)
        reason = say("lets the saw blade in")
        node = node_for(waste, at % total, spot, drill_sizes(entry + 2.0, entry), taken, "entry", reason)
        if node is not None:
            # a bare end of a cut across that the hole takes in needs no place of its own
            nodes = [n for n in nodes if n.drill or node_near([node], n.at_mm, total, 0.0) is None]
            nodes.append(node)
    return sorted(nodes, key=lambda n: n.at_mm % total)


def _without_entry(nodes: list[Node], total: float, entry_mm: float) -> list[float]:
    """Places for an entry on every stretch between holes at neither of whose ends the blade goes in."""
    held = sorted((n for n in nodes if n.drill), key=lambda n: n.at_mm)
    if not held:
        return [0.0]
    out = []
    for k, node in enumerate(held):
        after = held[(k + 1) % len(held)]
        large = max(n.drill.diameter_mm for n in (node, after) if n.drill)
        s0, s1 = node.leave_mm, after.enter_mm
        while s1 <= s0 - 1e-6:
            s1 += total
        if large < entry_mm and s1 - s0 > 3.0 * entry_mm:
            out.append(0.5 * (s0 + s1))
    return out


def _covered(nodes: list[Node], s0: float, s1: float, total: float) -> bool:
    mid = 0.5 * (s0 + s1)
    near = node_near(nodes, mid, total, 0.5)
    return near is not None and near.leave_mm - near.enter_mm >= (s1 - s0) - 1.0


def _at_or_after(at_mm: float, least_mm: float, total_mm: float) -> float:
    """The distance along a closed path, a whole lap added where it lies before another [mm]."""
    return least_mm + (at_mm - least_mm) % total_mm


def _runs(flags: list[bool]) -> list[tuple[int, int]]:
    """First and last index of each stretch of true flags round a closed path."""
    n = len(flags)
    if all(flags):
        return [(0, n - 1)]
    out = []
    for i in range(n):
        if flags[i] and not flags[i - 1]:
            j = i
            while flags[(j + 1) % n]:
                j = (j + 1) % n
            out.append((i, j))
    return out
