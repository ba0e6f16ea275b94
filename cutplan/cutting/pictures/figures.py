"""Pictures of the cut for black and white: the net plate with sizes, the path with its order, and its steps."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import atan2

from cutplan.cutting.pictures.labels import Label, set_labels
from cutplan.cutting.result import CutPath, CutPlan
from cutplan.drawing.model import Figure, Item, Pen, Stroke, Text, outline, ring
from cutplan.geometry.segment import Line, Segment
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.units import format_length

#: Room on the paper that a picture is planned for when the caller names none [mm].
ROOM_MM = (125.0, 75.0)
#: Cuts beyond which only some get their number, and steps beyond which cuts are told together.
NUMBERED = 80
STEPS = 24
_FACE = "#ececec"
_NET, _EDGE, _CUT = Pen(0.18, "#666666"), Pen(0.6), Pen(0.55)
_LEAD, _RAPID, _MARK, _SIZE = Pen(0.4), Pen(0.2, dash_mm=(2.2, 1.4)), Pen(0.35), Pen(0.2)
_PAST = Pen(0.3, "#888888")


@dataclass(frozen=True, slots=True)
class PathStep:
    """One step of the cut: numbers of the cuts it holds (from 1), a title, a sentence and a picture."""

    numbers: tuple[int, int]
    title: str
    text: str
    figure: Figure


def net_figure(job: Job, plan: CutPlan, room_mm: tuple[float, float] = ROOM_MM) -> Figure:
    """Return the net plate with its overall sizes and a label for each hole.

    Parameters
    ----------
    job : Job
        For the way lengths are shown.
    plan : CutPlan
        Net shape and drill list.
    room_mm : (float, float)
        Width and height on the paper that it will be fitted into [mm]; labels are set for that scale.
    """
    box = plan.net.box
    scale = _scale(box, room_mm, 16.0)
    unit = 1.0 / scale
    items: list[Item] = [outline(plan.net.outer, _EDGE, _FACE, "net")]
    strokes = [Stroke(plan.net.outer.segments, tag="net")]
    for hole in plan.cut_holes:
        items.append(outline(hole.contour, _EDGE, "#ffffff", f"hole {hole.name}"))
        strokes.append(Stroke(hole.contour.segments))
    for mark in plan.drilled:
        radius = 0.5 * mark.diameter_mm
        drawn = [*_cross(mark.centre, radius + 1.2 * unit), ring(mark.centre, radius, _SIZE)]
        items += drawn
        strokes += drawn
    low, left = box.ymin - 8.0 * unit, box.xmin - 8.0 * unit
    wide, tall = format_length(box.width, job.display), format_length(box.height, job.display)
    sizes = [
        *_size(Point(box.xmin, low), Point(box.xmax, low), box.ymin, unit, wide),
        *_size(Point(left, box.ymin), Point(left, box.ymax), box.xmin, unit, tall),
    ]
    items += sizes
    strokes += [s for s in sizes if isinstance(s, Stroke)]
    # the margin of the sizes holds nothing else
    taken = [
        Box(box.xmin, low - 6.0 * unit, box.xmax, low),
        Box(left - 6.0 * unit, box.ymin, left, box.ymax),
    ]
    whole = Box(box.xmin - 15.0 * unit, box.ymin - 15.0 * unit, box.xmax + 6.0 * unit, box.ymax + 6.0 * unit)
    items += set_labels(_hole_labels(job, plan), strokes, scale, whole, taken)
    return Figure(tuple(items), whole)


def path_figure(plan: CutPlan, room_mm: tuple[float, float] = ROOM_MM, upto: int | None = None) -> Figure:
    """Return the path: cuts with arrows of travel, leads, pierces as dots, moves dashed, and the order as numbers.

    Parameters
    ----------
    plan : CutPlan
        Paths in order.
    room_mm : (float, float)
        Width and height on the paper [mm]; numbers are set for that scale.
    upto : int or None
        Show only the first so many cuts; None: all.

    Notes
    -----
    Strokes and texts of the nth cut carry the tags ``path n``, ``lead n``, ``pierce n``, ``rapid n``, ``way n`` and
    ``order n``; drilled holes are ``mark``.
    """
    return _path_picture(plan, room_mm, 0, len(plan.paths) if upto is None else min(upto, len(plan.paths)))


def path_steps(plan: CutPlan, room_mm: tuple[float, float] = ROOM_MM) -> tuple[PathStep, ...]:
    """Return the cut step by step, at most about two dozen pictures: what is done is grey, the step itself black."""
    n = len(plan.paths)
    size = max(1, -(-n // STEPS))
    steps: list[PathStep] = []
    done = 0
    while done < n:
        # the outline is never told together with holes
        end = min(n, done + size)
        if plan.paths[done].inner:
            end = next((k for k in range(done, end) if not plan.paths[k].inner), end)
        paths = plan.paths[done:end]
        title = f"{done + 1}" if end - done == 1 else f"{done + 1} to {end}"
        figure = _path_picture(plan, room_mm, done, end)
        steps.append(PathStep((done + 1, end), f"cut {title} of {n}", _sentence(paths), figure))
        done = end
    return tuple(steps)


def _sentence(paths: tuple[CutPath, ...]) -> str:
    length = sum(p.length_mm for p in paths)
    if len(paths) > 1:
        return f"{len(paths)} cuts, {length:.0f} mm, from {paths[0].name} to {paths[-1].name}"
    p = paths[0]
    words = [f"hole {p.name}" if p.inner else p.name, f"{length:.0f} mm"]
    if p.lead != "none":
        words.append(f"pierce at {p.pierce.x:.1f}, {p.pierce.y:.1f} mm")
    if p.note:
        words.append(p.note)
    return ", ".join(words)


def _path_picture(plan: CutPlan, room_mm: tuple[float, float], first: int, end: int) -> Figure:
    """Draw cuts up to ``end``; those before ``first`` grey and without number."""
    box = plan.net.box
    for path in plan.paths:
        for s in path.segments:
            box = box.joined(s.box)
    scale = _scale(box, room_mm, 9.0)
    unit = 1.0 / scale
    items: list[Item] = [outline(plan.net.outer, _NET, _FACE, "net")]
    items += [outline(h, _NET, "#ffffff", "net") for h in plan.net.holes]
    strokes: list[Stroke] = []
    for n in range(min(end, len(plan.rapids))):
        if n >= first:
            moves = _rapid(plan.rapids[n], unit, n + 1)
            items += moves
            strokes += moves[:1]
    for n, path in enumerate(plan.paths[:end]):
        past = n < first
        drawn = [Stroke(path.cut, _PAST if past else _CUT, tag="past" if past else f"path {n + 1}")]
        if not past:
            drawn += [Stroke(lead, _LEAD, tag=f"lead {n + 1}") for lead in (path.lead_in, path.lead_out) if lead]
            drawn += _arrows(path.cut, unit, n + 1)
            if path.lead != "none":
                drawn.append(ring(path.pierce, _dot(path, unit), None, "#000000", f"pierce {n + 1}"))
        items += drawn
        strokes += drawn
    for mark in plan.drilled:
        drawn = _cross(mark.centre, 2.0 * unit)
        items += drawn
        strokes += drawn
    whole = box.grown(7.0 * unit)
    if plan.rapids and first == 0:
        whole = whole.joined(plan.rapids[0].box.grown(2.0 * unit))
    return Figure((*items, *set_labels(_numbers(plan, first, end), strokes, scale, whole)), whole)


def _dot(path: CutPath, unit: float) -> float:
    """Radius of the dot at a pierce: smaller in a small hole, so that the hole stays visible."""
    box = path.contour.box
    return min(0.9 * unit, 0.15 * min(box.width, box.height)) if path.inner else 0.9 * unit


def _numbers(plan: CutPlan, first: int, end: int) -> list[Label]:
    n = end - first
    every = 1 if n <= NUMBERED else (10 if n <= 600 else 50)
    labels: list[Label] = []
    if plan.rapids and first == 0:
        labels.append(Label("start", plan.rapids[0].start, 3.6, tag="start-label"))
    for k in range(first, end):
        if every > 1 and k not in (first, end - 1) and (k + 1) % every:
            continue
        path = plan.paths[k]
        if path.lead == "none" and len(plan.paths) == 1:
            continue
        at = path.pierce if path.lead != "none" else path.cut[0].point_at(0.5)
        labels.append(Label(str(k + 1), at, 4.4, True, f"order {k + 1}", _away(path)))
    return labels


def _away(path: CutPath) -> float | None:
    """Direction from the touch-down to the pierce [rad]: the number then stands in the waste."""
    if path.lead == "none":
        return None
    step = path.pierce.minus(path.touch_down)
    return atan2(step.y, step.x)


def _hole_labels(job: Job, plan: CutPlan) -> list[Label]:
    def shown(size_mm: float) -> str:
        return f"{size_mm:.1f}" if job.display == "mm" else format_length(size_mm, "in")

    rows = [(h.name, _hole_size(h, shown), h.centre, True) for h in plan.cut_holes]
    rows += [(d.name, f"Ø{shown(d.diameter_mm)}", d.centre, False) for d in plan.drilled]
    groups: dict[tuple[str, bool], list[tuple[str, Point]]] = {}
    for name, text, centre, cut in rows:
        groups.setdefault((text, cut), []).append((name, centre))
    labels: list[Label] = []
    for (size_text, cut), members in groups.items():
        how = "" if cut else "drill "
        if len(rows) <= 30:
            labels += [Label(f"{n} {how}{size_text}", c, tag="hole-label") for n, c in members]
        else:
            labels.append(Label(f"{len(members)} x {how}{size_text}", members[0][1], tag="hole-label"))
    return labels


def _hole_size(hole: Hole, shown: Callable[[float], str]) -> str:
    if hole.diameter_mm is not None:
        return f"Ø{shown(hole.diameter_mm)}"
    box = hole.contour.box
    return f"{shown(box.width)} x {shown(box.height)}"


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


def _size(a: Point, b: Point, edge: float, unit: float, text: str) -> list[Item]:
    """A size line from a to b with extension lines from an edge (y below it, x beside it), heads and its text."""
    way = b.minus(a).unit()
    upright = abs(way.y) > 0.5
    gap = 1.0 * unit
    items: list[Item] = []
    for p in (a, b):
        near = Point(edge - gap, p.y) if upright else Point(p.x, edge - gap)
        far = p.minus(Point(1.5 * unit, 0.0)) if upright else p.minus(Point(0.0, 1.5 * unit))
        items.append(Stroke((Line(near, far),), _SIZE, tag="size"))
    items.append(Stroke((Line(a, b),), _SIZE, tag="size"))
    items += [_head(b, way, 2.4 * unit, "size"), _head(a, way.times(-1.0), 2.4 * unit, "size")]
    middle = Point(0.5 * (a.x + b.x), 0.5 * (a.y + b.y))
    at = middle.minus(Point(1.5 * unit, 0.0)) if upright else middle.minus(Point(0.0, 4.6 * unit))
    items.append(Text(text, at, 3.6, "middle", 90.0 if upright else 0.0, tag="size-text"))
    return items
