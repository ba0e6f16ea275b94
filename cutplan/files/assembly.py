"""From traces in file units to regions in millimetres: fit, join, check, nest."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from cutplan.files.joining import bridge_findings, walk, weave
from cutplan.files.limits import MAX_LISTED
from cutplan.files.loops import Loop, to_contour, with_circle
from cutplan.files.nesting import Nest, nest, self_crossings, without_repeats
from cutplan.files.open_ends import judge_chains
from cutplan.files.strokes import Stroke, to_stroke
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
    traces: list[Trace], mm_per_unit: float, *, repair: bool, bridge_mm: float,
    text_places: list[tuple[float, float]],
) -> Assembly:
    """Return the regions that traces draw [mm]."""
    out = Assembly()
    made = [to_stroke(trace, mm_per_unit) for trace in traces]
    strokes = [s for s in made if s is not None]
    nothing = len(made) - len(strokes)
    if nothing:
        out.findings.append(
            Finding("zero-length-dropped", "note", f"{nothing} drawn things without length were dropped", "", "left out")
        )
    closed = [s for s in strokes if s.circle is not None or s.gap <= JOIN_MM]
    loops = [Loop(s.xy, s.bulge, s.where, s.layer, s.circle, s.fitted) for s in closed]
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
    out.regions = regions_of(tree)
    return out


def _joined(rest: list[Stroke], bridge_mm: float, loops: list[Loop], repair: bool, out: Assembly) -> list[Loop]:
    web, bridges = weave(rest, bridge_mm)
    joined = walk(web)
    out.findings += bridge_findings(bridges, MAX_LISTED)
    more, findings, aside = judge_chains(joined.chains, loops + joined.loops, repair)
    out.findings += findings
    out.left_aside.update(aside)
    return joined.loops + more


def regions_of(tree: Nest) -> list[tuple[Region, str]]:
    """Return the outlines of even depth with the holes directly in them, largest first."""
    regions: list[tuple[Region, str]] = []
    for i, loop in enumerate(tree.loops):
        if tree.depth[i] % 2 == 0:
            holes = tuple(to_contour(tree.loops[k]) for k in tree.children(i))
            regions.append((Region(to_contour(loop), holes), loop.layer))
    return regions
