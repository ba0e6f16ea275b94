"""Valid drawings of many kinds, and mutations of them, all from a seed."""

from __future__ import annotations

import io
import random
from collections.abc import Iterator
from math import pi

import ezdxf
from drawing_help import arc, box, circle, dxf, entity, line, polyline, svg

_VERSIONS = ("R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018")


def _by_library(version: str, binary: bool) -> bytes:
    """Return a drawing with every entity kind, written by another library."""
    doc = ezdxf.new(version, units=0 if version == "R12" else 4)
    sheet = doc.modelspace()
    block = doc.blocks.new("HOLES")
    block.add_circle((0, 0), 3)
    block.add_blockref("INNER", (4, 4))
    doc.blocks.new("INNER").add_circle((0, 0), 1)
    if version == "R12":
        sheet.add_polyline2d([(0, 0, 0), (200, 0, 1), (200, 80, 0), (0, 80, 0)], format="xyb", close=True)
    else:
        sheet.add_lwpolyline([(0, 0, 0), (200, 0, 1), (200, 80, 0), (0, 80, 0)], format="xyb", close=True)
        sheet.add_ellipse((60, 40), (15, 5), 0.4)
        sheet.add_spline([(100, 20), (120, 25), (130, 50), (110, 60), (100, 20)])
        sheet.add_mtext("note")
        sheet.add_hatch().paths.add_polyline_path([(0, 0), (5, 0), (5, 5)])
    sheet.add_blockref("HOLES", (20, 20), {"row_count": 2, "column_count": 3, "row_spacing": 20, "column_spacing": 15})
    sheet.add_blockref("HOLES", (170, 40), {"xscale": -2, "yscale": 2, "rotation": 30})
    sheet.add_text("plate 4 mm")
    if binary:
        stream = io.BytesIO()
        doc.write(stream, fmt="bin")
        return stream.getvalue()
    text = io.StringIO()
    doc.write(text)
    return text.getvalue().encode(doc.output_encoding, errors="dxfreplace")


def _by_hand() -> Iterator[bytes]:
    yield dxf(box(0, 0, 100, 60), circle(20, 30, 5), arc(60, 30, 10, 0, 180), line(50, 30, 70, 30)).encode()
    yield dxf(polyline([(0, 0, 0), (90, 0, 0.4), (90, 50, 0), (0, 50, -0.2)]), circle(30, 20, 6)).encode()
    bare = "".join([box(0, 0, 80, 40), circle(10, 10, 2)])
    yield f"0\nSECTION\n2\nENTITIES\n{bare}0\nENDSEC\n0\nEOF\n".replace("\n", "\r\n").encode()
    ellipse = entity("ELLIPSE", (10, 0), (20, 0), (11, 40), (21, 3), (40, 0.5), (41, 0), (42, 2 * pi))
    knots = [(40, k) for k in (0, 0, 0, 0, 1, 2, 3, 3, 3, 3)]
    points = [(c, v) for x, y in ((0, 0), (9, 20), (20, 9), (30, 0), (20, -9), (0, 0)) for c, v in ((10, x), (20, y))]
    yield dxf(ellipse, entity("SPLINE", (70, 8), (71, 3), (72, 10), (73, 6), *knots, *points)).encode()
    yield svg(
        '<style>.a{fill:none;stroke:#000}</style><g transform="translate(5,5) scale(2)"><path class="a" '
        'd="M0 0h60v30a5 5 0 0 1-5 5H5a5 5 0 0 1-5-5z"/><circle cx="10" cy="10" r="3"/></g>'
        '<defs><rect id="r" width="5" height="4" rx="1"/></defs><use href="#r" x="30" y="20"/>'
        '<polyline points="0,0 5,5 9,0"/><polygon points="60 10 70 10 70 20"/><ellipse cx="50" cy="40" rx="9" ry="4"/>'
    ).encode()
    yield svg(
        '<path d="M10 10C20 0 40 0 50 10S60 40 50 50 Q30 60 10 50 T10 10Z"/><line x1="1" y1="2" x2="3" y2="4"/>',
        'width="400" height="300"',
    ).encode()


def corpus() -> list[bytes]:
    """Return the valid drawings."""
    files = [_by_library(version, False) for version in _VERSIONS]
    files += [_by_library(version, True) for version in ("R12", "R2000", "R2018")]
    return files + list(_by_hand())


_WORDS = (
    b"nan inf -inf 1e308 -1e308 1e-320 0 -1 99999999999999999999 1,5 1e999 2147483648 70 71 41 EOF SECTION ENDSEC "
    b'INSERT BLOCK SPLINE LWPOLYLINE VERTEX POLYLINE HOLES <g> </g> &x; <!ENTITY A z M \xff\xfe \x00 \xe9 " '
).split(b" ")


def mutated(data: bytes, rng: random.Random) -> bytes:
    """Return a file with one to six faults."""
    for _ in range(rng.randint(1, 6)):
        data = rng.choice(_MUTATIONS)(data, rng)
    return data


def _flip(data: bytes, rng: random.Random) -> bytes:
    if not data:
        return data
    out = bytearray(data)
    for _ in range(rng.randint(1, 8)):
        out[rng.randrange(len(out))] = rng.randrange(256)
    return bytes(out)


def _cut(data: bytes, rng: random.Random) -> bytes:
    return data[: rng.randrange(len(data) + 1)]


def _drop_span(data: bytes, rng: random.Random) -> bytes:
    a = rng.randrange(len(data) + 1)
    return data[:a] + data[a + rng.randint(1, 200) :]


def _repeat_span(data: bytes, rng: random.Random) -> bytes:
    a = rng.randrange(len(data) + 1)
    piece = data[a : a + rng.randint(1, 400)]
    return data[:a] + piece * rng.randint(2, 20) + data[a:]


def _line_edit(data: bytes, rng: random.Random) -> bytes:
    """Replace, drop, double or swap whole lines."""
    lines = data.split(b"\n")
    i = rng.randrange(len(lines))
    kind = rng.randrange(4)
    if kind == 0:
        lines[i] = rng.choice(_WORDS)
    elif kind == 1:
        del lines[i]
    elif kind == 2:
        lines.insert(i, lines[rng.randrange(len(lines))])
    else:
        j = rng.randrange(len(lines))
        lines[i], lines[j] = lines[j], lines[i]
    return b"\n".join(lines)


def _number(data: bytes, rng: random.Random) -> bytes:
    """Replace one number by a nasty one."""
    import re

    found = list(re.finditer(rb"\d+(\.\d+)?", data))
    if not found:
        return data
    m = rng.choice(found)
    return data[: m.start()] + rng.choice(_WORDS) + data[m.end() :]


def _line_ends(data: bytes, rng: random.Random) -> bytes:
    return data.replace(b"\n", rng.choice([b"\r\n", b"\r", b"\r\r\n", b"\n\n"]))


_MUTATIONS = (_flip, _cut, _drop_span, _repeat_span, _line_edit, _line_edit, _number, _number, _number, _line_ends)
