"""The picture for the user's eye: outline and holes found, numbered, drawn over the first photograph."""

from __future__ import annotations

import io

import numpy as np

from cutplan.geometry.contour import Contour
from cutplan.photo.picture import Picture
from cutplan.photo.plate import Traced, to_marks

#: Longest side of the picture [px].
_LONGEST = 1800
_OUTLINE, _HOLE, _TEXT = (255, 40, 200), (0, 230, 255), (255, 255, 0)


def confirmation(traced: Traced, picture: Picture) -> bytes:
    """Return a PNG of the first picture with the outline and the holes found drawn over it."""
    from PIL import Image, ImageDraw, ImageFont

    shrink = min(1.0, _LONGEST / max(picture.width, picture.height))
    image = Image.fromarray(picture.rgb).resize((round(picture.width * shrink), round(picture.height * shrink)))
    draw = ImageDraw.Draw(image)
    font = ImageFont.load_default(size=30)
    contours = [traced.region.outer, *(h.contour for h in traced.holes)]
    for number, contour in enumerate(contours):
        px = shrink * _pixels(traced, contour)
        colour = _HOLE if number else _OUTLINE
        draw.line([tuple(p) for p in [*px.tolist(), px[0].tolist()]], fill=colour, width=3)
        if number:
            x, y = px[:, 0].max() + 6.0, px[:, 1].mean() - 16.0
            label = traced.holes[number - 1].name + ("" if traced.holes[number - 1].proved else "?")
            draw.text((x, y), label, fill=_TEXT, font=font, stroke_width=3, stroke_fill=(0, 0, 0))
    out = io.BytesIO()
    image.save(out, "PNG", optimize=False)
    return out.getvalue()


def _pixels(traced: Traced, contour: Contour) -> np.ndarray:
    points = []
    for s in contour.segments:
        many = max(2, int(s.length / 1.5))
        points += [tuple(s.point_at(i / many)) for i in range(many)]
    xy = to_marks(traced, np.array(points))
    height = float(np.median(traced.outline.height))
    views = traced.solved.adjusted.views
    return views.pixels(0, np.column_stack([xy, np.full(len(xy), height)]))
