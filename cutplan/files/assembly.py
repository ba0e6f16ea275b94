"""From traces in file units to regions in millimetres: fit, join, check, nest."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from cutplan.files import repeats
from cutplan.files.chord_runs import recognised
from cutplan.files.joining import bridge_findings, walk, weave
from cutplan.files.limits import MAX_LISTED
from cutplan.files.loops import Loop, to_contour, with_circle
from cutplan.files.nesting import Nest, nest, self_crossings, without_repeats
from cutplan.files.open_ends import judge_chains
from cutplan.files.strokes import Stroke, to_stroke
from cutplan.files.tangles import Branching, untangle
from cutplan.files.traces import Trace
from cutplan.findings import Finding
from cutplan.geometry.region import Region
from cutplan.tolerance import JOIN_MM


@dataclass(slots=True)
class Assembly:
    """Regions with their layer, largest first, and what was noticed on the way."""

    regions: list[tuple[Region, str]] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    left_aside: Counter[str] = field(default_factory=Counter)


def assemble(
    traces: list[Trace],
    mm_per_unit: float,
    *,
    repair: bool,
    bridge_mm: float,
    text_places: list[tuple[float, float]],
) -> Assembly:
    """Return the regions that traces draw [mm]."""
    out = Assembly()
    made = [to_stroke(trace, mm_per_unit) for trace in traces]
    strokes = [s for s in made if s is not None]
    nothing = len(made) - len(strokes)
    if nothing:
        out.findings.append(
            Finding(
                "zero-length-dropped", "note", f"{nothing} drawn things without length were dropped", "", "left out"
            )
        )
    closed = [s for s in strokes if s.circle is not None or s.gap <= JOIN_MM]
    loops = [closed_loop(s) for s in closed]
    rest = [s for s in strokes if s.circle is None and s.gap > JOIN_MM]
    if rest:
        loops += _joined(rest, bridge_mm, loops, repair, out)
    loops = [with_circle(loop) for loop in loops]
    loops, findings = without_repeats(loops)
    out.findings += findings
    loops, findings = self_crossings(loops)
    out.findings += findings
    if not loops:
        return out
    tree, findings = nest(loops)
    out.findings += findings
    tree, findings = recognised(tree, repair)
    out.findings += findings
    out.regions = regions_of(tree)
    return out


def closed_loop(s: Stroke) -> Loop:
    """Return the loop of a stroke whose ends are one point."""
    xy = s.xy
    if not np.array_equal(xy[0], xy[-1]):
        xy = np.vstack([xy[:-1], xy[:1]])
        if len(xy) > 2 and np.hypot(*(xy[-1] - xy[-2])) <= JOIN_MM:  # the closing piece was the whole gap
            return Loop(np.vstack([xy[:-2], xy[:1]]), s.bulge[:-1], s.where, s.layer, s.circle, s.fitted)
    return Loop(xy, s.bulge, s.where, s.layer, s.circle, s.fitted)


def _joined(rest: list[Stroke], bridge_mm: float, loops: list[Loop], repair: bool, out: Assembly) -> list[Loop]:
    """Return loops made of strokes that are not closed by themselves."""
    rest, findings = repeats.without_repeats(rest)
    out.findings += findings
    web, bridges = weave(rest, bridge_mm)
    joined = walk(web)
    made, chains = joined.loops, joined.chains
    again = [i for group in joined.tangles for i in group]
    again += [i for chain in chains if chain.pieces > 1 or len(chain.xy) > 2 for i in chain.members]
    if again:
        chains = [chain for chain in chains if chain.pieces == 1 and len(chain.xy) == 2]
        freed = untangle([rest[i] for i in sorted(again)], bridge_mm)
        seen = {(b.a, b.b) for b in bridges}
        bridges += [b for b in freed.bridges if (b.a, b.b) not in seen]
        out.findings += freed.notes + [_branch_finding(b, repair) for b in freed.branches]
        made, chains = made + freed.loops, chains + freed.chains
    out.findings += bridge_findings(bridges, MAX_LISTED)
    more, findings, aside = judge_chains(chains, loops + made, repair)
    out.findings += findings
    out.left_aside.update(aside)
    return made + more


def _branch_finding(branching: Branching, repair: bool) -> Finding:
    """Return the finding for a group of strokes with branches."""
    shown = ", ".join(f"({x:.3f}, {y:.3f})" for x, y in branching.places[:4])
    more = f" and {len(branching.places) - 4} more" if len(branching.places) > 4 else ""
    where = f"{shown}{more} mm; {branching.where}"
    if branching.touch:
        return Finding(
            "contours-touch",
            "warning",
            "outlines touch in a point: no material is left between them",
            where,
            "check the distance meant",
        )
    if repair:
        return Finding(
            "branch-resolved",
            "warning",
            "more than two lines meet; the outer boundary was taken as the outline",
            where,
            "lines inside it and loose ends were left aside",
        )
    return Finding(
        "branch",
        "error",
        "more than two lines meet in a point, so the way round the outline is not told",
        where,
        "delete the line that is no edge of the plate, or use --repair to take the outer boundary",
    )


def regions_of(tree: Nest) -> list[tuple[Region, str]]:
    """Return the outlines of even depth with the holes directly in them, largest first."""
    regions: list[tuple[Region, str]] = []
    inside = tree.children()
    for i, loop in enumerate(tree.loops):
        if tree.depth[i] % 2 == 0:
            holes = tuple(to_contour(tree.loops[k]) for k in inside[i])
            regions.append((Region(to_contour(loop), holes), loop.layer))
    return regions
