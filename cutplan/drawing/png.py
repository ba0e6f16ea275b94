"""Pages and figures as PNG pictures, drawn large and scaled down so that edges are smooth."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from io import BytesIO
from itertools import pairwise
from math import acos, ceil, cos, hypot, radians, sin
from typing import TYPE_CHECKING

from cutplan.drawing.font import anchor_shift, drawn, font_path
from cutplan.drawing.model import Figure, Page, Stroke, Text
from cutplan.drawing.placer.picture import as_page
from cutplan.geometry.segment import Arc
from cutplan.geometry.vector import Box
from cutplan.units import MM_PER_INCH

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw
    from PIL.ImageFont import FreeTypeFont

_Path = list[tuple[float, float]]
#: How hard a picture is packed, 0 to 9: more takes twice the time for a few per cent.
_PACKING = 3
#: How much finer a picture is drawn than it becomes: edges are smooth enough; thrice takes twice the time.
_FINER = 2


def render_png(
    picture: Page | Figure,
    dpi: float = 110.0,
    *,
    width_mm: float = 180.0,
    height_mm: float | None = None,
    under: Sequence[tuple[Box, NDArray[np.uint8]]] = (),
) -> bytes:
    """Return a page, or a figure fitted into ``width_mm`` by ``height_mm``, as a PNG file at ``dpi`` dots per inch.

    ``under`` is what lies under the items of a page: a box on it [mm] and the box's dots (rows, columns, 3) from the top, as
    many as :func:`dots_in` tells. The same picture gives the same bytes.
    """
    from PIL import Image, ImageDraw

    page = as_page(picture, width_mm, height_mm) if isinstance(picture, Figure) else picture
    wide, tall = max(1, round(page.width_mm * dpi / MM_PER_INCH)), max(1, round(page.height_mm * dpi / MM_PER_INCH))
    k = _FINER * dpi / MM_PER_INCH
    image = Image.new("RGB", (wide * _FINER, tall * _FINER), "#ffffff")
    for box, dots in under:
        image.paste(Image.fromarray(dots), (round(box.xmin * k), image.height - round(box.ymax * k)))
    draw = ImageDraw.Draw(image)
    for item in page.items:
        if isinstance(item, Text):
            _draw_text(image, draw, item, k)
        else:
            _draw_stroke(draw, item, k, image.height)
    image = image.reduce(_FINER)
    sink = BytesIO()
    image.save(sink, "PNG", dpi=(dpi, dpi), compress_level=_PACKING)
    return sink.getvalue()


def dots_in(box: Box, dpi: float) -> tuple[int, int]:
    """Return how many dots across and up a box [mm] takes while a page of ``dpi`` dots per inch is drawn."""
    k = _FINER * dpi / MM_PER_INCH
    return round(box.xmax * k) - round(box.xmin * k), round(box.ymax * k) - round(box.ymin * k)


def _draw_stroke(draw: ImageDraw, stroke: Stroke, k: float, height_px: int) -> None:
    for path in _paths(stroke, k, height_px):
        if stroke.fill and len(path) > 2:
            draw.polygon(path, fill=stroke.fill)
        if stroke.pen is None:
            continue
        width = max(1, round(stroke.pen.width_mm * k))
        if stroke.closed and path[0] != path[-1]:
            path = [*path, path[0]]
        for dash in _dashes(path, [d * k for d in stroke.pen.dash_mm]):
            draw.line(dash, fill=stroke.pen.colour, width=width, joint="curve" if width > 2 else None)


def _paths(stroke: Stroke, k: float, height_px: int) -> list[_Path]:
    """Return the stroke's runs as polylines in pixels, chords within a tenth of a pixel of the arcs."""
    runs: list[_Path] = []
    at = None
    for s in stroke.segments:
        if at is None or s.start.distance(at) > 1e-6:
            runs.append([(s.start.x * k, height_px - s.start.y * k)])
        points = [s.end]
        if isinstance(s, Arc) and s.radius * k > 0.2:
            count = max(2, ceil(abs(s.sweep) / (2.0 * acos(max(0.0, 1.0 - 0.1 / (s.radius * k))))))
            points = [s.point_at(i / count) for i in range(1, count + 1)]
        runs[-1] += [(p.x * k, height_px - p.y * k) for p in points]
        at = s.end
    return runs


def _dashes(path: _Path, pattern: list[float]) -> list[_Path]:
    """Return the drawn parts of a dashed polyline; the whole of it without a pattern."""
    if not pattern or sum(pattern) < 1.0:
        return [path]
    if len(pattern) % 2:
        pattern = pattern * 2
    drawn: list[_Path] = []
    turn, left, run = 0, pattern[0], [path[0]]
    for (x0, y0), (x1, y1) in pairwise(path):
        size, done = hypot(x1 - x0, y1 - y0), 0.0
        while size - done > left:
            done += left
            at = (x0 + (x1 - x0) * done / size, y0 + (y1 - y0) * done / size)
            if turn % 2 == 0:
                drawn.append([*run, at])
            turn = (turn + 1) % len(pattern)
            left, run = pattern[turn], [at]
        left -= size - done
        run.append((x1, y1))
    if turn % 2 == 0 and len(run) > 1:
        drawn.append(run)
    return drawn


@lru_cache(maxsize=64)
def _face(size_px: int, bold: bool) -> FreeTypeFont:
    from PIL import ImageFont

    return ImageFont.truetype(str(font_path(bold)), size_px, layout_engine=ImageFont.Layout.BASIC)


def _draw_text(image: Image, draw: ImageDraw, text: Text, k: float) -> None:
    from PIL import Image as images
    from PIL import ImageDraw as drawing

    size = max(1, round(text.height_mm * k))
    face = _face(size, text.bold)
    words = drawn(text.text)
    shift = anchor_shift(text) * k
    c, s = cos(radians(text.angle_deg)), sin(radians(text.angle_deg))
    x, y = text.at.x * k - shift * c, image.height - text.at.y * k + shift * s
    if text.angle_deg % 360.0 == 0.0:
        draw.text((round(x), round(y)), words, fill=text.colour, font=face, anchor="ls")
        return
    wide, pad = ceil(face.getlength(words)), ceil(0.3 * size) + 2
    mask = images.new("L", (wide + 2 * pad, 2 * size + 2 * pad), 0)
    base = size + pad
    drawing.Draw(mask).text((pad, base), words, fill=255, font=face, anchor="ls")
    # the base line's start is turned about the middle of the mask, and lands on (x, y)
    mx, my = pad - 0.5 * mask.width, base - 0.5 * mask.height
    turned = mask.rotate(text.angle_deg, images.Resampling.BICUBIC, expand=True)
    px, py = c * mx + s * my + 0.5 * turned.width, -s * mx + c * my + 0.5 * turned.height
    image.paste(text.colour, (round(x - px), round(y - py)), turned)
