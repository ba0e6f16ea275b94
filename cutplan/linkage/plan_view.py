"""The linkage from above as a figure: the vehicle's front up, its left on the left, at straight ahead and both locks."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutplan.drawing.model import Figure, Item, Pen, Stroke, Text, line, ring
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Box, Point
from cutplan.linkage.places.placed import over_centre_travel
from cutplan.linkage.solved.course import course, side_of
from cutplan.linkage.solved.steer import outer_joint
from cutplan.linkage.solved.vectors import MIRROR, Floats
from cutplan.linkage.study import Layout
from cutplan.texts import Reader, say

#: Half length of the line that stands for a wheel [mm].
_WHEEL_MM = 200.0
#: Share of the travel kept from over centre where the lock cannot be reached [-].
_SHORT = 0.995
_FIRM, _THIN, _AXLE = Pen(0.7), Pen(0.3, "#555555"), Pen(0.25, "#777777", (4.0, 1.0, 0.8, 1.0))
_LOCKS = (Pen(0.4, "#b3261e", (2.5, 1.2)), Pen(0.4, "#1f5fa8", (1.0, 0.9)))


def reachable(layout: Layout, shift: Floats) -> tuple[float, float]:
    """Return the travels right and left that the linkage can be drawn at [mm]: its ends, or just short of in line; ``shift`` is (3,) [mm]."""
    reach = over_centre_travel(layout, shift)
    right, left = (min(end, _SHORT * r) for end, r in zip(layout.study.travel, reach, strict=True))
    return right, left


def plan_view(layout: Layout, shift: Floats, reader: Reader) -> Figure:
    """Return the linkage straight ahead (firm) and at both locks (dashed, dotted).

    Parameters
    ----------
    layout : Layout
        The study's parameters.
    shift : ndarray, shape (3,)
        Shift of the gear [mm].
    reader : Reader
        Language of the words.
    """
    right, left = reachable(layout, shift)
    items = [*fixed_items(layout, shift, reader)]
    for travel in (left, -right):
        to_left = float(course(layout, layout.values, shift, np.array([travel]), False).left[0]) > 0.0
        pen = _LOCKS[0] if to_left else _LOCKS[1]
        items += moving_items(layout, shift, travel, pen, "lock")
    items += moving_items(layout, shift, 0.0, _FIRM, "ahead")
    return Figure(tuple(items), view_box(layout))


def played(layout: Layout, shift: Floats, travels: Sequence[float], reader: Reader) -> Figure:
    """Return the linkage at many travels [mm], each with the tag ``turn k``: shown one after the other; ``shift`` is (3,) [mm].

    Parameters
    ----------
    layout, shift, reader : Layout, ndarray, Reader
        As for :func:`plan_view`; the shift in [mm].
    travels : sequence of float
        Travels of the gear [mm]; one that cannot be reached leaves its step empty.
    """
    right, left = reachable(layout, shift)
    items = [*fixed_items(layout, shift, reader)]
    for k, travel in enumerate(travels):
        if -right <= travel <= left:
            items += moving_items(layout, shift, travel, _FIRM, f"turn {k}")
    return Figure(tuple(items), view_box(layout))


def view_box(layout: Layout) -> Box:
    """Return what must be visible [mm], the same for every shift of one study."""
    out = abs(layout.study.left.wheel.at[1]) + 165.0
    points = [p.at for n, p in layout.study.left.named() if n in ("low", "outer", "inner")]
    area = layout.study.range
    low = min([p[0] for p in points] + [layout.study.left.inner.at[0] + area.forward[0]])
    high = max([p[0] for p in points] + [layout.study.left.inner.at[0] + area.forward[1]])
    return Box(-out, min(low - 40.0, -1.02 * _WHEEL_MM), out, max(high + 40.0, 1.02 * _WHEEL_MM))


def fixed_items(layout: Layout, shift: Floats, reader: Reader) -> list[Item]:
    """Return what does not move: line of the axle, steering axes, the gear's place now where it is another, ``shift`` (3,) [mm]."""
    box = view_box(layout)
    items: list[Item] = [line((box.xmin, 0.0), (box.xmax, 0.0), _AXLE, "axle")]
    for which in ("left", "right"):
        side = side_of(layout, layout.values, shift, which)
        flip = MIRROR if which == "right" else np.ones(3)
        items.append(ring(_seen(side.low * flip), 11.0, _THIN, "#ffffff", "axis"))
    words = reader(say("front of the vehicle"))
    items.append(Text(words, Point(0.0, box.ymax - 26.0), 3.0, "middle", tag="front"))
    items.append(Stroke(_arrow(Point(0.0, box.ymax - 75.0), 40.0), _FIRM, "#000000", True, "front"))
    if np.abs(shift).max() > 0.0:
        ends = [side_of(layout, layout.values, np.zeros(3), w).inner for w in ("left", "right")]
        a, b = _seen(ends[0]), _seen(ends[1] * MIRROR)
        items.append(line(a, b, Pen(0.5, "#999999", (1.2, 1.2)), "gear-now"))
    return items


def _arrow(tip_base: Point, tall: float) -> tuple[Line, ...]:
    a, b, c = tip_base.plus(Point(-14.0, 0.0)), tip_base.plus(Point(14.0, 0.0)), tip_base.plus(Point(0.0, tall))
    return (Line(a, b), Line(b, c), Line(c, a))


def moving_items(layout: Layout, shift: Floats, travel: float, pen: Pen, tag: str) -> list[Item]:
    """Return arms, rods, gear and wheels at one travel of the gear [mm], moved by ``shift``, (3,) [mm]."""
    s = np.array([travel])
    both = course(layout, layout.values, shift, s)
    items: list[Item] = []
    ends: list[Point] = []
    for which, angle in (("left", both.left[0]), ("right", both.right[0])):
        side = side_of(layout, layout.values, shift, which)
        flip = MIRROR if which == "right" else np.ones(3)
        low = _seen(side.low * flip)
        joint = _seen(outer_joint(side, s)[0] * flip)
        inner = _seen((side.inner + travel * side.way) * flip)
        own = "right" if which == "right" and layout.study.right is not None else "left"
        middle = layout.point(layout.values, own, "wheel") - layout.point(layout.values, own, "low")
        middle = middle * (MIRROR if own != which else np.ones(3))
        cos, sin = np.cos(angle), np.sin(angle)
        turned = np.array([middle[0] * cos - middle[1] * sin, middle[0] * sin + middle[1] * cos, 0.0])
        hub = _seen(side.low * flip + turned)
        ahead = Point(-sin * _WHEEL_MM, cos * _WHEEL_MM)
        items += [
            line(low, joint, pen, tag),
            line(joint, inner, pen, tag),
            line(low, hub, Pen(0.5 * pen.width_mm, pen.colour, pen.dash_mm), tag),
            line(hub.minus(ahead), hub.plus(ahead), Pen(1.7 * pen.width_mm, pen.colour, pen.dash_mm), tag),
            ring(joint, 7.0, pen, "#ffffff", tag),
            ring(inner, 7.0, pen, "#ffffff", tag),
        ]
        ends.append(inner)
    items.append(line(ends[0], ends[1], Pen(1.4 * pen.width_mm, pen.colour, pen.dash_mm), tag))
    return items


def _seen(place: Floats) -> Point:
    """A place from above: right is to the right, forward is up."""
    return Point(-float(place[1]), float(place[0]))
