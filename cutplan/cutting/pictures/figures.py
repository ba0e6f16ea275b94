"""The picture of a torch path for black and white: cuts, leads, pierces, moves and their order."""

from __future__ import annotations

from cutplan.cutting.result import CutPath, CutPlan
from cutplan.drawing.model import Figure, Item, Pen, Stroke, Text, outline, ring, tied
from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Box, Point
from cutplan.texts import ENGLISH, Reader, say

#: Room on the paper that a picture is planned for when the caller names none [mm].
ROOM_MM = (125.0, 75.0)
#: Cuts beyond which only some get their number.
NUMBERED = 80
_FACE = "#ececec"
_NET, _CUT = Pen(0.18, "#666666"), Pen(0.55)
_LEAD, _RAPID, _MARK = Pen(0.4), Pen(0.2, dash_mm=(2.2, 1.4)), Pen(0.35)


def path_figure(
    plan: CutPlan, room_mm: tuple[float, float] = ROOM_MM, upto: int | None = None, read: Reader = ENGLISH
) -> Figure:
    """Return the path: cuts with arrows of travel, leads, pierces as dots, moves dashed, and the order as numbers.

    Parameters
    ----------
    plan : CutPlan
        Paths in order.
    room_mm : (float, float)
        Width and height on the paper [mm]; numbers are set for that scale.
    upto : int or None
        Show only the first so many cuts; None: all.
    read : Reader
        Who reads the words.

    Notes
    -----
    Strokes and texts of the nth cut carry the tags ``path n``, ``lead n``, ``pierce n``, ``rapid n``, ``way n`` and
    ``order n``; drilled holes are ``mark``.
    """
    end = len(plan.paths) if upto is None else min(upto, len(plan.paths))
    box = plan.net.box
    for path in plan.paths:
        for s in path.segments:
            box = box.joined(s.box)
    scale = _scale(box, room_mm, 9.0)
    unit = 1.0 / scale
    items: list[Item] = [outline(plan.net.outer, _NET, _FACE, "net")]
    items += [outline(h, _NET, "#ffffff", "net") for h in plan.net.holes]
    for n in range(min(end, len(plan.rapids))):
        items += _rapid(plan.rapids[n], unit, n + 1)
    for n, path in enumerate(plan.paths[:end]):
        drawn = [Stroke(path.cut, _CUT, tag=f"path {n + 1}")]
        drawn += [Stroke(lead, _LEAD, tag=f"lead {n + 1}") for lead in (path.lead_in, path.lead_out) if lead]
        drawn += _arrows(path.cut, unit, n + 1)
        if path.lead != "none":
            drawn.append(ring(path.pierce, _dot(path, unit), None, "#000000", f"pierce {n + 1}"))
        items += drawn
    for mark in plan.drilled:
        drawn = _cross(mark.centre, 2.0 * unit)
        items += drawn
    whole = box.grown(7.0 * unit)
    if plan.rapids:
        whole = whole.joined(plan.rapids[0].box.grown(2.0 * unit))
    return Figure((*items, *_numbers(plan, end, unit, read)), whole)


def _dot(path: CutPath, unit: float) -> float:
    """Radius of the dot at a pierce: smaller in a small hole, so that the hole stays visible."""
    box = path.contour.box
    return min(0.9 * unit, 0.15 * min(box.width, box.height)) if path.inner else 0.9 * unit


def _numbers(plan: CutPlan, end: int, unit: float, read: Reader) -> list[Text]:
    n = end
    every = 1 if n <= NUMBERED else (10 if n <= 600 else 50)
    labels: list[Text] = []
    if plan.rapids:
        labels.append(tied(read(say("start")), plan.rapids[0].start, 3.6, tag="start-label"))
    for k in range(end):
        if every > 1 and k not in (0, end - 1) and (k + 1) % every:
            continue
        path = plan.paths[k]
        if path.lead == "none" and len(plan.paths) == 1:
            continue
        at = path.pierce if path.lead != "none" else path.cut[0].point_at(0.5)
        dot = _dot(path, unit)
        labels.append(tied(str(k + 1), at, 4.4, radius_mm=dot, away=_away(path), bold=True, tag=f"order {k + 1}"))
    return labels


def _away(path: CutPath) -> Point | None:
    """From the touch-down to the pierce: the number then stands in the waste."""
    return None if path.lead == "none" else path.pierce.minus(path.touch_down)


def _scale(box: Box, room_mm: tuple[float, float], margins_mm: float) -> float:
    """Paper millimetres per part millimetre when the picture fills the room but for its margins."""
    wide, tall = room_mm[0] - 2.0 * margins_mm, room_mm[1] - 2.0 * margins_mm
    return min(wide / max(box.width, 1e-6), tall / max(box.height, 1e-6))


def _cross(centre: Point, reach_mm: float) -> list[Stroke]:
    steps = (Point(reach_mm, 0.0), Point(0.0, reach_mm))
    return [Stroke((Line(centre.minus(d), centre.plus(d)),), _MARK, tag="mark") for d in steps]


def _head(tip: Point, way: Point, long_mm: float, tag: str) -> Stroke:
    """A filled arrow head."""
    neck = tip.minus(way.times(long_mm))
    side = way.left().times(0.36 * long_mm)
    corners = (tip, neck.plus(side), neck.minus(side))
    sides = tuple(Line(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True))
    return Stroke(sides, None, "#000000", closed=True, tag=tag)


def _arrows(cut: tuple[Segment, ...], unit: float, number: int) -> list[Stroke]:
    """Heads along the way of a cut: one for a small hole, more for a long outline, none in the middle of corners."""
    length = sum(s.length for s in cut)
    if length < 14.0 * unit:
        return []
    wanted = max(1, min(4, round(length / (90.0 * unit))))
    long_mm = (2.6 if length > 30.0 * unit else 1.9) * unit
    heads: list[Stroke] = []
    for k in range(wanted):
        run = (k + 0.5) / wanted * length
        for s in cut:
            if run <= s.length:
                if isinstance(s, Line) and s.length > 3.0 * long_mm:
                    run = min(max(run, 1.5 * long_mm), s.length - 0.5 * long_mm)
                t = run / s.length if s.length else 0.0
                way = s.direction_at(t)
                heads.append(_head(s.point_at(t).plus(way.times(0.5 * long_mm)), way, long_mm, f"way {number}"))
                break
            run -= s.length
    return heads


def _rapid(move: Line, unit: float, number: int) -> list[Stroke]:
    shaft = Stroke((move,), _RAPID, tag=f"rapid {number}")
    if move.length < 8.0 * unit:
        return [shaft]
    way = move.start_direction
    return [shaft, _head(move.point_at(0.5).plus(way.times(0.9 * unit)), way, 1.8 * unit, f"rapid {number}")]
