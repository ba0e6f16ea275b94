"""The bytes of a file as lines of text, or the word for what they really are."""

from __future__ import annotations

import re

from cutplan.errors import DrawingError
from cutplan.findings import Finding
from cutplan.texts import Message, say

_MAGIC: tuple[tuple[bytes, Message], ...] = (
    (b"PK\x03\x04", say("a zip archive")),
    (b"%PDF", say("a PDF document")),
    (b"\x89PNG", say("a PNG picture")),
    (b"\xff\xd8\xff", say("a JPEG picture")),
    (b"GIF8", say("a GIF picture")),
    (b"BM", say("a BMP picture")),
    (b"\x1f\x8b", say("a gzip archive")),
    (b"7z\xbc\xaf", say("a 7z archive")),
    (b"Rar!", say("a RAR archive")),
    (b"II*\x00", say("a TIFF picture")),
    (b"MM\x00*", say("a TIFF picture")),
    (b"\x7fELF", say("a program")),
    (b"MZ", say("a program")),
    (b"\xd0\xcf\x11\xe0", say("an office or CAD part file, not a drawing exchange file")),
    (b"ISO-10303-21", say("a STEP solid model")),
    (b"%!PS", say("a PostScript file")),
    (b"glTF", say("a 3D scene")),
    (b"version https://git-lfs", say("a pointer to a large file that was not downloaded")),
    (b"SQLite format", say("a database")),
)

_HINT = say("export the flat pattern again as DXF (R12 to R2018) or SVG")


def refuse_other_kinds(data: bytes) -> None:
    """Raise DrawingError, naming what the file really is, when its first bytes say so."""
    head = data[:512].lstrip()
    if not data.strip(b"\x00 \t\r\n"):
        raise DrawingError(say("the file is empty"), hint=_HINT)
    if re.match(rb"AC[12]\d\d\d(\x00|[^\x20-\x7e\r\n])", head) or re.match(rb"AC1\.\d", head):
        raise DrawingError(say("the file is a DWG drawing, which only its own program can read"), hint=_HINT)
    for magic, kind in _MAGIC:
        if head.startswith(magic):
            raise DrawingError(say("the file is {kind}, not a DXF or SVG drawing", kind=kind), hint=_HINT)
    if re.match(rb"solid\s", head) and b"facet" in data[:4096]:
        raise DrawingError(say("the file is an STL solid, not a flat drawing"), hint=_HINT)
    low = head.lower()
    if low.startswith((b"<!doctype html", b"<html", b"<head", b"<body")) or b"<html" in data[:2048].lower():
        raise DrawingError(
            say("the file is a web page saved under a drawing's name"), hint=say("download the raw file again")
        )
    if low.startswith((b'{"', b"{\n", b"[{")):
        raise DrawingError(say("the file is JSON data, not a DXF or SVG drawing"), hint=_HINT)
    refuse_conflict_marks(data)


def refuse_conflict_marks(data: bytes) -> None:
    """Raise DrawingError when a half-done merge of two versions left its marks in the file."""
    found = re.search(rb"(?m)^<{7}( |\r?$)", data)
    if found and re.search(rb"(?m)^={7}\r?$", data) and re.search(rb"(?m)^>{7}( |\r?$)", data):
        line = data.count(b"\n", 0, found.start()) + 1
        raise DrawingError(
            say("the file holds the marks of an unfinished merge of two versions"),
            where=say("line {line}", line=line),
            hint=say("settle the merge, or fetch the file as it was before it"),
        )


def decode(data: bytes) -> tuple[str, list[Finding]]:
    """Return the text of a DXF file, whatever its encoding, and what was odd about it."""
    findings: list[Finding] = []
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        findings.append(_note("text-encoding", say("the file is written in 16-bit characters")))
        return data.decode("utf-16", errors="replace"), findings
    if data.startswith(b"\xef\xbb\xbf"):
        data = data[3:]
        findings.append(_note("text-encoding", say("a byte order mark before the first line was skipped")))
    nuls = data.count(b"\x00", 0, 4096)
    if nuls > 256 and nuls > len(data[:4096]) // 4:
        odd = data[1:4096:2].count(b"\x00")
        findings.append(_note("text-encoding", say("the file is written in 16-bit characters without a mark")))
        return data.decode("utf-16-le" if 2 * odd > nuls else "utf-16-be", errors="replace"), findings
    try:
        return data.decode("utf-8"), findings
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace"), findings


def one_kind_of_line_end(text: str) -> str:
    """Return a text with Windows, old Mac or doubled line ends in which every line ends the Unix way."""
    if "\r" in text:
        if "\r\r\n" in text:
            text = text.replace("\r\r\n", "\n")
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    return text


def _note(code: str, message: Message) -> Finding:
    return Finding(code, "note", message)
