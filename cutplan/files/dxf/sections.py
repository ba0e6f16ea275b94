"""The sections of a DXF file: header variables, layers, blocks and the entities drawn in model space."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

from cutplan.errors import DrawingError
from cutplan.files.dxf.tags import Tags
from cutplan.files.limits import MAX_VALUE
from cutplan.files.reading_options import REPAIR
from cutplan.findings import Finding
from cutplan.texts import Message, say


class Entity(NamedTuple):
    """An entity as a slice of the tags; ``start`` is the tag with group code 0."""

    kind: str
    start: int
    stop: int


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer as far as reading needs it."""

    name: str
    hidden: bool
    linetype: str
    plotted: bool = True
    frozen: bool = False


@dataclass(slots=True)
class Block:
    """A block definition: base point in tags, entities, and whether it stands for an outside file."""

    name: str
    start: int
    stop: int
    entities: list[Entity] = field(default_factory=list)


@dataclass(slots=True)
class Sections:
    """All that a DXF file says, still as text."""

    tags: Tags
    header: dict[str, str]
    layers: dict[str, Layer]
    blocks: dict[str, Block]
    entities: list[Entity]
    findings: list[Finding]


_SECTION_NAMES = {"HEADER", "CLASSES", "TABLES", "BLOCKS", "ENTITIES", "OBJECTS", "THUMBNAILIMAGE", "ACDSDATA"}
#: The most used entity of each family; a file that has none of these words is not a drawing.
_DRAWN = {"LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "ELLIPSE", "SPLINE", "INSERT", "POINT", "TEXT"}


def read_sections(tags: Tags) -> Sections:
    """Sort tags into sections; files without sections count as one list of entities.

    Raises
    ------
    DrawingError
        If neither a section nor an entity is found.
    """
    starts = [i for i, code in enumerate(tags.codes) if code == 0]
    starts.append(len(tags.codes))
    sorter = _Sorter(Sections(tags, {}, {}, {}, [], list(tags.findings)))
    for start, stop in pairwise(starts):
        if not sorter.take(start, stop):
            break
    out = sorter.out
    if not sorter.seen & _SECTION_NAMES and not out.entities:
        raise DrawingError(
            say("the file is not a DXF drawing"),
            say("no section and no entity found"),
            say("export the flat pattern again as DXF (R12 to R2018) or SVG"),
        )
    out.findings.extend(_how_it_ends(sorter.ended, sorter.closed, tags.place(max(0, len(tags.codes) - 1))))
    return out


class _Sorter:
    """Takes one run of tags after the other and puts it where the section under way wants it."""

    def __init__(self, out: Sections) -> None:
        self.out = out
        self.section = ""
        self.seen: set[str] = set()
        self.block: Block | None = None
        self.closed = True
        self.ended = False

    def take(self, start: int, stop: int) -> bool:
        """Take the tags from ``start`` to ``stop``; False at the end mark of the file."""
        kind = self.out.tags.values[start].strip().upper()
        if kind == "EOF":
            self.ended = True
            return False
        if kind == "SECTION":
            self._open(start, stop)
        elif kind == "ENDSEC":
            self.closed, self.section, self.block = True, "", None
        elif self.section == "TABLES":
            if kind == "LAYER":
                _read_layer(self.out.tags, start, stop, self.out.layers)
        elif self.section == "BLOCKS":
            self._in_blocks(kind, start, stop)
        elif self.section == "ENTITIES" or (not self.seen and kind in _DRAWN | {"VERTEX", "SEQEND"}):
            self.out.entities.append(Entity(kind, start, stop))
        return True

    def _open(self, start: int, stop: int) -> None:
        tags = self.out.tags
        if self.section and not self.closed:
            self.out.findings.append(_repair(say("a section without its end was closed"), tags.place(start)))
        self.section = _value(tags, start, stop, 2).upper()
        self.seen.add(self.section)
        self.closed, self.block = False, None
        if self.section == "HEADER":
            _read_header(tags, start, stop, self.out.header)

    def _in_blocks(self, kind: str, start: int, stop: int) -> None:
        if kind == "BLOCK":
            self.block = Block(_value(self.out.tags, start, stop, 2), start, stop)
            self.out.blocks.setdefault(self.block.name.lower(), self.block)
        elif kind == "ENDBLK":
            self.block = None
        elif self.block is not None:
            self.block.entities.append(Entity(kind, start, stop))


def _how_it_ends(ended: bool, closed: bool, where: Message) -> list[Finding]:
    """Return what the last tags say about the file: whole, closed by us, or cut short."""
    if ended and closed:
        return []
    if ended:
        return [_repair(say("the last section without its end was closed"), where)]
    if closed:
        seen = say("the file ends without its end mark")
        return [Finding("file-cut-short", "warning", seen, where, say("see that no part is missing"))]
    return [
        Finding(
            "file-cut-short",
            "error",
            say("the file breaks off in the middle of a section: what came after is missing"),
            where,
            say("export the drawing again, or use {repair} to take what is there", repair=REPAIR),
        )
    ]


def _repair(message: Message, where: Message) -> Finding:
    return Finding("file-repaired", "note", message, where)


def _value(tags: Tags, start: int, stop: int, code: int) -> str:
    """Return the first value with a group code, stripped; empty when absent."""
    for i in range(start + 1, stop):
        if tags.codes[i] == code:
            return tags.values[i][:MAX_VALUE].strip()
    return ""


def _read_header(tags: Tags, start: int, stop: int, header: dict[str, str]) -> None:
    """Keep each header variable's first value."""
    name = ""
    for i in range(start + 1, stop):
        if tags.codes[i] == 9:
            name = tags.values[i].strip().upper()
        elif name and name not in header:
            header[name] = tags.values[i][:MAX_VALUE].strip()


def _read_layer(tags: Tags, start: int, stop: int, layers: dict[str, Layer]) -> None:
    """Keep a layer's name, visibility (frozen, or off by a negative colour) and linetype."""
    name = _value(tags, start, stop, 2)
    flags = _whole(_value(tags, start, stop, 70))
    colour = _whole(_value(tags, start, stop, 62))
    frozen = bool(flags & 1)
    plotted = _value(tags, start, stop, 290) != "0"
    layers[name.lower()] = Layer(name, frozen or colour < 0, _value(tags, start, stop, 6).upper(), plotted, frozen)


def _whole(text: str) -> int:
    try:
        return int(float(text))
    except (ValueError, OverflowError):
        return 0
