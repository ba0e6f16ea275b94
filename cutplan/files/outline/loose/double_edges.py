"""Lines that were drawn as their two edges: rings thinner than any part, with the width of a pen."""

from __future__ import annotations

from cutplan.files.outline.account import Aside
from cutplan.files.outline.loops import Loop
from cutplan.files.outline.nesting import Nest
from cutplan.files.reading_options import REPAIR
from cutplan.files.repair import Repair
from cutplan.findings import Finding
from cutplan.texts import Message, every, mm, place, say

#: Twice the area by the length of all edges below which a thing is no part [mm].
THIN_MM = 0.5
_OTHER_EDGE = say("other edge of a line")
_TOO_THIN = say("too thin for a part")


def without_double_edges(tree: Nest, repair: Repair) -> tuple[list[Loop] | None, list[Finding], list[Aside]]:
    """Return the loops that are left when lines drawn as two edges are one, with findings; None when there are none.

    Without repair the drawing is refused, since the edge may be either of the two. Repair takes the outer edge of an
    outline and the inner edge of an opening, which leaves metal on and never takes it off.
    """
    pairs = _rings(tree)
    gone: dict[int, int] = {}
    thin: set[int] = set()
    inside = tree.children()
    for i, loop in enumerate(tree.loops):
        if tree.depth[i] % 2 == 0 and i not in pairs and i not in pairs.values():
            holes = [tree.loops[k] for k in inside[i]]
            edge = loop.length + sum(h.length for h in holes)
            if 2.0 * (loop.area - sum(h.area for h in holes)) < THIN_MM * edge and tree.depth[i] == 0 and not holes:
                thin.add(i)
    if len(thin) == len(tree.loops):
        thin = set()
    for outer, inner in pairs.items():
        around = sum(1 for a in pairs if a != outer and _lies_in(tree, outer, pairs[a]))
        gone[outer if around % 2 else inner] = outer
    if not gone and not thin:
        return None, [], []
    findings: list[Finding] = []
    mend = False
    if gone:
        where = _where(tree, pairs)
        mend = repair.takes("double-edge", where)
        findings.append(_finding(tree, pairs, where, mend))
    if thin:
        findings.append(_thin_finding([tree.loops[i] for i in sorted(thin)]))
    drop = thin | (set(gone) if mend else set())
    left = [loop for i, loop in enumerate(tree.loops) if i not in drop]
    asides = [
        Aside(tree.loops[i].xy, tree.loops[i].bulge, "left_aside", _TOO_THIN if i in thin else _OTHER_EDGE)
        for i in sorted(drop)
    ]
    return (left if drop else None), findings, asides


def _rings(tree: Nest) -> dict[int, int]:
    """Return for each outer edge of a thin ring its inner edge."""
    inside = tree.children()
    pairs: dict[int, int] = {}
    for i, loop in enumerate(tree.loops):
        if tree.depth[i] % 2:
            continue
        for k in inside[i]:
            inner = tree.loops[k]
            if (
                len(inside[i]) == 1
                and (i, k) not in tree.crossed
                and 2.0 * (loop.area - inner.area) < THIN_MM * (loop.length + inner.length)
            ):
                pairs[i] = k
    return pairs


def _lies_in(tree: Nest, i: int, around: int) -> bool:
    k = tree.parent[i]
    while k >= 0:
        if k == around:
            return True
        k = tree.parent[k]
    return False


def _where(tree: Nest, pairs: dict[int, int]) -> Message:
    firsts = [tree.loops[a] for a in list(pairs)[:6]]
    return say(
        "{places}; {what}",
        places=every(place(float(loop.xy[0, 0]), float(loop.xy[0, 1]), 3) for loop in firsts),
        what=firsts[0].where.said(),
    )


def _finding(tree: Nest, pairs: dict[int, int], where: Message, mended: bool) -> Finding:
    widths = [
        2.0 * (tree.loops[a].area - tree.loops[b].area) / (tree.loops[a].length + tree.loops[b].length)
        for a, b in pairs.items()
    ]
    message = say(
        "{count} outlines are drawn as the two edges of a line, {width} apart, which are no part",
        count=len(pairs),
        width=mm(max(widths), 3),
    )
    if mended:
        done = say("the outer edge of outlines and the inner edge of openings was taken, which leaves metal on")
        return Finding("double-edge-resolved", "warning", message, where, done)
    hint = say("draw each edge as one line, or use {repair} to take the edge that leaves metal on", repair=REPAIR)
    return Finding("double-edge", "error", message, where, hint)


def _thin_finding(loops: list[Loop]) -> Finding:
    return Finding(
        "too-thin",
        "warning",
        say(
            "{count} closed outlines are thinner than {least} and were left aside", count=len(loops), least=mm(THIN_MM)
        ),
        loops[0].where.said(),
        say("check that none of them was meant to be cut"),
    )
