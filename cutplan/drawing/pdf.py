"""Pages as PDF at 1:1: points of 1/72 inch, arcs as Bezier curves, real text in an embedded typeface.

The same document gives the same bytes: no clock, no random identifiers. ``/PrintScaling /None`` asks the viewer's
print dialogue not to scale; ``/UserUnit`` is never written because few readers honour it.
"""

from __future__ import annotations

from io import BytesIO
from math import cos, radians, sin
from typing import TYPE_CHECKING

from cutplan.drawing.bezier import arc_beziers
from cutplan.drawing.font import anchor_shift, drawn, pdf_font
from cutplan.drawing.model import Document, Page, Pen, Stroke, Text
from cutplan.geometry.segment import Arc
from cutplan.geometry.vector import Point
from cutplan.units import POINTS_PER_MM

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_K = POINTS_PER_MM
#: How a path is painted, by whether it is stroked and whether it is filled.
_PAINT = {(True, True): "B*", (True, False): "S", (False, True): "f*", (False, False): "n"}


def render_pdf(document: Document) -> bytes:
    """Return the document as a PDF file.

    Parameters
    ----------
    document : Document
        Pages in millimetres and metadata.

    Returns
    -------
    bytes
        The file; equal for equal documents.
    """
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    pdf_font(False), pdf_font(True)
    sink = BytesIO()
    canvas = Canvas(
        sink,
        pageCompression=1,
        invariant=1,
        lang=document.language,
        initialFontName="Sans",  # type: ignore[arg-type]  # the stubs take it for a number
    )
    canvas.setTitle(document.title)
    canvas.setSubject(document.subject)
    canvas.setAuthor(document.author)
    canvas.setCreator("cutplan")
    canvas.setProducer("cutplan")
    canvas.setKeywords(", ".join(document.keywords))
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    canvas.setViewerPreference("Duplex", "Simplex")
    for number, page in enumerate(document.pages):
        canvas.setPageSize((page.width_mm * _K, page.height_mm * _K))
        if page.label:
            canvas.addPageLabel(number, prefix=page.label)
        if page.bookmark:
            key = f"page-{number + 1}"
            canvas.bookmarkPage(key)
            canvas.addOutlineEntry(page.bookmark, key)
        _draw(canvas, page)
        canvas.showPage()
    in_text = rl_config.useA85
    rl_config.useA85 = 0  # streams as bytes: a fifth smaller than as text, and quicker
    try:
        canvas.save()
    finally:
        rl_config.useA85 = in_text
    return sink.getvalue()


def _draw(canvas: Canvas, page: Page) -> None:
    canvas.setLineJoin(1)
    pen: Pen | None = None
    for item in page.items:
        if isinstance(item, Text):
            _draw_text(canvas, item)
            continue
        if item.pen is not None and item.pen != pen:
            pen = item.pen
            canvas.setLineWidth(pen.width_mm * _K)
            canvas.setStrokeColor(_colour(pen.colour))
            canvas.setDash([d * _K for d in pen.dash_mm])
        _draw_stroke(canvas, item)


def _draw_stroke(canvas: Canvas, stroke: Stroke) -> None:
    if not stroke.segments:
        return
    path = ["n"]
    at = None
    for segment in stroke.segments:
        if at is None or segment.start.distance(at) > 1e-6:
            path.append(f"{_numbers(segment.start)} m")
        if isinstance(segment, Arc):
            path += [f"{_numbers(*curve)} c" for curve in arc_beziers(segment)]
        else:
            path.append(f"{_numbers(segment.end)} l")
        at = segment.end
    if stroke.closed:
        path.append("h")
    if stroke.fill:
        canvas.setFillColor(_colour(stroke.fill))
    # written out here: the library's own way takes three times as long for thousands of lines
    canvas.addLiteral(" ".join([*path, _PAINT[stroke.pen is not None, bool(stroke.fill)]]))


def _numbers(*points: Point) -> str:
    """Places [mm] in points of the page, to a ten thousandth."""
    return " ".join([f"{p.x * _K:.4f} {p.y * _K:.4f}" for p in points])


def _draw_text(canvas: Canvas, text: Text) -> None:
    shift = anchor_shift(text)
    c, s = cos(radians(text.angle_deg)), sin(radians(text.angle_deg))
    words = canvas.beginText()
    words.setTextTransform(c, s, -s, c, (text.at.x - shift * c) * _K, (text.at.y - shift * s) * _K)
    words.setFont("Sans-Bold" if text.bold else "Sans", text.height_mm * _K)
    words.setFillColor(_colour(text.colour))
    words.textOut(drawn(text.text))
    canvas.drawText(words)


def _colour(code: str) -> tuple[float, float, float]:
    """Return red, green and blue from 0 to 1 for ``#rrggbb``."""
    return int(code[1:3], 16) / 255.0, int(code[3:5], 16) / 255.0, int(code[5:7], 16) / 255.0
