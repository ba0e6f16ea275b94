"""A template as points and discs, which the sheet search reads, and the angles worth trying."""

from __future__ import annotations

from collections.abc import Iterable
from math import atan2, ceil, pi, radians

import numpy as np
from numpy.typing import NDArray

from cutplan.drawing.model import Stroke, ring
from cutplan.geometry.flatten import chord_count
from cutplan.geometry.segment import Arc, Line
from cutplan.templates.shapes.build import CROSS_BEYOND_MM
from cutplan.templates.shapes.template import Template
from cutplan.templates.tiling.cells import Content

#: Tags of lines that must be on paper; centre lines may be left out where nothing else is.
NEEDED = ("cut", "hole", "trace", "pad", "bend", "datum")
#: Largest distance between an arc and the chords of its points [mm].
_SAGITTA_MM = 0.05
#: Straight lines at least this long are worth keeping seams off [mm].
_WALL_MM = 20.0
#: Most points that stand for one template.
_POINTS = 6000


def needed(stroke: Stroke) -> bool:
    """Return whether a line must be on paper."""
    return stroke.tag.split(" ")[0] in NEEDED


def stroke_points(strokes: Iterable[Stroke], spacing_mm: float) -> NDArray[np.float64]:
    """Return points along strokes, ends included, at most ``spacing_mm`` apart, as an (n, 2) array [mm]."""
    rows: list[NDArray[np.float64]] = [np.empty((0, 2))]
    for stroke in strokes:
        for g in stroke.segments:
            count = ceil(g.length / spacing_mm)
            if isinstance(g, Arc):
                count = max(count, chord_count(g.radius, g.sweep, _SAGITTA_MM))
                t = np.linspace(0.0, 1.0, count + 1)
                angle = g.start_angle + g.sweep * t
                x, y = g.centre.x + g.radius * np.cos(angle), g.centre.y + g.radius * np.sin(angle)
            else:
                t = np.linspace(0.0, 1.0, count + 1)
                x = g.start.x + (g.end.x - g.start.x) * t
                y = g.start.y + (g.end.y - g.start.y) * t
            rows.append(np.column_stack((x, y)))
    return np.concatenate(rows)


def content_of(template: Template) -> Content:
    """Return the template's needed lines as points at most 1.5 mm apart (or coarser when very long) [mm]."""
    strokes = [s for s in template.lines if needed(s)]
    # a datum mark stands alone in the margin: its cross must be on paper whole
    marks = [ring(s.centre, CROSS_BEYOND_MM) for s in template.spots if s.cross and not s.radius_mm and not s.contour]
    total = sum(g.length for s in strokes for g in s.segments)
    spacing = min(max(total / _POINTS, 0.5), 2.0)
    discs = np.array([(s.centre.x, s.centre.y, s.clear_mm) for s in template.spots], dtype=np.float64).reshape(-1, 3)
    walls = [
        (g.start.x, g.start.y, g.end.x, g.end.y)
        for s in strokes
        for g in s.segments
        if isinstance(g, Line) and g.length >= _WALL_MM
    ]
    return Content(stroke_points([*strokes, *marks], spacing), discs, np.array(walls).reshape(-1, 4), spacing)


def angles_worth_trying(content: Content) -> tuple[float, ...]:
    """Return angles within a half turn [rad]: as drawn, then along the hull's longest sides, then every 7.5 degrees.

    A quarter turn more is found by the search itself, which looks at bands both ways.
    """
    from shapely import MultiPoint, get_coordinates

    hull = get_coordinates(MultiPoint(content.points).convex_hull)
    sides = np.diff(hull, axis=0)
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    chosen = [0.0]
    for k in np.argsort(-lengths, kind="stable")[:12]:
        chosen.append(-atan2(sides[k, 1], sides[k, 0]) % (0.5 * pi))
    chosen += [radians(7.5 * k) for k in range(1, 12)]
    kept: list[float] = []
    for angle in chosen:
        if all(abs((angle - k + 0.25 * pi) % (0.5 * pi) - 0.25 * pi) > radians(0.5) for k in kept):
            kept.append(angle)
    return tuple(kept)


def turned_size(content: Content, angle_rad: float) -> tuple[float, float]:
    """Return width and height of the content's box when turned [mm]."""
    box = content.turned(angle_rad).box
    return box.width, box.height


def smallest_box_angle(content: Content, angles_rad: tuple[float, ...]) -> float:
    """Return the angle [rad] at which the box is smallest; as drawn when nothing is gained."""

    def area(angle: float) -> float:
        w, h = turned_size(content, angle)
        return w * h * (1.0 if angle == 0.0 else 1.02)

    return min(angles_rad, key=area)
