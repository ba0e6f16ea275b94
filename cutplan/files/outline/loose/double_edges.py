"""Lines that were drawn as their two edges: rings thinner than any part, with the width of a pen."""

from __future__ import annotations

from math import hypot

from cutplan.files.outline.account import Aside
from cutplan.files.outline.loops import Loop
from cutplan.files.outline.nesting import Nest
from cutplan.files.reading_options import REPAIR
from cutplan.files.repair import Repair
from cutplan.findings import Finding
from cutplan.texts import Message, every, mm, place, plural, say

#: Twice the area by the length of all edges below which a thing is no part [mm].
THIN_MM = 0.5
#: The largest outline of a drawing is a line that was traced along both edges when it is a ring narrower than this [mm] and
#: than this share of its size; others of about its width are lines then, too (our own; no plate to weld in is as narrow).
PEN_MM, PEN_SHARE, PEN_SPREAD = 8.0, 0.01, 1.5
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


def largest_is_a_line(tree: Nest) -> bool:
    """Return whether the largest outline is a line that was drawn along both of its edges."""
    inside = _single(tree)
    return 0 in inside and _pen_mm(tree, _widths(tree, {0: inside[0]})) > 0.0


def _rings(tree: Nest) -> dict[int, int]:
    """Return for each outer edge of a thin ring its inner edge."""
    single = _single(tree)
    widths = _widths(tree, single)
    least = max(THIN_MM, PEN_SPREAD * _pen_mm(tree, widths))
    return {i: k for i, k in single.items() if widths[i] < least}


def _single(tree: Nest) -> dict[int, int]:
    """Return the only opening of each outline that has just one."""
    inside = tree.children()
    return {
        i: inside[i][0]
        for i in range(len(tree.loops))
        if tree.depth[i] % 2 == 0 and len(inside[i]) == 1 and (i, inside[i][0]) not in tree.crossed
    }


def _widths(tree: Nest, single: dict[int, int]) -> dict[int, float]:
    return {i: _width_mm(tree.loops[i], tree.loops[k]) for i, k in single.items()}


def _width_mm(outer: Loop, inner: Loop) -> float:
    return 2.0 * (outer.area - inner.area) / (outer.length + inner.length)


def _pen_mm(tree: Nest, widths: dict[int, float]) -> float:
    """Return the width of the pen where the largest outline of the drawing is itself a drawn line [mm], else zero."""
    if 0 not in widths:  # loops stand largest first
        return 0.0
    x0, y0, x1, y1 = tree.loops[0].box
    return widths[0] if widths[0] < min(PEN_MM, PEN_SHARE * hypot(x1 - x0, y1 - y0)) else 0.0


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
    message = plural(
        "{count} outline is drawn as the two edges of a line, {width} apart, which are no part",
        "{count} outlines are drawn as the two edges of a line, {width} apart, which are no part",
        len(pairs),
        width=mm(max(_width_mm(tree.loops[a], tree.loops[b]) for a, b in pairs.items()), 3),
    )
    if mended:
        done = say("the outer edge of outlines and the inner edge of openings was taken, which leaves metal on")
        return Finding("double-edge-resolved", "warning", message, where, done, True)
    hint = say("draw each edge as one line, or use {repair} to take the edge that leaves metal on", repair=REPAIR)
    return Finding("double-edge", "error", message, where, hint)


def _thin_finding(loops: list[Loop]) -> Finding:
    return Finding(
        "too-thin",
        "warning",
        plural(
            "{count} closed outline is thinner than {least} and was left aside",
            "{count} closed outlines are thinner than {least} and were left aside",
            len(loops),
            least=mm(THIN_MM),
        ),
        loops[0].where.said(),
        say("check that none of them was meant to be cut"),
    )
