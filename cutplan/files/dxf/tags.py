"""DXF group codes and values from ASCII or binary files, forgiving where a file is damaged."""

from __future__ import annotations

import re
import struct
from dataclasses import dataclass, field

from cutplan.errors import DrawingError, LimitError
from cutplan.files.dxf.text import decode, one_kind_of_line_end
from cutplan.files.limits import MAX_LINES
from cutplan.files.where import Where
from cutplan.findings import Finding
from cutplan.texts import Message, say

BINARY_MARK = b"AutoCAD Binary DXF\r\n\x1a\x00"
_NAME = re.compile(r"\*?[A-Z][A-Z0-9_]{1,40}$")
_HIGHEST_CODE = 1071
#: Lines that are split at a time, an even number: the text of group codes need not be kept.
_CHUNK = 1_000_000


@dataclass(slots=True)
class Tags:
    """Group codes with their values; ``lines`` tells the line of each code where lines were skipped."""

    codes: list[int]
    values: list[str]
    lines: list[int] | None = None
    findings: list[Finding] = field(default_factory=list)
    binary: bool = False

    def line(self, index: int) -> int:
        """Return the line of the file (from 1) that holds the group code at an index; 0 for binary files."""
        if self.binary:
            return 0
        return self.lines[index] if self.lines is not None else 2 * index + 1

    def place(self, index: int) -> Message:
        """Return words for a place in the file."""
        return say("value {index}", index=index) if self.binary else say("line {line}", line=self.line(index))

    def where(self, kind: str, index: int, handle: str = "") -> Where:
        """Return the place of an entity."""
        return Where(kind, 0, index, handle) if self.binary else Where(kind, self.line(index), 0, handle)


def read_tags(data: bytes) -> Tags:
    """Return all tags of a DXF file.

    Raises
    ------
    DrawingError
        If the bytes hold no pair of group code and value that DXF knows.
    """
    if data.startswith(BINARY_MARK):
        return _binary(data)
    text, findings = decode(data)
    text = one_kind_of_line_end(text)
    if text.count("\n") > MAX_LINES:
        raise LimitError(
            say("the file has more than {max_lines} lines", max_lines=MAX_LINES),
            hint=say("keep only the layer of the plate"),
        )
    tags = _paired(text) or _resynchronised(text.split("\n"))
    tags.findings[:0] = findings
    return tags


def _paired(text: str) -> Tags | None:
    """Return the tags when every second line is a group code up to the end mark, else None."""
    tags = Tags([], [])
    rest = text.rstrip()
    while rest:
        lines = rest.split("\n", _CHUNK)
        rest = lines.pop() if len(lines) > _CHUNK else ""
        codes, values = lines[0::2], lines[1::2]
        end = _end(codes, values)
        if end is not None:
            if any(line.strip() for line in lines[2 * end :]) or rest:
                where = say("line {line}", line=2 * (len(tags.codes) + end) + 1)
                tags.findings.append(
                    Finding("text-after-end", "note", say("text after the end mark was ignored"), where)
                )
            codes, values, rest = codes[:end], values[:end], ""
        try:
            tags.codes.extend(map(int, codes))
        except ValueError:
            return None
        tags.values.extend(values)
    n = min(len(tags.codes), len(tags.values))
    del tags.codes[n:], tags.values[n:]
    if n == 0 or min(tags.codes) < -5 or max(tags.codes) > _HIGHEST_CODE:
        return None
    return tags


def _end(codes: list[str], values: list[str]) -> int | None:
    """Return the number of tags up to and with the end mark, None where there is none."""
    start = 0
    while True:
        try:
            start = values.index("EOF", start) + 1
        except ValueError:
            return None
        if codes[start - 1].strip() == "0":
            return start


def _code(line: str) -> int | None:
    line = line.strip()
    if not line or len(line) > 5 or not line.lstrip("-").isdecimal():
        return None
    value = int(line) if line.isascii() else -99
    return value if -5 <= value <= _HIGHEST_CODE else None


def _resynchronised(lines: list[str]) -> Tags:
    """Return tags from lines with damage: skip from a bad code to the next entity start."""
    codes: list[int] = []
    values: list[str] = []
    at: list[int] = []
    findings: list[Finding] = []
    i, n = 0, len(lines)
    damage = 0
    while i < n and not lines[i].strip():
        i += 1
    while i + 1 < n:
        code = _code(lines[i])
        bad = code is None or (code == 0 and not _NAME.match(lines[i + 1].strip()))
        if not bad:
            assert code is not None
            codes.append(code)
            values.append(lines[i + 1])
            at.append(i + 1)
            if code == 0 and lines[i + 1].strip() == "EOF":
                break
            i += 2
            continue
        start = i
        if not any(line.strip() for line in lines[i:]):
            break
        while i + 1 < n and not (lines[i].strip() == "0" and _NAME.match(lines[i + 1].strip())):
            i += 1
        damage += 1
        if damage <= 10 and codes:
            findings.append(
                Finding(
                    "damaged-text",
                    "warning",
                    say("lines that are not group code and value were skipped"),
                    say("lines {start} to {i}", start=start + 1, i=i),
                    say("look at what is drawn there, or export the drawing again"),
                )
            )
    if 0 not in codes:
        raise DrawingError(
            say("the file is not a DXF drawing"),
            say("no group code 0 with an entity name found"),
            say("export the flat pattern again as DXF (R12 to R2018) or SVG"),
        )
    return Tags(codes, values, at, findings)


def _width(code: int) -> str:
    """Return the kind of value of a group code in binary files."""
    if code < 10 or 100 <= code <= 102 or code == 105 or 300 <= code < 310 or 320 <= code < 370:
        return "text"
    if 10 <= code < 60 or 110 <= code < 150 or 210 <= code < 240 or 460 <= code < 470 or 1010 <= code < 1060:
        return "double"
    if 60 <= code < 80 or 170 <= code < 180 or 270 <= code < 290 or 370 <= code < 390 or 400 <= code < 410:
        return "short"
    if 1060 <= code < 1071:
        return "short"
    if 90 <= code < 100 or 420 <= code < 430 or 440 <= code < 460 or code == 1071:
        return "long"
    if 160 <= code < 170:
        return "longlong"
    if 290 <= code < 300:
        return "byte"
    if 310 <= code < 320 or code == 1004:
        return "chunk"
    return "text"


_KIND = {code: _width(code) for code in range(_HIGHEST_CODE + 1)}
_FIXED = {"double": ("<d", 8), "short": ("<h", 2), "long": ("<i", 4), "longlong": ("<q", 8), "byte": ("<B", 1)}


def _binary(data: bytes) -> Tags:
    """Return the tags of a binary DXF file: one-byte codes up to R12, two-byte codes after."""
    start = len(BINARY_MARK)
    wide = len(data) > start + 1 and data[start + 1] == 0
    codes: list[int] = []
    values: list[str] = []
    findings: list[Finding] = []
    i, n = start, len(data)
    ended = False
    while i < n:
        code, i = _binary_code(data, i, wide)
        if code is None:
            break
        kind = _KIND.get(code)
        if kind is None:
            findings.append(_no_such_code(code, i))
            ended = True
            break
        value, i = _binary_value(data, i, kind)
        if value is None:
            break
        codes.append(code)
        values.append(value)
        if len(codes) > MAX_LINES // 2:
            raise LimitError(
                say("the file has more than {max_lines} values", max_lines=MAX_LINES // 2),
                hint=say("keep only the layer of the plate"),
            )
        if code == 0 and value == "EOF":
            ended = True
            break
    if 0 not in codes:
        raise DrawingError(
            say("the binary DXF file holds nothing that can be read"), hint=say("export the drawing again")
        )
    if not ended:
        findings.append(
            Finding(
                "file-cut-short",
                "warning",
                say("the binary file ends in the middle of a value"),
                say("byte {count}", count=n),
            )
        )
    return Tags(codes, values, None, findings, binary=True)


def _binary_code(data: bytes, i: int, wide: bool) -> tuple[int | None, int]:
    """The group code at a byte, and where its value begins; None where the file ends."""
    if not wide and data[i] != 255:
        return data[i], i + 1
    if wide and i + 2 > len(data):
        return None, i
    i += 0 if wide else 1
    return int.from_bytes(data[i : i + 2], "little", signed=True), i + 2


def _binary_value(data: bytes, i: int, kind: str) -> tuple[str | None, int]:
    """The value at a byte as text, and where it ends; None where the file ends in it."""
    if kind == "text":
        stop = data.find(b"\x00", i)
        if stop < 0:
            return None, i
        raw = data[i:stop]
        try:
            return raw.decode("utf-8"), stop + 1
        except UnicodeDecodeError:
            return raw.decode("cp1252", errors="replace"), stop + 1
    if kind == "chunk":
        size = data[i] if i < len(data) else 0
        return "", i + 1 + size
    layout, size = _FIXED[kind]
    if i + size > len(data):
        return None, i
    return repr(struct.unpack_from(layout, data, i)[0]), i + size


def _no_such_code(code: int, i: int) -> Finding:
    return Finding(
        "damaged-text",
        "error",
        say("the file holds a group code {code} that does not exist", code=code),
        say("byte {i}", i=i),
        say("export the drawing again"),
    )
