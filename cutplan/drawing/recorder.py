"""A backend that draws nothing: it records where texts and strokes lie, so that a page can be judged without eyes."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import acos, ceil, cos, radians, sin
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cutplan.drawing.font import ASCENT, anchor_shift, below_base_line, text_width
from cutplan.drawing.model import Page, Stroke, Text
from cutplan.geometry.segment import Arc
from cutplan.geometry.vector import Box, Point

_Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class TextMark:
    """A text and the four corners of its (turned) bounding box, counter-clockwise [mm]."""

    text: Text
    corners: tuple[Point, Point, Point, Point]
    box: Box


@dataclass(frozen=True, slots=True)
class StrokeMark:
    """A stroke and its bounding box [mm], pen width not counted."""

    stroke: Stroke
    box: Box


@dataclass(frozen=True, slots=True)
class Record:
    """All marks of one page."""

    page: Page
    texts: tuple[TextMark, ...]
    strokes: tuple[StrokeMark, ...]

    @property
    def box(self) -> Box:
        """What the page's items cover [mm]."""
        boxes = [m.box for m in self.texts] + [m.box for m in self.strokes]
        whole = boxes[0]
        for box in boxes[1:]:
            whole = whole.joined(box)
        return whole


@dataclass(frozen=True, slots=True)
class Clash:
    """One fault of a page: two texts that meet, a text on a line, something outside, or text too small to read."""

    kind: Literal["text on text", "text on line", "outside", "small text"]
    what: str
    other: str
    at: Point


def text_corners(text: Text) -> tuple[Point, Point, Point, Point]:
    """Return the corners of a text's bounding box, turned with the text [mm]."""
    wide = text_width(text.text, text.height_mm, text.bold)
    left = -anchor_shift(text)
    low, high = -below_base_line(text.text) * text.height_mm, ASCENT * text.height_mm
    c, s = cos(radians(text.angle_deg)), sin(radians(text.angle_deg))

    def turn(x: float, y: float) -> Point:
        return Point(text.at.x + c * x - s * y, text.at.y + s * x + c * y)

    return turn(left, low), turn(left + wide, low), turn(left + wide, high), turn(left, high)


def record(page: Page) -> Record:
    """Return where everything on a page lies."""
    texts: list[TextMark] = []
    strokes: list[StrokeMark] = []
    for item in page.items:
        if isinstance(item, Text):
            corners = text_corners(item)
            xs, ys = [p.x for p in corners], [p.y for p in corners]
            texts.append(TextMark(item, corners, Box(min(xs), min(ys), max(xs), max(ys))))
        elif item.segments:
            box = item.segments[0].box
            for segment in item.segments[1:]:
                box = box.joined(segment.box)
            strokes.append(StrokeMark(item, box))
    return Record(page, tuple(texts), tuple(strokes))


def tagged(stroke: Stroke | Text, names: tuple[str, ...]) -> bool:
    """Return whether the item's tag is one of the names, or a name followed by more words."""
    return any(stroke.tag == n or stroke.tag.startswith(n + " ") for n in names)


def overlaps(
    page: Page,
    *,
    margin_mm: float = 0.0,
    clear_of: tuple[str, ...] = ("cut",),
    gap_mm: float = 0.0,
    smallest_mm: float = 3.0,
    small_allowed: tuple[str, ...] = (),
) -> tuple[Clash, ...]:
    """Return what is wrong with a page's layout; empty when all is well.

    Parameters
    ----------
    page : Page
        The page.
    margin_mm : float
        Border that the printer cannot reach [mm]; nothing may lie in it.
    clear_of : tuple of str
        Tags of strokes that no text may touch.
    gap_mm : float
        Distance that texts must keep from such strokes [mm].
    smallest_mm : float
        Least font size [mm].
    small_allowed : tuple of str
        Tags of texts that may be smaller (figures along a ruler).
    """
    seen = record(page)
    reach = Box(margin_mm, margin_mm, page.width_mm - margin_mm, page.height_mm - margin_mm).grown(1e-6)
    clashes: list[Clash] = []
    for mark in seen.texts:
        if mark.text.height_mm < smallest_mm - 1e-9 and not tagged(mark.text, small_allowed):
            clashes.append(Clash("small text", mark.text.text, f"{mark.text.height_mm:g} mm", mark.text.at))
        if not _inside(mark.box, reach):
            clashes.append(Clash("outside", mark.text.text, "margin", mark.text.at))
    for line in seen.strokes:
        if not _inside(line.box, reach):
            clashes.append(Clash("outside", line.stroke.tag or "stroke", "margin", line.box.centre))
    for i, a in enumerate(seen.texts):
        for b in seen.texts[i + 1 :]:
            if a.box.meets(b.box) and _rectangles_meet(a.corners, b.corners):
                clashes.append(Clash("text on text", a.text.text, b.text.text, b.text.at))
    for line in seen.strokes:
        if not tagged(line.stroke, clear_of):
            continue
        near = [m for m in seen.texts if m.box.grown(gap_mm).meets(line.box)]
        if near:
            points = chords(line.stroke, 0.05)
            for m in near:
                if _line_meets(points, m.corners, gap_mm):
                    clashes.append(Clash("text on line", m.text.text, line.stroke.tag, m.text.at))
    return tuple(clashes)


def _inside(box: Box, reach: Box) -> bool:
    return reach.holds(Point(box.xmin, box.ymin)) and reach.holds(Point(box.xmax, box.ymax))


def chords(stroke: Stroke, tolerance_mm: float) -> _Array:
    """Return the pieces of a stroke as straight chords, one (x0, y0, x1, y1) a row [mm]."""
    rows: list[tuple[float, float, float, float]] = []
    for s in stroke.segments:
        count = 1
        if isinstance(s, Arc) and s.radius > 2.0 * tolerance_mm:
            count = max(2, ceil(abs(s.sweep) / (2.0 * acos(1.0 - tolerance_mm / s.radius))))
        points = [s.point_at(i / count) for i in range(count + 1)]
        rows.extend((p.x, p.y, q.x, q.y) for p, q in pairwise(points))
    return np.array(rows, dtype=np.float64).reshape(-1, 4)


def _axes(corners: tuple[Point, ...]) -> tuple[Point, Point]:
    along = corners[1].minus(corners[0])
    unit = along.unit() if along.length() > 0.0 else Point(1.0, 0.0)
    return unit, unit.left()


def _rectangles_meet(a: tuple[Point, ...], b: tuple[Point, ...]) -> bool:
    for axis in (*_axes(a), *_axes(b)):
        pa, pb = [axis.dot(p) for p in a], [axis.dot(p) for p in b]
        if max(pa) < min(pb) + 1e-9 or max(pb) < min(pa) + 1e-9:
            return False
    return True


def _line_meets(rows: _Array, corners: tuple[Point, ...], gap_mm: float) -> bool:
    """Whether any chord enters the rectangle grown by a gap (clipping in the rectangle's own axes)."""
    u, v = _axes(corners)
    origin = corners[0]
    p = (rows[:, 0:2] - origin) @ np.array([u, v]).T
    q = (rows[:, 2:4] - origin) @ np.array([u, v]).T
    size = corners[2].minus(origin)
    low = np.array([-gap_mm, -gap_mm])
    high = np.array([size.dot(u) + gap_mm, size.dot(v) + gap_mm])
    step = q - p
    with np.errstate(divide="ignore", invalid="ignore"):
        t0, t1 = (low - p) / step, (high - p) / step
    enter, leave = np.minimum(t0, t1), np.maximum(t0, t1)
    still = step == 0.0
    within = (p >= low) & (p <= high)
    enter = np.where(still, np.where(within, -np.inf, np.inf), enter)
    leave = np.where(still, np.where(within, np.inf, -np.inf), leave)
    first, last = np.maximum(enter.max(axis=1), 0.0), np.minimum(leave.min(axis=1), 1.0)
    return bool(np.any(first <= last))
