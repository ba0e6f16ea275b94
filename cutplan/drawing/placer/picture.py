"""The texts of a picture that has met its page: each beside what it names, clear of the others, in their order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from math import atan2, ceil, cos, degrees, inf, radians, sin

import numpy as np
from numpy.typing import NDArray

from cutplan.drawing.font import text_width
from cutplan.drawing.model import Figure, Item, Page, Pen, Stroke, Text, Tie, ring
from cutplan.drawing.model import placed as fitted
from cutplan.drawing.placer.ground import Floats, Ground, boxed
from cutplan.drawing.placer.label import END_MM, SHORT, Label, Setting, set_label, take
from cutplan.drawing.placer.leader import Target, leader_strokes
from cutplan.drawing.placer.steps import even_steps
from cutplan.drawing.recorder import text_corners
from cutplan.geometry.segment import Arc, Line, Segment
from cutplan.geometry.vector import Box, Point, box_of

#: Cell of the raster, and the least air between texts [mm].
_CELL_MM, _APART_MM = 0.5, 0.25
#: A line at least so thick bars leaders and is dear to write over; what thinner ones weigh against it [mm, 1].
_FIRM_MM, _FIRM, _FAINT = 0.25, 4.0, 2.0
#: Hatching is thinner than this, and texts with a ground of their own stand on it [mm, 1].
_HATCH_MM, _HATCH = 0.14, 0.1
#: A filled thing without an outline up to this size is a mark [mm].
_MARK_MM = 8.0
#: A filled ring up to this size across its corners is a hole or a foot that no text may stand in [mm].
_HOLE_MM = 24.0
#: Distances from a thing at which its text needs no leader, and how far it may be led from, in font sizes.
_STEPS, _REACH = (0.25, 0.6, 1.0), 13.0
#: A thing at least so much of another's size is its rival for a name [1].
_RIVAL = 0.5
#: Distances from its place at which a text that names nothing may stand, in font sizes.
_HOME_STEPS = (0.5, 0.9, 1.4, 2.0)
#: Places tried along a line, and what moving from end to end costs, in font sizes.
_ALONG, _ALONG_COST = 36, 4.0
_LEADER = Pen(0.18, "#444444")


def set_texts(items: Sequence[Item], room: Box, taken: Sequence[Box] = ()) -> tuple[Item, ...]:
    """Return the items with every text inside the room, clear of other texts, of marks and, where it can be, of lines.

    A turned text that names nothing stays where it is. Lines come first, then leaders, then texts with the ground behind
    them; texts in rings have their place first, then bold ones, then the others, each kind in its order.

    Parameters
    ----------
    items : sequence of Item
        Items in page coordinates.
    room : Box
        Where texts may lie [mm].
    taken : sequence of Box
        Places that are already used [mm].
    """
    ground = Ground(room, _CELL_MM)
    strokes = [i for i in items if isinstance(i, Stroke)]
    _draw(strokes, ground)
    for box in taken:
        ground.write(box)
    # what is ringed or bold is important, and what is written along a line can move least
    texts = sorted((i for i in items if isinstance(i, Text)), key=_importance)
    things = np.array([(*t.tie.at, t.tie.radius_mm) for t in texts if t.tie is not None]).reshape(-1, 3)
    leaders: list[Item] = []
    placed: list[Item] = []
    for text in texts:
        put = _put(text, ground, things)
        if put is None:
            continue
        placed += [*_patch(put[0]), put[0]]
        leaders += leader_strokes(put[1], replace(_LEADER, colour=_leader_colour(text))) if put[1] else ()
    return (*strokes, *leaders, *placed)


def _importance(text: Text) -> int:
    if text.angle_deg if text.tie is None else text.tie.along is not None and not text.tie.optional:
        return 0
    return 1 if text.ring else 2 if text.bold else 3


def as_page(figure: Figure, width_mm: float = 180.0, height_mm: float | None = None, margin_mm: float = 4.0) -> Page:
    """Return a figure fitted on a page of its own; without a height the page takes the figure's shape [mm]."""
    inside = width_mm - 2 * margin_mm
    if height_mm is None:
        height_mm = inside * figure.box.height / max(figure.box.width, 1e-9) + 2 * margin_mm
    room = Box(0.0, 0.0, width_mm, height_mm)
    items, _ = fitted(figure, room.grown(-margin_mm))
    return Page(width_mm, height_mm, set_texts(items, room))


def _leader_colour(text: Text) -> str:
    return text.colour if text.tie is not None else _LEADER.colour


def _put(text: Text, ground: Ground, things: Floats) -> tuple[Text, tuple[Point, ...]] | None:
    """A text at its place and the way of its leader; the place is taken. None: left out."""
    tie = text.tie
    if tie is None and text.angle_deg:
        ground.write_turned(text_corners(text))
        return text, ()
    if tie is not None and tie.along is not None:
        return _put_along(text, tie, ground)
    own = _own_box(text)
    label = _named(text, tie, own) if tie is not None else _at_home(text, own)
    others = None if tie is None else things[(things != (*tie.at, tie.radius_mm)).any(axis=1)]
    crossed = text.ring and label.home is not None and _crossed(label.home, ground, others)
    led = replace(label, home=None) if crossed else label
    found = set_label(led, ground, others) or (set_label(replace(led, away=None), ground, others) if crossed else None)
    if found is None and tie is not None and tie.optional:
        return None
    if found is None and text.ring:
        # a number away from its piece is led to it, whatever else is near
        found = set_label(replace(label, home=None, away=None), ground)
    if found is None and tie is not None and others is not None:
        # of things of its own size, such as a pad beside a pad, it must not seem to name the other
        rivals = others[others[:, 2] >= _RIVAL * tie.radius_mm]
        found = set_label(label, ground, rivals) or _on_its_side(text, own, ground, tie, rivals)
    found = found or set_label(label, ground) or _anywhere(text, own, ground)
    take(found, (ground,), _APART_MM)
    shift = found.box.centre.minus(own.centre)
    seen = ground.box.holds(own.centre if tie is None else tie.at)
    long = sum(a.distance(b) for a, b in pairwise(found.way))
    return replace(text, at=text.at.plus(shift), tie=None), found.way if seen and long > SHORT * text.height_mm else ()


def _crossed(home: Box, ground: Ground, others: Floats | None) -> bool:
    """Whether a firm line or the edge of another thing runs through a ring's place: it would seem to be of both sides."""
    if others is not None and len(others):
        apart = np.hypot(others[:, 0] - home.centre.x, others[:, 1] - home.centre.y)
        if (np.abs(apart - others[:, 2]) < 0.5 * home.width).any():
            return True
    return ground.crossed(home)


def _own_box(text: Text) -> Box:
    """What a text takes where it stands, with its ring."""
    box = box_of(text_corners(text))
    if not text.ring:
        return Box(box.xmin - END_MM, box.ymin, box.xmax + END_MM, box.ymax)
    c, r = ring_of(text)
    return Box(c.x - r, c.y - r, c.x + r, c.y + r)


def ring_of(text: Text) -> tuple[Point, float]:
    """Return middle and radius [mm] of the circle round a text."""
    box = box_of(text_corners(text))
    middle = Point(box.centre.x, text.at.y + 0.36 * text.height_mm)
    return middle, max(0.76 * text.height_mm, 0.5 * box.width + 0.6)


def _named(text: Text, tie: Tie, own: Box) -> Label:
    """A text as the label of the thing that it names."""
    h = text.height_mm
    steps = () if tie.home else tuple(s * h for s in _STEPS)
    home = None
    if tie.home:
        dx, dy = tie.at.x - own.centre.x, tie.at.y - own.centre.y
        home = Box(own.xmin + dx, own.ymin + dy, own.xmax + dx, own.ymax + dy)
    target = Target(tie.at, tie.radius_mm, clear_mm=0.0 if tie.home else 0.6)
    size = (own.width, own.height)
    return Label(
        ((text.text,),),
        target,
        h,
        steps,
        _REACH * h,
        bold=text.bold,
        away=tie.away,
        home=home,
        size_mm=size,
        bears=_bears(text),
    )


def _at_home(text: Text, own: Box) -> Label:
    """A text that names nothing as the label of its own place."""
    h = text.height_mm
    reach = _REACH * h + 0.5 * own.width
    steps = tuple(s * h - 0.5 * own.height for s in _HOME_STEPS)
    target, size = Target(own.centre, clear_mm=0.0), (own.width, own.height)
    return Label(((text.text,),), target, h, steps, reach, bold=text.bold, home=own, size_mm=size, bears=_bears(text))


def _bears(text: Text) -> float:
    """What may lie under a text: thin lines under one with a ground of its own."""
    return _FAINT if text.patch or text.ring else 0.0


def _on_its_side(text: Text, box: Box, ground: Ground, tie: Tie, rivals: Floats) -> Setting | None:
    """The best free place that is nearer to what the text names than to any rival by half its width; None: nowhere."""
    at, cost = ground.places(box.width, box.height, ground.box, _bears(text))
    own = np.hypot(at[:, 0] - tie.at.x, at[:, 1] - tie.at.y) - tie.radius_mm
    theirs = np.full(len(at), np.inf)
    for x, y, radius in rivals:
        theirs = np.minimum(theirs, np.hypot(at[:, 0] - x, at[:, 1] - y) - radius)
    mine = theirs - own > 0.5 * box.width
    if not mine.any():
        return None
    best = int(np.argmin(cost[mine] + own[mine] / text.height_mm))
    return Setting((text.text,), boxed(at[mine][best], box.width, box.height), (), 0.0)


def _anywhere(text: Text, box: Box, ground: Ground) -> Setting:
    """The best free place in the room; where there is none, its own place moved inside."""
    room = ground.box
    at, cost = ground.places(box.width, box.height, room, _bears(text))
    if len(at):
        away = np.hypot(at[:, 0] - box.centre.x, at[:, 1] - box.centre.y)
        free = boxed(at[int(np.argmin(cost + away / text.height_mm))], box.width, box.height)
    else:
        dx = max(room.xmin - box.xmin, 0.0) or min(room.xmax - box.xmax, 0.0)
        dy = max(room.ymin - box.ymin, 0.0) or min(room.ymax - box.ymax, 0.0)
        free = Box(box.xmin + dx, box.ymin + dy, box.xmax + dx, box.ymax + dy)
    return Setting((text.text,), free, (), 0.0)


def _put_along(text: Text, tie: Tie, ground: Ground) -> tuple[Text, tuple[Point, ...]] | None:
    """A text on its own line, where it covers least of what is drawn, nearest to the middle."""
    assert tie.along is not None
    run = tie.along
    angle = degrees(atan2(run.y, run.x))
    angle = angle - 180.0 if angle > 90.0 else angle + 180.0 if angle <= -90.0 else angle
    turn = radians(angle)
    up = Point(-sin(turn), cos(turn))
    wide = text_width(text.text, text.height_mm, text.bold)
    room = 0.5 * run.length() - 0.5 * wide - tie.radius_mm
    asides = (0.0,) if text.patch else (0.75, -0.75)
    tries: dict[tuple[int, int], tuple[float, Text]] = {}
    least = inf
    for k in sorted(range(-_ALONG, _ALONG + 1), key=abs):
        moved = _ALONG_COST * abs(k) / _ALONG
        if moved > least + 1e-6:  # farther out nothing is cheaper
            break
        for n, aside in enumerate(asides):
            at = tie.at.plus(run.unit().times(max(room, 0.0) * k / _ALONG))
            base = at.plus(up.times((aside - 0.36) * text.height_mm))
            tried = replace(text, at=base, anchor="middle", angle_deg=angle)
            cost = ground.cost_turned(text_corners(tried), _bears(text))
            if cost is not None:
                tries[k, n] = cost + moved, tried
                least = min(least, cost + moved)
    best: tuple[float, Text] | None = None
    for place in sorted(tries):
        if best is None or tries[place][0] < best[0] - 1e-9:
            best = tries[place]
    if best is None:
        return None if tie.optional else (replace(text, anchor="middle", angle_deg=angle), ())
    ground.write_turned(text_corners(best[1]))
    return best[1], ()


def _draw(strokes: Sequence[Stroke], ground: Ground) -> None:
    """Put the strokes of a picture on the raster: firm lines and marks, and what may lie under a text."""
    lines: dict[float, list[Segment]] = {}
    for stroke in strokes:
        if stroke.pen is not None:
            firm = stroke.pen.width_mm >= _FIRM_MM and not stroke.pen.dash_mm
            weight = _FIRM if firm else _FAINT if stroke.pen.width_mm > _HATCH_MM else _HATCH
            lines.setdefault(weight, []).extend(stroke.segments)
            if stroke.fill and len(stroke.segments) == 1:
                box = stroke.segments[0].box
                if box.diagonal < _HOLE_MM:  # a name in a hole would be read as the hole's
                    ground.block(box.grown(-0.15 * box.width))
        elif stroke.fill:
            box = _extent(stroke.segments)
            if box.diagonal < _MARK_MM:
                ground.block(box)
    for weight, segments in lines.items():
        points = _points(segments, 0.7 * ground.cell_mm)
        ground.weigh(points, weight)
        if weight == _FIRM:
            ground.bar_points(points)


def _points(segments: Sequence[Segment], step_mm: float) -> Floats:
    """Points (n, 2) along segments, their ends among them [mm]; of all of them at once: pictures hold thousands."""
    lines = [s for s in segments if isinstance(s, Line)]
    arcs = [s for s in segments if isinstance(s, Arc)]
    k, t = _even(lines, step_mm)
    start, end = (np.array(ends).reshape(-1, 2) for ends in ([s.start for s in lines], [s.end for s in lines]))
    straight = start[k] + t[:, None] * (end - start)[k]
    k, t = _even(arcs, step_mm)
    x, y, radius, first, sweep = (
        np.array([(*s.centre, s.radius, s.start_angle, s.sweep) for s in arcs]).reshape(-1, 5).T
    )
    angle = first[k] + sweep[k] * t
    turned = np.column_stack((x[k] + radius[k] * np.cos(angle), y[k] + radius[k] * np.sin(angle)))
    return np.concatenate((straight, turned))


def _even(segments: Sequence[Segment], step_mm: float) -> tuple[NDArray[np.intp], Floats]:
    """Places along segments: of which it is (n), and at which share of its length (n) [1]."""
    shares = [np.empty(0), *(even_steps(min(2 + ceil(s.length / step_mm), 4000)) for s in segments)]
    return np.repeat(np.arange(len(segments)), [len(t) for t in shares[1:]]), np.concatenate(shares)


def _extent(segments: Sequence[Segment]) -> Box:
    boxes = np.array([s.box for s in segments])
    return Box(*boxes[:, :2].min(axis=0).tolist(), *boxes[:, 2:].max(axis=0).tolist())


def _patch(text: Text) -> list[Stroke]:
    """The plain ground behind a text, of the text's own size, or its ring."""
    if text.ring:
        return [ring(*ring_of(text), Pen(0.5 if text.bold else 0.3, text.colour), "#ffffff", text.tag)]
    if not text.patch:
        return []
    corners = text_corners(text)
    sides = tuple(Line(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True))
    return [Stroke(sides, None, text.patch, closed=True, tag="patch")]
