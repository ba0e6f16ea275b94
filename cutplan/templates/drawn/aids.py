"""Help for scissors and punch: centre crosses, slits to large holes, lines where a long template may be folded."""

from __future__ import annotations

from math import ceil

import numpy as np

from cutplan.drawing.model import Stroke, line
from cutplan.geometry.flatten import flatten_array
from cutplan.geometry.vector import Point
from cutplan.templates.drawn.pens import FOLD, SLIT
from cutplan.templates.drawn.slits import slits
from cutplan.templates.shapes.cross import centre_cross
from cutplan.templates.shapes.template import Template
from cutplan.templates.tiling.cells import Array
from cutplan.templates.tiling.layout import Layout, Seam

#: Templates longer than this get marks where they may be folded, or cut and joined again [mm].
LONG_MM = 700.0
_FOLD_EVERY_MM = 500.0


def aids(layout: Layout) -> tuple[Stroke, ...]:
    """Return centre crosses, slits for the scissors and fold lines of a layout's templates."""
    return tuple(s for p in layout.placed for s in _crosses_slits_folds(p.template, layout.seams))


def _crosses_slits_folds(template: Template, seams: tuple[Seam, ...]) -> list[Stroke]:
    items = [centre_cross(s, free) for s, free in zip(template.spots, _free_round(template), strict=True) if s.cross]
    edge = flatten_array(template.edge, 0.05)
    items += [line(a, b, SLIT, "slit") for a, b in slits(template, edge)]
    box = template.edge.box
    long_x = box.width >= box.height
    size = max(box.width, box.height)
    if size <= LONG_MM or template.kind == "wrap":
        return items
    pieces = ceil(size / _FOLD_EVERY_MM)
    start = box.xmin if long_x else box.ymin
    for k in range(1, pieces):
        at = _clear_of_spots(template, seams, start + size * k / pieces, long_x)
        for low, high in _spans(edge, at, long_x):
            a, b = (Point(at, low), Point(at, high)) if long_x else (Point(low, at), Point(high, at))
            items.append(line(a, b, FOLD, "fold"))
    return items


def _free_round(template: Template) -> list[float]:
    """Distance from each spot's centre to the edge of the nearest other hole [mm]."""
    spots = template.spots
    if len(spots) < 2:
        return [1e9] * len(spots)
    at = np.array([s.centre for s in spots])
    radius = np.array([s.radius_mm if s.cross else -1e9 for s in spots])
    free: list[float] = []
    for k in range(len(spots)):
        gap = np.hypot(at[:, 0] - at[k, 0], at[:, 1] - at[k, 1]) - radius
        gap[k] = 1e9
        free.append(float(gap.min()))
    return free


def _clear_of_spots(template: Template, seams: tuple[Seam, ...], at: float, along_x: bool) -> float:
    """The place nearest to ``at`` within 80 mm that meets no hole, pad or seam."""
    taken = [((s.centre.x if along_x else s.centre.y), max(s.clear_mm, s.radius_mm) + 1.0) for s in template.spots]
    taken += [(s.at, 15.0) for s in seams if s.upright == along_x]
    for step in range(81):
        for place in (at + step, at - step):
            if all(abs(place - c) > r for c, r in taken):
                return place
    return at


def _spans(edge: Array, at: float, along_x: bool) -> list[tuple[float, float]]:
    """Where a straight line across the template lies inside its edge."""
    x, y = (edge[:, 0], edge[:, 1]) if along_x else (edge[:, 1], edge[:, 0])
    x1, y1 = np.roll(x, -1), np.roll(y, -1)
    crossing = (x > at) != (x1 > at)
    t = (at - x[crossing]) / (x1[crossing] - x[crossing])
    meets = np.sort(y[crossing] + t * (y1[crossing] - y[crossing]))
    return [(float(a), float(b)) for a, b in zip(meets[::2], meets[1::2], strict=False)]
