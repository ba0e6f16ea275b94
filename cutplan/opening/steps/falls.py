"""One section's work made concrete: named cuts, the bridges left, the ribs parted."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from cutplan.geometry.contour import Contour, polygon
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.fitting import Piece
from cutplan.opening.cuts.layout import Layout
from cutplan.opening.cuts.ribs import along_parts, parting, ribs_behind
from cutplan.opening.cuts.toolset import Toolset
from cutplan.opening.cuts.waste import Waste
from cutplan.opening.model import Cut, RibPart, Section
from cutplan.opening.parting.split import as_polygon, piece_mass_kg, turned_poly
from cutplan.opening.steps.order import Fall, Split, with_bridge
from cutplan.pattern.job import Job
from cutplan.tables.by_hand.drills_opening import BRIDGE_MM


@dataclass(frozen=True, slots=True)
class Work:
    """What is done for one section: cuts now, bridges (or the whole last cut) later, ribs parted between."""

    section: Section
    cuts: tuple[Cut, ...]
    bridges: tuple[Cut, ...]
    whole_last: bool
    parts: tuple[RibPart, ...]


@dataclass
class Names:
    """Running numbers of cuts and bridges over the whole plan."""

    cuts: int = 0
    bridges: int = 0
    sections: dict[int, int] = field(default_factory=dict)

    def cut(self) -> str:
        self.cuts += 1
        return f"C{self.cuts}"

    def bridge(self) -> str:
        self.bridges += 1
        return f"B{self.bridges}"


def work_of(job: Job, layout: Layout, fall: Fall, kit: Toolset, names: Names) -> Work:
    """Return the work for one falling section; ``names.sections`` holds the printed number of each section index."""
    number = names.sections[fall.section]
    bridge_at, whole = _bridge_choice(layout, fall, kit)
    cuts: list[Cut] = []
    bridges: list[Cut] = []
    for e in fall.edges:
        edge = layout.edges[e]
        owners = tuple(sorted({names.sections[s] for link in edge.links for s in link if s >= 0}))
        for p, piece in enumerate(edge.pieces):
            if whole == (e, p):
                bridges.append(_cut(layout.waste, piece, names.bridge(), "bridge", owners))
                continue
            parted = bridge_at.get((e, p))
            if parted is None:
                cuts.append(_cut(layout.waste, piece, names.cut(), edge.kind, owners))
                continue
            cuts.extend(_cut(layout.waste, q, names.cut(), edge.kind, owners) for q in parted.first)
            bridges.append(_cut(layout.waste, parted.bridge, names.bridge(), "bridge", owners))
    over = [layout.crossings[c] for c in fall.crossings]
    parts = [_numbered(parting(job, layout.waste, c, layout.edges[c.edge], kit), names) for c in over]
    # a disc cannot part a rib under metal that still stands
    parts = [
        replace(p, tool="hacksaw") if any(s.nearest(p.at)[1] < 3.0 for b in bridges for s in b.path) else p
        for p in parts
    ]
    parts += [_numbered(p, names) for p in along_parts(job, layout.sections[fall.section], fall.section)]
    section = _section(job, layout, fall.section, number, len(bridges))
    return Work(section, tuple(cuts), tuple(bridges), whole is not None, tuple(parts))


def _numbered(part: RibPart, names: Names) -> RibPart:
    return replace(part, sections=tuple(names.sections[s] for s in part.sections))


def _bridge_choice(
    layout: Layout, fall: Fall, kit: Toolset
) -> tuple[dict[tuple[int, int], Split], tuple[int, int] | None]:
    """Return the splits of the pieces that carry a bridge, or the one piece that is left whole to the last."""
    from shapely import Point as GeosPoint

    found = []
    shape = layout.sections[fall.section]

    def beside(p: Point) -> bool:
        return float(shape.distance(GeosPoint(p))) < 3.0

    for e in fall.edges:
        edge = layout.edges[e]
        avoid = [c.at for c in layout.crossings if c.edge == e]
        own = edge.kind == "edge"
        for p, piece in enumerate(edge.pieces):
            parted = with_bridge(layout.waste, piece, kit, avoid, beside, layout.drills)
            if parted is not None:
                found.append(((not own, -round(piece.length_mm, 3)), e, p, parted))
    found.sort(key=lambda f: f[0] + (f[1], f[2]))
    chosen: dict[tuple[int, int], Split] = {}
    spots: list[Point] = []
    box = layout.sections[fall.section].bounds
    apart = 0.3 * max(box[2] - box[0], box[3] - box[1])
    for _, e, p, parted in found:
        spot = parted.bridge.path[0].start
        if len(chosen) < 2 and all(spot.distance(q) > apart for q in spots) and all(e != k for k, _ in chosen):
            chosen[(e, p)] = parted
            spots.append(spot)
    if chosen:
        return chosen, None
    over = [c.at for c in layout.crossings]

    def rank(piece: Piece) -> tuple[bool, bool, bool, float]:
        borders = beside(piece.path[0].start) and beside(piece.path[-1].end)
        crossed = any(s.nearest(q)[1] < 3.0 for s in piece.path for q in over)
        return borders, piece.length_mm >= 0.6 * BRIDGE_MM, not crossed, round(piece.length_mm, 3)

    pieces = [(rank(piece), e, p) for e in fall.edges for p, piece in enumerate(layout.edges[e].pieces)]
    if not pieces:
        return {}, None
    _, e, p = max(pieces)
    return {}, (e, p)


def _cut(waste: Waste, piece: Piece, name: str, kind: str, sections: tuple[int, ...]) -> Cut:
    ribs = waste.ribs_near(piece.path)
    assert kind in ("edge", "divide", "bridge")
    return Cut(name, kind, piece.path, piece.reach, piece.tool, piece.depth_mm, piece.run_out_mm, sections, ribs)  # type: ignore[arg-type]


def _section(job: Job, layout: Layout, index: int, number: int, bridges: int) -> Section:
    shape = layout.sections[index]
    x0, y0, x1, y1 = turned_poly(shape, -layout.axis_rad).bounds
    long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    outline = as_polygon(shape.simplify(0.005))
    contour: Contour = polygon([(x, y) for x, y in outline.exterior.coords[:-1]]).oriented(ccw=True)
    from shapely import Point as Disc
    from shapely import get_parts, maximum_inscribed_circle, union_all

    clear = shape.difference(union_all([Disc(w.centre).buffer(w.radius_mm) for w in layout.windows]))
    room = max(get_parts(clear), key=lambda g: g.area, default=shape)
    spot = maximum_inscribed_circle(room, tolerance=1.0).coords[0]
    names = tuple(job.skin.ribs[r].name for r in ribs_behind(job, shape))
    return Section(number, contour, piece_mass_kg(shape, layout.limits), long, short, Point(*spot), names, bridges)
