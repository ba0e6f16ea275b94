"""SVG text as a tree of elements, through a parser that opens nothing, expands no nested entity and stops at limits."""

from __future__ import annotations

import gzip
import io
import re
import zlib
from dataclasses import dataclass, field
from xml.parsers import expat

from cutplan.errors import CutplanError, DrawingError, LimitError
from cutplan.files.dxf.text import refuse_conflict_marks
from cutplan.files.limits import MAX_BYTES, MAX_XML_DEPTH, MAX_XML_ELEMENTS
from cutplan.texts import Message, say
from cutplan.texts import name as named

_SVG = re.compile(rb"<([A-Za-z_][\w.-]*:)?svg[\s>/]")
#: Longest value and largest number of text entities that are accepted (drawing programs shorten namespaces with them).
_ENTITY_LENGTH, _ENTITY_COUNT = 256, 64


@dataclass(slots=True)
class Node:
    """One element: name without prefix (foreign prefixes keep theirs), attributes, children, text, line in the file."""

    tag: str
    attrib: dict[str, str]
    line: int
    children: list[Node] = field(default_factory=list)
    text: str = ""


@dataclass(frozen=True, slots=True)
class Document:
    """The root element and the words of the comments before it, which often name the drawing program."""

    root: Node
    comments: str


def looks_like_svg(data: bytes) -> bool:
    """Return whether the bytes are those of an SVG document, packed or not."""
    head = _unpacked(data[:65536], 131072) if data.startswith(b"\x1f\x8b") else data[:131072]
    if head[:2] in (b"\xff\xfe", b"\xfe\xff") or head[:4:2] == b"<\x00"[:1] * 2 or b"\x00" in head[:4]:
        head = head.replace(b"\x00", b"")
        head = head[2:] if head[:2] in (b"\xff\xfe", b"\xfe\xff") else head
    head = head.removeprefix(b"\xef\xbb\xbf").lstrip()
    if not head.startswith(b"<"):
        return False
    found = _SVG.search(head)
    if found is None:
        return False
    before = head[: found.start()].lower()
    return b"<html" not in before and b"<!doctype html" not in before


def _unpacked(data: bytes, limit: int) -> bytes:
    """Return at most ``limit`` bytes of a gzip stream; what is damaged gives what came before."""
    out = bytearray()
    try:
        with gzip.GzipFile(fileobj=io.BytesIO(data)) as stream:
            while len(out) < limit:
                piece = stream.read(65536)
                if not piece:
                    break
                out += piece
    except (OSError, EOFError, zlib.error):
        pass
    return bytes(out[:limit])


def parse_svg(data: bytes) -> Document:
    """Return the elements of an SVG file.

    Raises
    ------
    DrawingError
        If the text is not well-formed XML, its root is not ``svg``, or it declares entities that a drawing has no use
        for (nested, outside or long ones).
    LimitError
        If it has more elements, or nests deeper, than the stated limits.
    """
    if data.startswith(b"\x1f\x8b"):
        data = _unpacked(data, MAX_BYTES + 1)
        if len(data) > MAX_BYTES:
            raise LimitError(say("unpacked, the file has more than {max_bytes} MiB", max_bytes=MAX_BYTES // 2**20))
    refuse_conflict_marks(data)
    builder = _Builder()
    builder.feed(data.lstrip(b" \t\r\n") if data[:1].isspace() else data)
    root = builder.root
    if root is None or root.tag != "svg":
        raise DrawingError(
            say("the file is XML, but its root is '{root}' and not 'svg'", root=named(root.tag[:40] if root else "")),
            hint=say("export the flat pattern as SVG or DXF"),
        )
    return Document(root, builder.comments)


class _Builder:
    """Collects elements from the parser's events."""

    def __init__(self) -> None:
        self.root: Node | None = None
        self.comments = ""
        self.stack: list[Node] = []
        self.count = 0
        self.entities = 0
        self.own = ""
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
        parser.StartElementHandler = self.start
        parser.EndElementHandler = self.end
        parser.CharacterDataHandler = self.words
        parser.CommentHandler = self.comment
        parser.EntityDeclHandler = self.entity
        parser.ExternalEntityRefHandler = self.outside
        self.parser = parser

    def feed(self, data: bytes) -> None:
        try:
            self.parser.Parse(data, True)
        except expat.ExpatError as fault:
            raise DrawingError(
                say("the SVG file is not well-formed: {code}", code=named(expat.ErrorString(fault.code))),
                say("line {lineno}, column {offset}", lineno=fault.lineno, offset=fault.offset + 1),
                say("export the drawing again"),
            ) from None
        except CutplanError:
            raise
        except (ValueError, LookupError) as fault:
            raise DrawingError(
                say("the text of the SVG file cannot be decoded ({fault})", fault=named(fault))
            ) from None

    def start(self, name: str, attrib: dict[str, str]) -> None:
        self.count += 1
        if self.count > MAX_XML_ELEMENTS:
            raise LimitError(
                say("the SVG file has more than {max_xml_elements} elements", max_xml_elements=MAX_XML_ELEMENTS),
                self.place(),
            )
        if len(self.stack) >= MAX_XML_DEPTH:
            raise LimitError(
                say("the SVG file nests deeper than {max_xml_depth} elements", max_xml_depth=MAX_XML_DEPTH),
                self.place(),
            )
        prefix, _, local = name.rpartition(":")
        if self.root is None:
            self.own = prefix
        node = Node(local if prefix in ("", "svg", self.own) else name, attrib, self.parser.CurrentLineNumber)
        if self.stack:
            self.stack[-1].children.append(node)
        else:
            self.root = node
        self.stack.append(node)

    def end(self, name: str) -> None:
        self.stack.pop()

    def words(self, text: str) -> None:
        if self.stack and self.stack[-1].tag == "style" and len(self.stack[-1].text) < 1_000_000:
            self.stack[-1].text += text

    def comment(self, text: str) -> None:
        if len(self.comments) < 4000:
            self.comments += " " + text[:1000]

    def entity(
        self,
        name: str,
        is_parameter: bool,
        value: str | None,
        base: str | None,
        system: str | None,
        public: str | None,
        notation: str | None,
    ) -> None:
        self.entities += 1
        harmless = (
            not is_parameter
            and value is not None
            and system is None
            and public is None
            and notation is None
            and len(value) <= _ENTITY_LENGTH
            and self.entities <= _ENTITY_COUNT
            and not set(value) & set("&%<")
        )
        if not harmless:
            raise DrawingError(
                say(
                    "the SVG file declares the entity '{entity}', which a drawing has no use for",
                    entity=named(name[:40]),
                ),
                self.place(),
                say("it may be meant to do harm; export the drawing again with a drawing program"),
            )

    def outside(self, context: str, base: str | None, system: str | None, public: str | None) -> int:
        raise DrawingError(
            say("the SVG file asks for another file to be read into it"),
            self.place(),
            say("it is not opened; export it again"),
        )

    def place(self) -> Message:
        return say("line {line}", line=self.parser.CurrentLineNumber)
