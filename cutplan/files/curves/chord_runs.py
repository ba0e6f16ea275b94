"""Short chords that stand for circles and arcs turned back into them, as long as the plate stays the plate drawn.

A chord polygon lies inside its circle, so its area is short by the share 2/3 (pi/n)^2 of n chords. Fine chords
(a turn of at most two degrees each) always stand for the curve. Coarser ones are replaced only while all of them in a
part together change its area by no more than a small share; beyond that they stay as drawn, with a note.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cutplan.files.curves.rounds import nearly_round, one_circle, round_doubts
from cutplan.files.outline.loops import Loop
from cutplan.files.outline.nesting import Nest
from cutplan.files.reading_options import REPAIR
from cutplan.files.repair import Repair
from cutplan.files.traces import Floats
from cutplan.findings import Finding
from cutplan.geometry.fit.chords import recognise_arcs
from cutplan.geometry.fit.circle import recognise_circle
from cutplan.geometry.segment import Arc, Segment
from cutplan.texts import mm, number, place, plural, say, template
from cutplan.tolerance import FIT_MM

#: Chords in a circle from which they always stand for it: two degrees each.
FINE = 180
#: Share of a part's net area that coarser chords may change, all together.
AREA_SHARE = 4e-6
#: When all outlines have more pieces than this, they are only compared with circles: finding arcs would take seconds.
MOST_CHORDS = 10_000
#: Fewest straight pieces in a row that are looked at.
_FEWEST = 5

#: What a circle was drawn as.
_CHORDS = template("{chords} chords stand for a circle of {radius} diameter")
_CURVES = template("{chords} arcs lie on one circle of {radius} diameter")


@dataclass(frozen=True, slots=True)
class _Offer:
    """A loop with chords replaced: what it becomes, by how much its area changes, whether the chords are fine, and
    whether they were arcs."""

    index: int
    loop: Loop
    change_mm2: float
    fine: bool
    chords: int
    curved: bool = False


def recognised(tree: Nest, repair: Repair) -> tuple[Nest, list[Finding]]:
    """Return the nest with chord runs of its loops turned into arcs and circles [mm], and what was done."""
    loops = list(tree.loops)
    rounds = any(repair.takes(f.code, f.where) for f in round_doubts(loops, tree.depth)) if repair else False
    circles: list[_Offer] = []
    arcs: list[_Offer] = []
    left = 0
    pieces = sum(len(loop.bulge) for loop in tree.loops if loop.circle is None and len(loop.bulge) >= 2 * _FEWEST)
    circles_only = pieces > MOST_CHORDS
    inside = tree.children()
    for i, loop in enumerate(tree.loops):
        if tree.depth[i] % 2:
            continue
        holes = inside[i]
        budget = AREA_SHARE * max(loop.area - sum(tree.loops[k].area for k in holes), 0.0)
        offers = [o for k in [i, *holes] if (o := _offer(k, tree.loops[k], rounds, circles_only)) is not None]
        for offer in sorted(offers, key=lambda o: (not o.fine, o.change_mm2, o.index)):
            asked = repair.everything or (rounds and offer.loop.circle is not None)
            if not (offer.fine or asked or offer.change_mm2 <= budget):
                left += 1
                continue
            if not offer.fine:
                budget -= offer.change_mm2
            loops[offer.index] = offer.loop
            (circles if offer.loop.circle is not None else arcs).append(offer)
    return Nest(loops, tree.depth, tree.parent), _findings(circles, arcs, left) + round_doubts(loops, tree.depth)


def _offer(index: int, loop: Loop, rounds: bool, circles_only: bool) -> _Offer | None:
    if loop.circle is not None or len(loop.bulge) < _FEWEST:
        return None
    if rounds and (rough := nearly_round(loop)) is not None:
        made = replace(loop, circle=rough[:3], fitted=True, _kept=[])
        return _Offer(index, made, abs(made.area - loop.area), False, len(loop.bulge), bool(loop.bulge.any()))
    straight = loop.bulge == 0.0
    if straight.all():
        points = loop.xy[:-1]
        found = recognise_circle(points, FIT_MM)
        if found is not None:
            (x, y), radius = found
            made = replace(loop, circle=(x, y, radius), fitted=True, _kept=[])
            return _Offer(index, made, abs(made.area - loop.area), len(points) >= FINE, len(points))
        if circles_only or len(points) < 2 * _FEWEST:
            return None
        segments = recognise_arcs(points, True, FIT_MM)
        if len(segments) >= len(points):
            return None
        xy, bulge = _arrays(segments)
    elif (curved := one_circle(loop)) is not None:
        made = replace(loop, circle=curved, fitted=True, _kept=[])
        return _Offer(index, made, abs(made.area - loop.area), True, len(loop.bulge), True)
    else:
        pieces = None if circles_only else _runs(loop)
        if pieces is None:
            return None
        xy, bulge = pieces
    made = replace(loop, xy=xy, bulge=bulge, fitted=True, _kept=[])
    return _Offer(index, made, abs(made.area - loop.area), False, len(loop.bulge) - len(bulge))


def _runs(loop: Loop) -> tuple[Floats, Floats] | None:
    """Return points and bulges of a loop of lines and arcs with its long straight runs looked at; None if unchanged."""
    first = int(np.flatnonzero(loop.bulge)[0])
    xy = np.vstack([loop.xy[first:-1], loop.xy[: first + 1]])
    bulge = np.roll(loop.bulge, -first)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], (bulge == 0.0).astype(np.int8), [0]])))
    parts: list[tuple[Floats, Floats]] = []
    at = 0
    changed = False
    for a, b in edges.reshape(-1, 2).tolist():
        parts.append((xy[at:a], bulge[at:a]))
        run, flat = xy[a : b + 1], bulge[a:b]
        at = b
        if b - a >= _FEWEST:
            segments = recognise_arcs(run, False, FIT_MM)
            if len(segments) < b - a:
                points, flat = _arrays(segments)
                parts.append((points[:-1], flat))
                changed = True
                continue
        parts.append((run[:-1], flat))
    if not changed:
        return None
    parts.append((xy[at:-1], bulge[at:]))
    points = np.vstack([p[0] for p in parts])
    return np.vstack([points, points[:1]]), np.concatenate([p[1] for p in parts])


def _arrays(segments: list[Segment]) -> tuple[Floats, Floats]:
    """Return points (n + 1, 2) and bulges (n) of a chain of segments."""
    xy = np.array([s.start for s in segments] + [segments[-1].end], dtype=np.float64)
    return xy, np.array([s.bulge if isinstance(s, Arc) else 0.0 for s in segments])


def _findings(circles: list[_Offer], arcs: list[_Offer], left: int) -> list[Finding]:
    findings = _circle_findings(circles)
    if arcs:
        findings.append(_arc_finding(arcs))
    if left:
        findings.append(
            Finding(
                "chords-kept",
                "note",
                plural(
                    "{count} outline holds chords that may stand for arcs, too coarse to change without being asked",
                    "{count} outlines hold chords that may stand for arcs, too coarse to change without being asked",
                    left,
                ),
                "",
                say("read as drawn; {repair} turns them into arcs", repair=REPAIR),
            )
        )
    return findings


def _circle_findings(circles: list[_Offer]) -> list[Finding]:
    findings: list[Finding] = []
    for offer in circles[:20]:
        assert offer.loop.circle is not None
        x, y, radius = offer.loop.circle
        findings.append(
            Finding(
                "chords-are-circle",
                "note",
                (_CURVES if offer.curved else _CHORDS).fill(chords=offer.chords, radius=mm(2.0 * radius, None)),
                say("{at}; {where}", at=place(x, y, 3), where=offer.loop.where.said()),
                say(
                    "read as the true circle; its area changes by {change_mm2}",
                    change_mm2=number(offer.change_mm2, "mm2"),
                ),
            )
        )
    if len(circles) > 20:
        findings.append(
            Finding(
                "chords-are-circle",
                "note",
                plural(
                    "one more chord polygon is a circle", "{count} more chord polygons are circles", len(circles) - 20
                ),
            )
        )
    return findings


def _arc_finding(arcs: list[_Offer]) -> Finding:
    change = sum(o.change_mm2 for o in arcs)
    chords = sum(o.chords for o in arcs)
    return Finding(
        "chords-are-arcs",
        "note",
        plural(
            "{count} outline holds chords that stand for arcs, {chords} pieces fewer as arcs",
            "{count} outlines hold chords that stand for arcs, {chords} pieces fewer as arcs",
            len(arcs),
            chords=chords,
        ),
        arcs[0].loop.where.said(),
        say(
            "read as arcs within {fit_mm}; the area changes by {change}",
            fit_mm=mm(FIT_MM, None),
            change=number(change, "mm2"),
        ),
    )
