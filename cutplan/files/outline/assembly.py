"""From traces in file units to regions in millimetres: gather, leave aside what is no plate, check, nest."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace

from cutplan.files.curves.chord_runs import recognised
from cutplan.files.layer_words import marks_only
from cutplan.files.limits import MAX_LISTED
from cutplan.files.outline.account import Account, Aside
from cutplan.files.outline.crossings import self_crossings
from cutplan.files.outline.gather import ENCLOSES_NOTHING, Gathered, gather
from cutplan.files.outline.joining import bridge_findings
from cutplan.files.outline.judged.asked import two_readings
from cutplan.files.outline.judged.border import SHEET, Bordered, concentric, is_rectangle, without_border
from cutplan.files.outline.judged.doubts import doubts
from cutplan.files.outline.loops import Loop, to_contour
from cutplan.files.outline.loose.branches import branch_findings
from cutplan.files.outline.loose.double_edges import largest_is_a_line, without_double_edges
from cutplan.files.outline.loose.open_ends import judge_chains, judge_rings
from cutplan.files.outline.nesting import Nest, nest
from cutplan.files.outline.sheet import Sheet
from cutplan.files.outline.strokes import to_strokes
from cutplan.files.outline.unite import united
from cutplan.files.reading_options import LAYERS
from cutplan.files.repair import Repair
from cutplan.files.traces import Trace
from cutplan.findings import Finding, errors
from cutplan.geometry.region import Region
from cutplan.texts import Message, every, plural, say

#: Share of the area that must be left when things on centre line layers and the like are left aside.
_STILL_A_PLATE = 0.3
#: How much wider gaps are bridged when repair is asked for.
_REPAIR_BRIDGE = 10.0
#: What repair would rather not have done: ends taken for one may save more.
_LEFT_BY_REPAIR = ("open-line-dropped", "branch-resolved")


@dataclass(slots=True)
class Assembly:
    """Regions with their layer, largest first, and what was noticed on the way."""

    regions: list[tuple[Region, str]] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    left_aside: Counter[Message] = field(default_factory=Counter)
    asides: list[Aside] = field(default_factory=list)
    account: Account = Account()


def assemble(
    traces: list[Trace],
    mm_per_unit: float,
    *,
    repair: Repair,
    bridge_mm: float,
    sheet: Sheet,
) -> Assembly:
    """Return the regions that traces draw [mm].

    Things drawn dashed, or on layers for centre lines, dimensions and the like, are left aside as long as the rest
    still makes a plate; otherwise all is taken, and said. Repair first mends outlines with gaps, each on its own; where
    that does not do, ends further apart are taken for one. Places of texts on the sheet are in file units.
    """
    sheet = replace(sheet, texts=[(x * mm_per_unit, y * mm_per_unit) for x, y in sheet.texts])
    made = _once(traces, mm_per_unit, repair, bridge_mm, sheet)
    if repair.everything and (errors(made.findings) or any(f.code in _LEFT_BY_REPAIR for f in made.findings)):
        wider = _once(traces, mm_per_unit, repair, _REPAIR_BRIDGE * bridge_mm, sheet)
        if len(errors(wider.findings)) < len(errors(made.findings)) or wider.account.cut_mm > made.account.cut_mm:
            made = wider
    return made


def _once(traces: list[Trace], mm_per_unit: float, repair: Repair, bridge_mm: float, sheet: Sheet) -> Assembly:
    """Return the regions that traces draw when ends up to ``bridge_mm`` apart are one."""
    seen = [t for t in traces if not t.never]
    never = asides_of([t for t in traces if t.never], mm_per_unit)
    beside = [t for t in seen if t.beside]
    made = _assemble(gather([t for t in seen if not t.beside], mm_per_unit, bridge_mm), repair, sheet)
    if beside:
        made = _with_beside(made, gather(seen, mm_per_unit, bridge_mm), beside, mm_per_unit, repair, sheet)
    made.asides += never
    aside_mm = sum(a.length_mm for a in made.asides if a.column == "left_aside")
    unexplained_mm = sum(a.length_mm for a in made.asides if a.column == "unexplained")
    drawn_mm = made.account.drawn_mm + sum(a.length_mm for a in never)
    made.account = replace(made.account, drawn_mm=drawn_mm, left_aside_mm=aside_mm, unexplained_mm=unexplained_mm)
    return made


def asides_of(traces: list[Trace], mm_per_unit: float) -> list[Aside]:
    """Return traces that are not read as edges, with the reason that each carries."""
    strokes = to_strokes(traces, mm_per_unit)
    return [Aside(s.xy, s.bulge, "left_aside", t.beside) for s, t in zip(strokes, traces, strict=True) if s is not None]


def _with_beside(
    some: Assembly,
    everything: Gathered,
    beside: list[Trace],
    mm_per_unit: float,
    repair: Repair,
    sheet: Sheet,
) -> Assembly:
    """Return the reading without things on layers for centre lines and the like, or with them where none is left."""
    around = [loop for loop in everything.loops if is_rectangle(loop) and _holds(loop, some)]
    largest = max((loop.area for loop in everything.loops if not any(loop is a for a in around)), default=0.0)
    if some.regions and some.regions[0][0].outer.area >= _STILL_A_PLATE * largest:
        more = asides_of(beside, mm_per_unit)
        some.left_aside.update(t.beside for t in beside)
        some.asides += more
        some.account = replace(some.account, drawn_mm=some.account.drawn_mm + sum(a.length_mm for a in more))
        return some
    full = _assemble(everything, repair, sheet)
    if full.regions:
        full.findings.append(
            Finding(
                "layer-kept",
                "warning",
                plural(
                    "{count} thing of the kind '{words}' was read as an edge, since the rest makes no plate",
                    "{count} things of the kind '{words}' were read as edges, since the rest makes no plate",
                    len(beside),
                    words=every(sorted({t.beside for t in beside}, key=str)),
                ),
                beside[0].where.said(),
                say("name the layers to read with {layers} if this is wrong", layers=LAYERS),
            )
        )
    return full


def _holds(loop: Loop, some: Assembly) -> bool:
    """Return whether a loop lies around all of a reading that has holes of its own: a sheet, and no plate."""
    x0, y0, x1, y1 = loop.box
    boxes = [region.box for region, _ in some.regions]
    inside = all(x0 < b.xmin and y0 < b.ymin and b.xmax < x1 and b.ymax < y1 for b in boxes)
    return inside and bool(some.regions) and bool(some.regions[0][0].holes)


def _assemble(found: Gathered, repair: Repair, sheet: Sheet) -> Assembly:
    out = Assembly(findings=list(found.findings), asides=list(found.asides))
    out.findings += bridge_findings(found.bridges, MAX_LISTED)
    broken, chains = judge_rings(found.chains, found.loops, repair)
    loops = found.loops + broken.made
    bordered = Bordered(loops, None, None, Counter(), [])
    if len(loops) > 1:
        tree, crossings = nest(loops)
        if not largest_is_a_line(tree):  # the edge of a traced line is no border of a sheet
            bordered = without_border(tree, sheet, bool(found.branches))
        if bordered.finding is not None:
            out.findings.append(bordered.finding)
        if bordered.gone:
            out.left_aside.update(bordered.removed)
            out.asides += [Aside(loop.xy, loop.bulge, "left_aside", SHEET) for loop in bordered.gone]
    judged = judge_chains(chains, bordered.loops, repair, bordered.box)
    more, flaws, flat = self_crossings(judged.made)  # what is closed now has not been looked at yet
    out.findings += broken.findings + judged.findings + flaws
    out.asides += judged.asides + [Aside(loop.xy, loop.bulge, "left_aside", ENCLOSES_NOTHING) for loop in flat]
    out.left_aside.update(a.reason for a in judged.asides if a.column == "left_aside")
    out.findings += branch_findings(found.branches, bordered.loops, repair, bordered.box)
    loops = bordered.loops + more
    duplicate_mm = found.duplicate_mm + judged.duplicate_mm
    out.account = Account(found.drawn_mm, 0.0, duplicate_mm)
    if not loops:
        return out
    if len(found.loops) + len(broken.made) <= 1 or more or bordered.box is not None:
        tree, crossings = nest(loops)
    tree, crossings = _settled(tree, crossings, repair, out)
    answered = two_readings(tree, repair, sheet)
    out.findings += answered.findings
    out.asides += answered.asides
    out.left_aside.update(a.reason for a in answered.asides)
    if answered.loops is not None:
        tree, crossings = nest(answered.loops)
    out.findings += crossings
    out.account = Account(found.drawn_mm, sum(loop.length for loop in tree.loops), duplicate_mm)
    tree, findings = recognised(tree, repair)
    out.findings += findings + _marking_layers(tree) + _in_openings(tree) + doubts(tree)
    out.regions = regions_of(tree)
    return out


def _settled(tree: Nest, crossings: list[Finding], repair: Repair, out: Assembly) -> tuple[Nest, list[Finding]]:
    """Return the nest with overlapping openings united and lines drawn as two edges made one, and its crossings."""
    if tree.crossed:
        loops, findings, asides = united(tree)
        if findings:
            out.findings += findings
            out.asides += asides
            tree, crossings = nest(loops)
    left, findings, asides = without_double_edges(tree, repair)
    out.findings += findings
    out.asides += asides
    return nest(left) if left is not None else (tree, crossings)


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
            say("name only the layers to cut with {layers}", layers=LAYERS),
        )
    ]


def _concentric(loop: Loop, tree: Nest, i: int) -> bool:
    """Return whether a loop is a circle about the centre of the circle directly around it."""
    return concentric(loop, tree.loops[tree.parent[i]])


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
            plural(
                "{count} part lies in an opening of another part",
                "{count} parts lie in openings of another part",
                len(inner),
            ),
            tree.loops[min(around)].where.said(),
            say("if the outer one is only a frame, delete it or read the other layers with {layers}", layers=LAYERS),
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
