"""The sections of a DXF file: header variables, layers, blocks and the entities drawn in model space."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from cutplan.errors import DrawingError
from cutplan.files.dxf.tags import Tags
from cutplan.files.limits import MAX_VALUE
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
    codes, values = tags.codes, tags.values
    starts = [i for i, code in enumerate(codes) if code == 0]
    starts.append(len(codes))
    out = Sections(tags, {}, {}, {}, [], list(tags.findings))
    section = ""
    seen: set[str] = set()
    block: Block | None = None
    ended = False
    closed = True
    for k in range(len(starts) - 1):
        start, stop = starts[k], starts[k + 1]
        kind = values[start].strip().upper()
        if kind == "SECTION":
            if section and not closed:
                out.findings.append(_repair(say("a section without its end was closed"), tags.place(start)))
            section = _value(tags, start, stop, 2).upper()
            seen.add(section)
            closed = False
            block = None
            if section == "HEADER":
                _read_header(tags, start, stop, out.header)
        elif kind == "ENDSEC":
            closed = True
            section = ""
            block = None
        elif kind == "EOF":
            ended = True
            break
        elif section == "TABLES":
            if kind == "LAYER":
                _read_layer(tags, start, stop, out.layers)
        elif section == "BLOCKS":
            if kind == "BLOCK":
                block = Block(_value(tags, start, stop, 2), start, stop)
                out.blocks.setdefault(block.name.lower(), block)
            elif kind == "ENDBLK":
                block = None
            elif block is not None:
                block.entities.append(Entity(kind, start, stop))
        elif section == "ENTITIES" or (not seen and kind in _DRAWN | {"VERTEX", "SEQEND"}):
            out.entities.append(Entity(kind, start, stop))
    if not seen & _SECTION_NAMES and not out.entities:
        raise DrawingError(
            say("the file is not a DXF drawing"),
            say("no section and no entity found"),
            say("export the flat pattern again as DXF (R12 to R2018) or SVG"),
        )
    where = tags.place(max(0, len(codes) - 1))
    if ended and not closed:
        out.findings.append(_repair(say("the last section without its end was closed"), where))
    elif not ended and closed:
        out.findings.append(
            Finding(
                "file-cut-short",
                "warning",
                say("the file ends without its end mark"),
                where,
                say("see that no part is missing"),
            )
        )
    elif not ended:
        out.findings.append(
            Finding(
                "file-cut-short",
                "error",
                say("the file breaks off in the middle of a section: what came after is missing"),
                where,
                say("export the drawing again, or use --repair to take what is there"),
            )
        )
    return out


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
    hidden = bool(flags & 1) or colour < 0
    plotted = _value(tags, start, stop, 290) != "0"
    layers[name.lower()] = Layer(name, hidden, _value(tags, start, stop, 6).upper(), plotted)


def _whole(text: str) -> int:
    try:
        return int(float(text))
    except (ValueError, OverflowError):
        return 0
