"""Layers of exact outlines written as DXF: polylines with bulges and true circles, the same bytes every time."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Iterator
from math import isfinite
from typing import TYPE_CHECKING, Any, Literal

from cutplan.errors import OutputError
from cutplan.files.dxf.sketch import Note, SketchLayer
from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Arc, Segment
from cutplan.geometry.vector import Point
from cutplan.texts import say

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.layout import Modelspace

Version = Literal["R12", "R2000"]
_NAME = re.compile(r"[A-Za-z0-9_ -]{1,31}$")


def dxf_text(layers: Iterable[SketchLayer], *, version: Version = "R2000") -> str:
    """Return the text of a DXF file in millimetres, at 1:1.

    Parameters
    ----------
    layers : iterable of SketchLayer
        What to draw; two entries of one name share the layer.
    version : {"R2000", "R12"}
        R2000 holds closed LWPOLYLINE with bulges and states millimetres ($INSUNITS 4). R12 holds POLYLINE and knows
        no unit tag: a note with the unit belongs on the drawing and in the file name.

    Raises
    ------
    OutputError
        If a layer name is no plain word, or a coordinate is not a number.

    Notes
    -----
    The text is plain ASCII and depends only on the arguments: handles count up, dates and identifiers are fixed.
    """
    import logging

    import ezdxf
    from ezdxf._options import options

    log = logging.getLogger("ezdxf")
    level, fixed = log.level, options.write_fixed_meta_data_for_testing
    log.setLevel(logging.ERROR)  # it warns that R12 has no unit tag, which is known
    options.write_fixed_meta_data_for_testing = True
    try:
        doc = ezdxf.new(version, setup=False, units=0 if version == "R12" else 4)  # type: ignore[attr-defined]
        doc.header["$MEASUREMENT"] = 1
        sheet = doc.modelspace()
        for layer in layers:
            _add_layer(doc, sheet, layer)
        _set_extents(doc, sheet)
        stream = io.StringIO()
        doc.write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = fixed
        log.setLevel(level)
    return _escaped(stream.getvalue())


def _escaped(text: str) -> str:
    """Return text with every character beyond ASCII as the escape that DXF knows."""
    if text.isascii():
        return text
    return "".join(c if ord(c) < 128 else f"\\U+{min(ord(c), 0xFFFF):04X}" for c in text)


def _add_layer(doc: Document, sheet: Modelspace, layer: SketchLayer) -> None:
    if not _NAME.match(layer.name):
        raise OutputError(
            say("a layer name must be a plain word of letters, digits, blanks, hyphens"),
            layer.name,
            say("use another name"),
        )
    name = layer.name.upper().replace(" ", "_") if doc.dxfversion == "AC1009" else layer.name
    if name not in doc.layers:
        doc.layers.add(name, color=layer.colour, linetype="CONTINUOUS" if doc.dxfversion == "AC1009" else "Continuous")
    facts: dict[str, Any] = {"layer": name}
    for contour in layer.contours:
        _add_contour(sheet, contour, facts)
    for chain in layer.chains:
        if len(chain) == 1 and isinstance(chain[0], Arc) and chain[0].is_circle:
            _add_circle(sheet, chain[0].centre, chain[0].radius, facts)
        elif chain:
            _add_polyline(sheet, list(_vertices(chain, closed=False)), False, facts)
    for point in layer.points:
        _check(point.x, point.y)
        sheet.add_point((point.x, point.y), dxfattribs=facts)
        half = 0.5 * layer.cross_mm
        if half > 0.0:
            sheet.add_line((point.x - half, point.y), (point.x + half, point.y), dxfattribs=facts)
            sheet.add_line((point.x, point.y - half), (point.x, point.y + half), dxfattribs=facts)
    for note in layer.notes:
        _add_note(sheet, note, facts)


def _add_contour(sheet: Modelspace, contour: Contour, facts: dict[str, Any]) -> None:
    circle = contour.as_circle()
    if circle is not None:
        _add_circle(sheet, circle[0], circle[1], facts)
        return
    _add_polyline(sheet, list(_vertices(contour.segments, closed=True)), True, facts)


def _add_circle(sheet: Modelspace, centre: Point, radius: float, facts: dict[str, Any]) -> None:
    _check(centre.x, centre.y, radius)
    sheet.add_circle((centre.x, centre.y), radius, dxfattribs=facts)


def _vertices(segments: Iterable[Segment], *, closed: bool) -> Iterator[tuple[float, float, float]]:
    """Yield (x, y, bulge); arcs of more than three quarters of a turn are halved, which keeps bulges small."""
    last: Segment | None = None
    for segment in segments:
        pieces = [segment]
        if isinstance(segment, Arc) and abs(segment.sweep) > 4.7:
            pieces = [segment.part(0.0, 0.5), segment.part(0.5, 1.0)]
        for piece in pieces:
            bulge = piece.bulge if isinstance(piece, Arc) else 0.0
            _check(piece.start.x, piece.start.y, bulge)
            yield piece.start.x, piece.start.y, bulge
        last = segment
    if last is not None and not closed:
        yield last.end.x, last.end.y, 0.0


def _add_polyline(
    sheet: Modelspace, vertices: list[tuple[float, float, float]], closed: bool, facts: dict[str, Any]
) -> None:
    if sheet.doc is not None and sheet.doc.dxfversion == "AC1009":
        sheet.add_polyline2d(vertices, format="xyb", close=closed, dxfattribs=facts)
    else:
        sheet.add_lwpolyline(vertices, format="xyb", close=closed, dxfattribs=facts)


def _add_note(sheet: Modelspace, note: Note, facts: dict[str, Any]) -> None:
    _check(note.at.x, note.at.y, note.height_mm)
    text = " ".join(str(note.text).split())
    where = {"insert": (note.at.x, note.at.y), "height": note.height_mm, "rotation": note.angle_deg}
    sheet.add_text(text, dxfattribs={**facts, **where})


def _check(*numbers: float) -> None:
    if not all(isfinite(v) for v in numbers):
        raise OutputError(say("a coordinate of the drawing is not a number"), hint=say("report this with the job file"))


def _set_extents(doc: Document, sheet: Modelspace) -> None:
    """Tell the extents of what is drawn, so that a viewer opens on it."""
    from ezdxf import bbox

    box = bbox.extents(sheet, fast=True)
    if box.has_data:
        low, high = box.extmin, box.extmax
        # the header's extents are taken from the layout's when the file is written
        sheet.reset_extents((low.x, low.y, 0.0), (high.x, high.y, 0.0))
        doc.header["$EXTMIN"] = (low.x, low.y, 0.0)
        doc.header["$EXTMAX"] = (high.x, high.y, 0.0)
        middle = (0.5 * (low.x + high.x), 0.5 * (low.y + high.y))
        doc.set_modelspace_vport(max(1.0, 1.05 * (high.y - low.y)), center=middle)
