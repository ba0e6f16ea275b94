"""From traces in file units to regions in millimetres: gather, leave aside what is no plate, check, nest."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from cutplan.files.curves.chord_runs import recognised
from cutplan.files.layer_words import marks_only
from cutplan.files.limits import MAX_LISTED
from cutplan.files.outline.border import Bordered, is_rectangle, without_border
from cutplan.files.outline.crossings import self_crossings
from cutplan.files.outline.gather import Gathered, gather
from cutplan.files.outline.joining import bridge_findings
from cutplan.files.outline.loops import Loop, to_contour
from cutplan.files.outline.nesting import Nest, nest
from cutplan.files.outline.open_ends import branch_findings, judge_chains
from cutplan.files.traces import Trace
from cutplan.findings import Finding
from cutplan.geometry.region import Region
from cutplan.texts import Message, every, say

#: Share of the area that must be left when things on centre line layers and the like are left aside.
_STILL_A_PLATE = 0.3
#: How much wider gaps are bridged when repair is asked for.
_REPAIR_BRIDGE = 10.0


@dataclass(slots=True)
class Assembly:
    """Regions with their layer, largest first, and what was noticed on the way."""

    regions: list[tuple[Region, str]] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    left_aside: Counter[Message] = field(default_factory=Counter)


def assemble(
    traces: list[Trace],
    mm_per_unit: float,
    *,
    repair: bool,
    bridge_mm: float,
    text_places: Sequence[tuple[float, float]],
) -> Assembly:
    """Return the regions that traces draw [mm].

    Things drawn dashed, or on layers for centre lines, dimensions and the like, are left aside as long as the rest
    still makes a plate; otherwise all is taken, and said.
    """
    if repair:
        bridge_mm *= _REPAIR_BRIDGE
    texts = [(x * mm_per_unit, y * mm_per_unit) for x, y in text_places]
    beside = [t for t in traces if t.beside]
    if not beside:
        return _assemble(gather(traces, mm_per_unit, bridge_mm), repair, texts)
    rest = [t for t in traces if not t.beside]
    some = _assemble(gather(rest, mm_per_unit, bridge_mm), repair, texts)
    everything = gather(traces, mm_per_unit, bridge_mm)
    largest = max((loop.area for loop in everything.loops), default=0.0)
    if some.regions and some.regions[0][0].outer.area >= _STILL_A_PLATE * largest:
        some.left_aside.update(t.beside for t in beside)
        return some
    full = _assemble(everything, repair, texts)
    if full.regions:
        full.findings.append(
            Finding(
                "layer-kept",
                "warning",
                say(
                    "{beside} things of the kind '{words}' were read as edges, since the rest makes no plate",
                    beside=len(beside),
                    words=every(sorted({t.beside for t in beside}, key=str)),
                ),
                beside[0].where.said(),
                say("name the layers to read with --layers if this is wrong"),
            )
        )
    return full


def _assemble(found: Gathered, repair: bool, texts: list[tuple[float, float]]) -> Assembly:
    out = Assembly(findings=list(found.findings))
    out.findings += bridge_findings(found.bridges, MAX_LISTED)
    loops = found.loops
    bordered = Bordered(loops, None, None, Counter())
    if len(loops) > 2:
        tree, crossings = nest(loops)
        bordered = without_border(tree, texts, bool(found.branches))
        if bordered.finding is not None:
            out.findings.append(bordered.finding)
            out.left_aside.update(bordered.removed)
            loops = bordered.loops
    more, findings, aside = judge_chains(found.chains, loops, repair, bordered.box)
    more, flaws = self_crossings(more)  # what is closed now has not been looked at yet
    out.findings += findings + flaws
    out.left_aside.update(aside)
    out.findings += branch_findings(found.branches, loops, repair, bordered.box)
    loops = loops + more
    if not loops:
        return out
    if len(found.loops) <= 2 or more or bordered.box is not None:
        tree, crossings = nest(loops)
    out.findings += crossings
    tree, findings = recognised(tree, repair)
    out.findings += findings + _marking_layers(tree) + _stepped_holes(tree) + _in_openings(tree)
    out.regions = regions_of(tree)
    return out


def _marking_layers(tree: Nest) -> list[Finding]:
    """Return a warning about closed outlines on layers whose name speaks of marking."""
    names = sorted({loop.layer for loop in tree.loops if marks_only(loop.layer)})
    if not names or len({loop.layer for loop in tree.loops}) == 1:
        return []
    return [
        Finding(
            "marking-layer",
            "warning",
            say(
                "outlines on the layer '{layers}' were read as cut, though its name speaks of marking",
                layers=every(names[:4]),
            ),
            "",
            say("name only the layers to cut with --layers"),
        )
    ]


def _stepped_holes(tree: Nest) -> list[Finding]:
    """Return a warning about discs in round holes of the same centre: countersinks are drawn like that."""
    found: list[Loop] = []
    for i, loop in enumerate(tree.loops):
        if tree.depth[i] >= 2 and tree.depth[i] % 2 == 0 and _concentric(loop, tree, i):
            found.append(loop)
    if not found:
        return []
    return [
        Finding(
            "disc-in-hole",
            "warning",
            say(
                "{found} round parts lie in round holes of the same centre; a countersink or a step may be meant",
                found=len(found),
            ),
            found[0].where.said(),
            say("delete the circle that is not cut through"),
        )
    ]


def _concentric(loop: Loop, tree: Nest, i: int) -> bool:
    """Return whether a loop is a circle about the centre of the circle directly around it."""
    around = tree.loops[tree.parent[i]]
    if loop.circle is None or around.circle is None:
        return False
    return max(abs(a - b) for a, b in zip(loop.circle[:2], around.circle[:2], strict=True)) < 0.01


def _in_openings(tree: Nest) -> list[Finding]:
    """Return a finding about parts drawn in the openings of another part: cut from its waste, or a frame around all."""
    inner = [i for i, loop in enumerate(tree.loops) if tree.depth[i] == 2 and not _concentric(loop, tree, i)]
    if not inner:
        return []
    around = {tree.parent[tree.parent[i]] for i in inner}
    frame = any(is_rectangle(tree.loops[i]) for i in around)
    return [
        Finding(
            "parts-in-openings",
            "warning" if frame else "note",
            say("{inner} parts lie in openings of another part", inner=len(inner)),
            tree.loops[min(around)].where.said(),
            say("if the outer one is only a frame, delete it or read the other layers with --layers"),
        )
    ]


def regions_of(tree: Nest) -> list[tuple[Region, str]]:
    """Return the outlines of even depth with the holes directly in them, largest first."""
    regions: list[tuple[Region, str]] = []
    inside = tree.children()
    for i, loop in enumerate(tree.loops):
        if tree.depth[i] % 2 == 0:
            holes = tuple(to_contour(tree.loops[k]) for k in inside[i])
            regions.append((Region(to_contour(loop), holes), loop.layer))
    return sorted(regions, key=lambda r: -r[0].outer.area)
