"""Small DXF and SVG texts for tests, written without the program's own writer."""

from __future__ import annotations

from pathlib import Path

from cutplan.geometry.segment import Arc, Segment


def dxf(*entities: str, header: str = "9\n$INSUNITS\n70\n4\n", tables: str = "", blocks: str = "") -> str:
    """Return a DXF text with the given entities, each as written by :func:`entity`."""
    return (
        f"0\nSECTION\n2\nHEADER\n{header}0\nENDSEC\n"
        f"0\nSECTION\n2\nTABLES\n{tables}0\nENDSEC\n"
        f"0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n"
        f"0\nSECTION\n2\nENTITIES\n{''.join(entities)}0\nENDSEC\n0\nEOF\n"
    )


def entity(kind: str, *pairs: tuple[int, object], layer: str = "0") -> str:
    """Return an entity from group codes and values."""
    return f"0\n{kind}\n8\n{layer}\n" + "".join(f"{code}\n{value}\n" for code, value in pairs)


def line(x0: float, y0: float, x1: float, y1: float, layer: str = "0") -> str:
    return entity("LINE", (10, x0), (20, y0), (11, x1), (21, y1), layer=layer)


def arc(x: float, y: float, r: float, start: float, end: float, layer: str = "0") -> str:
    return entity("ARC", (10, x), (20, y), (40, r), (50, start), (51, end), layer=layer)


def circle(x: float, y: float, r: float, layer: str = "0") -> str:
    return entity("CIRCLE", (10, x), (20, y), (40, r), layer=layer)


def polyline(points: list[tuple[float, ...]], *, closed: bool = True, layer: str = "0") -> str:
    """Return an LWPOLYLINE through (x, y) or (x, y, bulge)."""
    pairs: list[tuple[int, object]] = [(90, len(points)), (70, int(closed))]
    for p in points:
        pairs += [(10, p[0]), (20, p[1])]
        if len(p) > 2:
            pairs.append((42, p[2]))
    return entity("LWPOLYLINE", *pairs, layer=layer)


def box(x: float, y: float, w: float, h: float, layer: str = "0") -> str:
    """Return a rectangle of four LINE entities."""
    c = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
    return "".join(line(*c[i], *c[(i + 1) % 4], layer=layer) for i in range(4))


def save(folder: Path, text: str | bytes, name: str = "plate.dxf") -> Path:
    """Write a drawing and return its path."""
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def svg(body: str, size: str = 'width="200mm" height="100mm" viewBox="0 0 200 100"', head: str = "") -> str:
    """Return an SVG text."""
    return (
        f'<?xml version="1.0"?>{head}<svg xmlns="http://www.w3.org/2000/svg" '
        f'xmlns:xlink="http://www.w3.org/1999/xlink" {size}>{body}</svg>'
    )


def loose(s: Segment) -> str:
    """Return one segment as an entity of its own, with all its digits."""
    if not isinstance(s, Arc):
        return entity("LINE", (10, s.start.x), (20, s.start.y), (11, s.end.x), (21, s.end.y))
    if s.is_circle:
        return entity("CIRCLE", (10, s.centre.x), (20, s.centre.y), (40, s.radius))
    return polyline([(s.start.x, s.start.y, s.bulge), (s.end.x, s.end.y)], closed=False)
