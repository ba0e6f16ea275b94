"""Layers of exact outlines written as SVG in millimetres: one group for each layer, true arcs, the same bytes every time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape, quoteattr

from cutplan.files.dxf.sketch import SketchLayer
from cutplan.geometry.segment import Arc, Segment
from cutplan.geometry.vector import Box, Point

#: Line colours by the colour number of a layer, as cutters tell layers apart in SVG.
_COLOURS = {1: "#e00000", 3: "#008000", 4: "#008080", 5: "#0000e0", 8: "#606060"}
_BORDER_MM = 5.0


def svg_text(layers: Iterable[SketchLayer]) -> str:
    """Return layers as an SVG file whose user unit is one millimetre.

    Parameters
    ----------
    layers : iterable of SketchLayer
        What to draw, y upwards [mm]; the file's y axis points down, as SVG's does.

    Returns
    -------
    str
        The file with width and height in mm and a ``viewBox`` of the same size; a group with an ``id`` for each layer.
    """
    listed = tuple(layers)
    box = _box(listed).grown(_BORDER_MM)
    size = f'width="{_n(box.width)}mm" height="{_n(box.height)}mm" viewBox="0 0 {_n(box.width)} {_n(box.height)}"'
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', f'<svg xmlns="http://www.w3.org/2000/svg" {size} fill="none">']
    for layer in listed:
        colour = _COLOURS.get(layer.colour, "#000000")
        lines.append(f'<g id={quoteattr(layer.name.replace(" ", "-"))} stroke="{colour}" stroke-width="0.1">')
        for contour in layer.contours:
            lines.append(f'<path d="{_path(contour.segments, box)}Z"/>')
        lines += [f'<path d="{_path(chain, box)}"/>' for chain in layer.chains]
        for note in layer.notes:
            p = _place(note.at, box)
            turn = f' transform="rotate({_n(-note.angle_deg)} {p})"' if note.angle_deg else ""
            x, y = p.split()
            lines.append(
                f'<text x="{x}" y="{y}" font-size="{_n(note.height_mm)}" font-family="sans-serif" fill="{colour}" '
                f'stroke="none"{turn}>{escape(str(note.text))}</text>'
            )
        lines.append("</g>")
    return "\n".join([*lines, "</svg>"]) + "\n"


def _box(layers: Sequence[SketchLayer]) -> Box:
    boxes = [s.box for layer in layers for c in layer.contours for s in c.segments]
    boxes += [s.box for layer in layers for chain in layer.chains for s in chain]
    boxes += [
        Box(n.at.x, n.at.y, n.at.x + 0.6 * n.height_mm * len(str(n.text)), n.at.y + n.height_mm)
        for layer in layers
        for n in layer.notes
    ]
    whole = boxes[0]
    for b in boxes[1:]:
        whole = whole.joined(b)
    return whole


def _n(value: float) -> str:
    text = f"{value:.5f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _place(p: Point, box: Box) -> str:
    return f"{_n(p.x - box.xmin)} {_n(box.ymax - p.y)}"


def _path(segments: Sequence[Segment], box: Box) -> str:
    parts = [f"M{_place(segments[0].start, box)}"]
    for s in segments:
        if not isinstance(s, Arc):
            parts.append(f"L{_place(s.end, box)}")
            continue
        # in pieces below a half turn, so that one arc has one reading
        pieces = 3 if abs(s.sweep) > 3.0 else 1
        for k in range(1, pieces + 1):
            end = s.end if k == pieces else s.point_at(k / pieces)
            parts.append(f"A{_n(s.radius)} {_n(s.radius)} 0 0 {int(s.sweep < 0.0)} {_place(end, box)}")
    return "".join(parts)
