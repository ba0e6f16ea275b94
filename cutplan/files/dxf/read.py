"""A DXF file as traces: blocks expanded, hidden and unprinted things left aside and counted."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from cutplan.errors import LimitError
from cutplan.files.dxf.line_runs import read_lines
from cutplan.files.dxf.sections import Entity, Sections, read_sections
from cutplan.files.dxf.shapes import SHAPES, Facts, Unreadable, placement, polyline
from cutplan.files.dxf.tags import Tags, read_tags
from cutplan.files.layer_words import beside_the_plate
from cutplan.files.limits import MAX_BLOCK_DEPTH, MAX_ENTITIES, MAX_LISTED, MAX_VERTICES
from cutplan.files.traces import Affine, Bulged, Run, Trace, straight
from cutplan.findings import Finding

_WORDS = {
    "TEXT": "text",
    "MTEXT": "text",
    "ATTRIB": "text",
    "ATTDEF": "text",
    "RTEXT": "text",
    "ARCALIGNEDTEXT": "text",
    "DIMENSION": "dimension",
    "ARC_DIMENSION": "dimension",
    "LARGE_RADIAL_DIMENSION": "dimension",
    "LEADER": "dimension",
    "MULTILEADER": "dimension",
    "MLEADER": "dimension",
    "TOLERANCE": "dimension",
    "HATCH": "hatch",
    "MPOLYGON": "hatch",
    "SOLID": "filled patch",
    "TRACE": "filled patch",
    "WIPEOUT": "filled patch",
    "POINT": "point",
    "XLINE": "construction line",
    "RAY": "construction line",
    "IMAGE": "picture",
    "VIEWPORT": "viewport",
    "ACAD_TABLE": "table",
    "3DFACE": "face in space",
    "MESH": "face in space",
    "OLEFRAME": "picture",
    "OLE2FRAME": "picture",
    "SHAPE": "symbol",
}
#: Kinds that may hold the plate's outline in a form that is not read: the drawing is not complete without them.
_BODIES = {"3DSOLID", "REGION", "BODY", "SURFACE", "EXTRUDEDSURFACE", "PLANESURFACE", "MLINE", "HELIX"}


@dataclass(slots=True)
class DxfContent:
    """What a DXF file draws, in file units."""

    traces: list[Trace] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    left_aside: Counter[str] = field(default_factory=Counter)
    header: dict[str, str] = field(default_factory=dict)
    text_places: list[tuple[float, float]] = field(default_factory=list)
    other_layers: dict[str, None] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Place:
    """Where entities are being drawn: the move so far, the inherited layer and linetype, the blocks entered."""

    move: Affine
    layer: str
    linetype: str
    inside: tuple[str, ...]


def read_dxf(data: bytes, wanted: frozenset[str] | None = None) -> DxfContent:
    """Return what a DXF file draws in model space.

    Parameters
    ----------
    data : bytes
        The file.
    wanted : set of str, optional
        Lower-case names of the only layers to read, hidden or not.

    Raises
    ------
    DrawingError
        If the bytes are no DXF file.
    LimitError
        If blocks and arrays expand beyond the stated limits.
    """
    sections = read_sections(read_tags(data))
    reader = _Reader(sections, wanted)
    reader.draw(sections.entities, _Place(Affine(), "", "", ()))
    reader.finish()
    return reader.out


class _Reader:
    """Walks entities and collects traces."""

    def __init__(self, sections: Sections, wanted: frozenset[str] | None) -> None:
        self.sections = sections
        self.wanted = wanted
        self.tags: Tags = sections.tags
        self.out = DxfContent(findings=list(sections.findings), header=sections.header)
        self.drawn = 0
        self.vertices = 0
        self.commas = False
        self.faults: Counter[str] = Counter()
        self.hidden: Counter[str] = Counter()
        self.kept: dict[int, Facts] = {}
        self.cache: dict[int, tuple[str, tuple[Run, ...], str, str] | None] = {}

    def draw(self, entities: list[Entity], place: _Place) -> None:
        """Add the traces of a list of entities."""
        i, n = 0, len(entities)
        alone = 0  # lines before this one are drawn one by one
        while i < n:
            entity = entities[i]
            i += 1
            kind = entity.kind
            if kind == "LINE" and not place.inside and i > alone:
                stop = i
                while stop < n and entities[stop].kind == "LINE":
                    stop += 1
                if self._lines(entities[i - 1 : stop], place):
                    i = stop
                    continue
                alone = stop
            vertices: list[Entity] = []
            first = i
            if kind in ("POLYLINE", "INSERT"):
                while i < n and entities[i].kind in ("VERTEX", "ATTRIB", "SEQEND"):
                    if entities[i].kind == "VERTEX":
                        vertices.append(entities[i])
                    elif entities[i].kind == "ATTRIB":
                        self.out.left_aside["text"] += 1
                    i += 1
                    if entities[i - 1].kind == "SEQEND":
                        break
            self.drawn += 1 + i - first
            if self.drawn > MAX_ENTITIES:
                raise LimitError(
                    f"the drawing holds more than {MAX_ENTITIES} entities with its blocks expanded",
                    self.tags.place(entity.start),
                    "keep only the layer or block of the plate",
                )
            self._one(entity, vertices, place)

    def _lines(self, entities: list[Entity], place: _Place) -> bool:
        """Draw a stretch of LINE entities at once; return False when it has to be done one by one."""
        runs = read_lines(self.tags, entities)
        if runs is None:
            return False
        self.drawn += len(entities)
        if self.drawn > MAX_ENTITIES:
            raise LimitError(
                f"the drawing holds more than {MAX_ENTITIES} entities",
                self.tags.place(entities[0].start),
                "keep only the layer of the plate",
            )
        for run in runs:
            where = self._where("LINE", run.first)
            if run.count > 1:
                where = f"{where} and the {run.count - 1} after it"
            self._add((run.layer, (straight(run.xy),), run.linetype, run.handle), place, where)
        return True

    def _one(self, entity: Entity, vertices: list[Entity], place: _Place) -> None:
        kind = entity.kind
        if kind in ("SEQEND", "VERTEX", "ENDBLK"):
            return
        cached = self.cache.get(entity.start, 0)
        if cached is None:
            return
        if cached != 0:
            assert isinstance(cached, tuple)
            self._add(cached, place, self._where(kind, entity))
            return
        facts = self.kept.get(entity.start)
        if facts is None:
            facts = Facts(self.tags, entity)
            if place.inside:
                self.kept[entity.start] = facts
        if facts.whole(67) == 1:
            self.hidden["in paper space"] += 1
            return
        if facts.whole(60) == 1:
            self.hidden["made invisible"] += 1
            return
        layer = facts.text(8, "0")
        try:
            if kind == "INSERT":
                if self.wanted is not None or self._shown(layer, place):
                    self._insert(facts, place, layer)
                return
            if kind == "POLYLINE":
                if facts.whole(70) & (16 | 64):
                    self.out.left_aside["face in space"] += 1
                    return
                runs = polyline(facts, [Facts(self.tags, v) for v in vertices])
            elif kind in SHAPES:
                runs = SHAPES[kind](facts)
            else:
                self._aside(facts, place)
                return
        except Unreadable as fault:
            self._fault(kind, entity, str(fault))
            self.cache[entity.start] = None
            return
        self.commas |= facts.commas
        result = (layer, runs, facts.text(6).upper(), facts.text(5))
        if place.inside:
            self.cache[entity.start] = result
        self._add(result, place, self._where(kind, entity))

    def _where(self, kind: str, entity: Entity) -> str:
        return f"{kind} at {self.tags.place(entity.start)}"

    def _shown(self, layer: str, place: _Place) -> bool:
        name = place.layer if layer == "0" and place.layer else layer
        if self.wanted is not None:
            if name.lower() in self.wanted:
                return True
            self.hidden["on layers not asked for"] += 1
            self.out.other_layers.setdefault(name)
            return False
        known = self.sections.layers.get(name.lower())
        if known is not None and known.hidden:
            self.hidden[f"on the hidden layer '{name}'"] += 1
            return False
        return True

    def _add(self, result: tuple[str, tuple[Run, ...], str, str], place: _Place, where: str) -> None:
        layer, runs, linetype, handle = result
        if not self._shown(layer, place):
            return
        if layer == "0" and place.layer:
            layer = place.layer
        if not place.move.is_identity:  # arcs may be squeezed into pieces of ellipses, one for each
            runs = tuple(r for run in runs for r in run.moved(place.move))
        self.vertices += sum(len(run.xy) if isinstance(run, Bulged) else 8 for run in runs)
        if self.vertices > MAX_VERTICES:
            raise LimitError(f"the drawing holds more than {MAX_VERTICES} vertices", where)
        if handle and len(handle) <= 16:
            where = f"{where}, handle {handle}"
        if linetype == "BYBLOCK" and place.linetype:
            linetype = place.linetype
        if linetype in ("", "BYLAYER", "BYBLOCK"):
            known = self.sections.layers.get(layer.lower())
            linetype = known.linetype if known is not None else ""
        beside = ""
        if self.wanted is None:
            drawn_on = self.sections.layers.get(layer.lower())
            beside = beside_the_plate(layer, linetype)
            if not beside and drawn_on is not None and not drawn_on.plotted:
                beside = "layer that is not plotted"
        self.out.traces.append(Trace(where, layer, runs, beside=beside))

    def _insert(self, facts: Facts, place: _Place, layer: str) -> None:
        """Draw a block at each of its places."""
        name = facts.text(2)
        block = self.sections.blocks.get(name.lower())
        entity = facts.entity
        if block is None:
            self._fault("INSERT", entity, f"the block '{name[:40]}' is not in the file")
            return
        if name.lower() in place.inside:
            self._fault("INSERT", entity, f"the block '{name[:40]}' holds itself")
            return
        if len(place.inside) >= MAX_BLOCK_DEPTH:
            raise LimitError(
                f"blocks are nested deeper than {MAX_BLOCK_DEPTH}",
                self.tags.place(entity.start),
                "explode the blocks before exporting",
            )
        if not block.entities:
            self.out.left_aside["empty block"] += 1
        head = Facts(self.tags, Entity("BLOCK", block.start, block.stop))
        if head.whole(70) & 4:
            self.out.findings.append(
                Finding(
                    "outside-file",
                    "warning",
                    f"the block '{name[:40]}' stands for another file, which is not opened",
                    self.tags.place(entity.start),
                    "bind it into the drawing before exporting",
                )
            )
        base = (head.number(10, 0.0), head.number(20, 0.0))
        if layer == "0" and place.layer:
            layer = place.layer
        inside = (*place.inside, name.lower())
        for move in placement(facts, base):
            self.drawn += 1
            if self.drawn > MAX_ENTITIES:
                raise LimitError(
                    f"the drawing holds more than {MAX_ENTITIES} entities with its blocks expanded",
                    self.tags.place(entity.start),
                    "keep only the layer or block of the plate",
                )
            self.draw(block.entities, _Place(place.move.after(move), layer, facts.text(6).upper(), inside))
        self.commas |= facts.commas

    def _aside(self, facts: Facts, place: _Place) -> None:
        kind = facts.entity.kind
        if kind in _BODIES:
            self.out.left_aside[f"{kind} (cannot be read)"] += 1
            return
        word = _WORDS.get(kind)
        if word is None:
            self.out.left_aside[f"unknown entity {kind[:24]}"] += 1
            return
        self.out.left_aside[word] += 1
        if word == "text" and len(self.out.text_places) < 10_000:
            try:
                xy = (facts.number(10), facts.number(20))
            except Unreadable:
                return
            m = place.move
            self.out.text_places.append((m.a * xy[0] + m.c * xy[1] + m.e, m.b * xy[0] + m.d * xy[1] + m.f))

    def _fault(self, kind: str, entity: Entity, why: str) -> None:
        self.faults["unreadable"] += 1
        if self.faults["unreadable"] <= MAX_LISTED:
            self.out.findings.append(
                Finding(
                    "entity-unreadable",
                    "error",
                    f"a {kind} cannot be drawn: {why}",
                    self.tags.place(entity.start),
                    "draw it again or delete it; --repair leaves it out",
                )
            )

    def finish(self) -> None:
        """Turn the counts into findings."""
        out = self.out
        if self.faults["unreadable"] > MAX_LISTED:
            more = self.faults["unreadable"] - MAX_LISTED
            out.findings.append(Finding("entity-unreadable", "error", f"{more} more entities cannot be drawn"))
        if self.commas:
            out.findings.append(
                Finding(
                    "decimal-comma",
                    "warning",
                    "numbers with a decimal comma were read as with a point",
                    "",
                    "check one length of the drawing",
                )
            )
        for why, count in self.hidden.items():
            out.left_aside[f"drawn {why}"] += count
        bodies = [word for word in out.left_aside if word.endswith("(cannot be read)")]
        for word in bodies:
            out.findings.append(
                Finding(
                    "solid-left-aside",
                    "warning",
                    f"{out.left_aside[word]} x {word.split(' ')[0]}: a solid or special object is not read",
                    "",
                    "explode it into lines and arcs before exporting",
                )
            )
