"""The walk through a DXF file's entities: blocks expanded, hidden and unprinted things left aside and counted."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

from cutplan.errors import LimitError
from cutplan.files.dxf.content import BODIES, WORDS, DxfContent
from cutplan.files.dxf.dimensions import MOST, dimension_of
from cutplan.files.dxf.line_runs import read_lines
from cutplan.files.dxf.sections import Entity, Sections
from cutplan.files.dxf.shapes import SHAPES, Facts, Unreadable, placement, polyline
from cutplan.files.dxf.space import ABOVE, View
from cutplan.files.dxf.tags import Tags
from cutplan.files.layer_words import beside_the_plate
from cutplan.files.limits import MAX_BLOCK_DEPTH, MAX_ENTITIES, MAX_LISTED, MAX_VERTICES
from cutplan.files.reading_options import REPAIR
from cutplan.files.traces import Affine, Bulged, Floats, Run, Trace, straight
from cutplan.files.unit_note import unit_noted
from cutplan.files.where import Where
from cutplan.findings import Finding
from cutplan.texts import Message, say
from cutplan.texts import name as named

#: Why what stands on a layout is left aside.
IN_PAPER_SPACE = say("drawn in paper space")


@dataclass(frozen=True, slots=True)
class Place:
    """Where entities are being drawn: the move so far, the inherited layer and linetype, the blocks entered."""

    move: Affine
    layer: str
    linetype: str
    inside: tuple[str, ...]
    hidden: Message = Message("")


def _unseen(facts: Facts) -> Message:
    """Return why an entity is not seen in the drawing; empty when it is."""
    if facts.whole(67) == 1:
        return IN_PAPER_SPACE
    return say("made invisible") if facts.whole(60) == 1 else Message("")


class Reader:
    """Walks entities and collects traces."""

    def __init__(self, sections: Sections, wanted: frozenset[str] | None, view: View = ABOVE) -> None:
        self.sections = sections
        self.view = view
        self.leaning = 0
        self.first_leaning = Where()
        self.points: list[Floats] = []
        self.inserted = 0
        self.wanted = wanted
        self.tags: Tags = sections.tags
        self.out = DxfContent(findings=list(sections.findings), header=sections.header)
        self.drawn = 0
        self.vertices = 0
        self.commas = False
        self.faults: Counter[str] = Counter()
        self.hidden: Counter[Message] = Counter()
        self.bodies: Counter[str] = Counter()
        self.kept: dict[int, Facts] = {}
        self.cache: dict[int, tuple[str, tuple[Run, ...], str, str] | None] = {}

    def draw(self, entities: list[Entity], place: Place) -> None:
        """Add the traces of a list of entities."""
        i, n = 0, len(entities)
        alone = 0  # lines before this one are drawn one by one
        while i < n:
            entity = entities[i]
            i += 1
            kind = entity.kind
            if kind == "LINE" and not place.inside and i > alone and self.view.from_above:
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
                        self.out.left_aside[WORDS["TEXT"]] += 1
                    i += 1
                    if entities[i - 1].kind == "SEQEND":
                        break
            self.drawn += 1 + i - first
            if self.drawn > MAX_ENTITIES:
                raise LimitError(
                    say(
                        "the drawing holds more than {max_entities} entities with its blocks expanded",
                        max_entities=MAX_ENTITIES,
                    ),
                    self.tags.place(entity.start),
                    say("keep only the layer or block of the plate"),
                )
            self._one(entity, vertices, place)

    def _lines(self, entities: list[Entity], place: Place) -> bool:
        """Draw a stretch of LINE entities at once; return False when it has to be done one by one."""
        runs = read_lines(self.tags, entities)
        if runs is None:
            return False
        self.drawn += len(entities)
        if self.drawn > MAX_ENTITIES:
            raise LimitError(
                say("the drawing holds more than {max_entities} entities", max_entities=MAX_ENTITIES),
                self.tags.place(entities[0].start),
                say("keep only the layer of the plate"),
            )
        known: dict[tuple[str, str], bool] = {}
        for run in runs:
            where = self.tags.where("LINE", run.first.start, run.handle if len(run.handle) <= 16 else "")
            if run.count > 1:
                more = run.count - 1
                where = where._replace(more=more) if run.scattered else where._replace(after=more)
            kind = (run.layer, run.linetype)
            if known.get(kind):  # as plain as another one on this layer
                self.vertices += len(run.xy)
                self.out.traces.append(Trace(where, run.layer, (straight(run.xy),)))
                continue
            self._add((run.layer, (straight(run.xy),), run.linetype, run.handle), place, where)
            last = self.out.traces[-1]
            known[kind] = last.layer == run.layer and not last.never and not last.beside and not place.hidden
        return True

    def _one(self, entity: Entity, vertices: list[Entity], place: Place) -> None:
        kind = entity.kind
        if kind in ("SEQEND", "VERTEX", "ENDBLK"):
            return
        cached = self.cache.get(entity.start, 0)
        if cached is None:
            return
        if cached != 0:
            assert isinstance(cached, tuple)
            self._add(cached, place, self.tags.where(kind, entity.start))
            return
        facts = self.kept.get(entity.start)
        if facts is None:
            facts = Facts(self.tags, entity, self.view)
            if place.inside:
                self.kept[entity.start] = facts
        if not place.hidden:
            place = self._hide(place, _unseen(facts))
        layer = facts.text(8, "0")
        try:
            if kind == "INSERT":
                if self.wanted is None and not place.hidden and self._frozen(layer, place):
                    place = self._hide(place, self._hidden(layer, place))
                self._insert(facts, place, layer)
                return
            if kind == "POLYLINE":
                if facts.whole(70) & (16 | 64):
                    self.out.left_aside[WORDS["3DFACE"]] += 1
                    return
                runs = polyline(facts, [Facts(self.tags, v) for v in vertices])
            elif kind in SHAPES:
                runs = SHAPES[kind](facts)
            else:
                self._aside(facts, place)
                return
        except Unreadable as fault:
            if not place.hidden:
                self._fault(kind, entity, fault.why)
            self.cache[entity.start] = None
            return
        self.commas |= facts.commas
        self._note_space(facts, place, self.tags.where(kind, entity.start))
        result = (layer, runs, facts.text(6).upper(), facts.text(5))
        if place.inside:
            self.cache[entity.start] = result
        self._add(result, place, self.tags.where(kind, entity.start))

    def _note_space(self, facts: Facts, place: Place, where: Where) -> None:
        """Remember what leans, and where everything is in space."""
        if place.hidden:
            return
        self.inserted += bool(place.inside)
        if facts.leaning:
            self.leaning += 1
            if self.leaning == 1:
                self.first_leaning = where
        if facts.points is not None:
            self.points.append(facts.points)

    def _hide(self, place: Place, reason: Message) -> Place:
        """Return a place where nothing is shown, and count that; the same place without a reason."""
        if not reason:
            return place
        self.hidden[reason] += 1
        return replace(place, hidden=reason)

    def _hidden(self, layer: str, place: Place) -> Message:
        """Return why a layer is not read; empty when it is."""
        name = place.layer if layer == "0" and place.layer else layer
        if self.wanted is not None:
            if name.lower() in self.wanted:
                return Message("")
            self.out.other_layers.setdefault(name)
            return say("drawn on layers not asked for")
        known = self.sections.layers.get(name.lower())
        if known is not None and known.hidden:
            return say("drawn on the hidden layer '{layer}'", layer=named(name))
        return Message("")

    def _frozen(self, layer: str, place: Place) -> bool:
        """Return whether a block's own layer hides all that is in it: frozen does, switched off only what is on it."""
        known = self.sections.layers.get((place.layer if layer == "0" and place.layer else layer).lower())
        return known is not None and known.frozen

    def _add(self, result: tuple[str, tuple[Run, ...], str, str], place: Place, where: Where) -> None:
        layer, runs, linetype, handle = result
        if not place.hidden:
            place = self._hide(place, self._hidden(layer, place))
        if layer == "0" and place.layer:
            layer = place.layer
        if not place.move.is_identity:  # arcs may be squeezed into pieces of ellipses, one for each
            runs = tuple(r for run in runs for r in run.moved(place.move))
        self.vertices += sum(len(run.xy) if isinstance(run, Bulged) else 8 for run in runs)
        if self.vertices > MAX_VERTICES:
            raise LimitError(
                say("the drawing holds more than {max_vertices} vertices", max_vertices=MAX_VERTICES), where.said()
            )
        if handle and len(handle) <= 16:
            where = where._replace(handle=handle)
        if linetype == "BYBLOCK" and place.linetype:
            linetype = place.linetype
        if linetype in ("", "BYLAYER", "BYBLOCK"):
            known = self.sections.layers.get(layer.lower())
            linetype = known.linetype if known is not None else ""
        if place.hidden:
            self.out.traces.append(Trace(where, layer, runs, beside=place.hidden, never=True))
            return
        beside = Message("")
        if self.wanted is None:
            drawn_on = self.sections.layers.get(layer.lower())
            beside = beside_the_plate(layer, linetype)
            if not beside and drawn_on is not None and not drawn_on.plotted:
                beside = say("layer that is not plotted")
        self.out.traces.append(Trace(where, layer, runs, beside=beside))

    def _insert(self, facts: Facts, place: Place, layer: str) -> None:
        """Draw a block at each of its places."""
        name = facts.text(2)
        block = self.sections.blocks.get(name.lower())
        entity = facts.entity
        if block is None:
            self._fault("INSERT", entity, say("the block '{block}' is not in the file", block=named(name[:40])))
            return
        if name.lower() in place.inside:
            self._fault("INSERT", entity, say("the block '{block}' holds itself", block=named(name[:40])))
            return
        if len(place.inside) >= MAX_BLOCK_DEPTH:
            raise LimitError(
                say("blocks are nested deeper than {max_block_depth}", max_block_depth=MAX_BLOCK_DEPTH),
                self.tags.place(entity.start),
                say("explode the blocks before exporting"),
            )
        if not block.entities:
            self.out.left_aside[say("empty block")] += 1
        head = Facts(self.tags, Entity("BLOCK", block.start, block.stop))
        if head.whole(70) & 4:
            self.out.findings.append(
                Finding(
                    "outside-file",
                    "warning",
                    say("the block '{block}' stands for another file, which is not opened", block=named(name[:40])),
                    self.tags.place(entity.start),
                    say("bind it into the drawing before exporting"),
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
                    say(
                        "the drawing holds more than {max_entities} entities with its blocks expanded",
                        max_entities=MAX_ENTITIES,
                    ),
                    self.tags.place(entity.start),
                    say("keep only the layer or block of the plate"),
                )
            linetype = facts.text(6).upper()
            self.draw(block.entities, Place(place.move.after(move), layer, linetype, inside, place.hidden))
        self.commas |= facts.commas

    def _aside(self, facts: Facts, place: Place) -> None:
        kind = facts.entity.kind
        if kind in BODIES:
            self.bodies[kind] += 1
            self.out.left_aside[say("{kind} (cannot be read)", kind=named(kind))] += 1
            return
        word = WORDS.get(kind)
        if word is None:
            self.out.left_aside[say("unknown entity {kind}", kind=named(kind[:24]))] += 1
            return
        self.out.left_aside[word] += 1
        block = self.sections.blocks.get(facts.text(2).lower()) if word == WORDS["DIMENSION"] else None
        if kind == "DIMENSION" and not place.inside and not place.hidden and self.view.from_above:
            said = dimension_of(facts, block)
            self.out.dimensions += [said] if said and len(self.out.dimensions) < MOST else []
        if block is not None and block.name.lower() not in place.inside and len(place.inside) < MAX_BLOCK_DEPTH:
            inside = (*place.inside, block.name.lower())
            self.draw(block.entities, Place(place.move, place.layer, "", inside, word))
        if word == WORDS["TEXT"] and len(self.out.text_places) < 10_000:
            if unit := unit_noted(facts.text(1)):
                self.out.unit_notes.setdefault(unit, facts.text(1))
            try:
                xy = (facts.number(10), facts.number(20))
            except Unreadable:
                return
            m = place.move
            self.out.text_places.append((m.a * xy[0] + m.c * xy[1] + m.e, m.b * xy[0] + m.d * xy[1] + m.f))

    def _fault(self, kind: str, entity: Entity, why: Message) -> None:
        self.faults["unreadable"] += 1
        if self.faults["unreadable"] <= MAX_LISTED:
            self.out.findings.append(
                Finding(
                    "entity-unreadable",
                    "error",
                    say("a {kind} cannot be drawn: {why}", kind=named(kind), why=why),
                    self.tags.place(entity.start),
                    say("draw it again or delete it; {repair} leaves it out", repair=REPAIR),
                )
            )
