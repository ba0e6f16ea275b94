"""Pictures of the opening plan: one for each step, an overview and the datum sheet."""

from __future__ import annotations

from itertools import pairwise
from math import atan2, degrees, radians
from typing import TYPE_CHECKING

from cutplan.drawing.model import Figure, Item, Pen, Stroke, Text, line, outline, ring
from cutplan.geometry.vector import Box, Point
from cutplan.opening.model import DatumPoint, Drill, OpeningPlan, RibPart, Section, Step
from cutplan.opening.pictures.brace import brace_items, brace_now_items
from cutplan.opening.pictures.holes import drill_now_items, drilled_items
from cutplan.opening.pictures.parts import (
    DARK,
    MID,
    NOW,
    WHITE,
    WORK,
    arrow,
    boxed_text,
    bridge_items,
    cross,
    done_items,
    gone_items,
    now_items,
    number_items,
    paper_unit,
    skin_box,
    skin_items,
)
from cutplan.opening.pictures.ribs import rib_items
from cutplan.pattern.job import Job
from cutplan.texts import Reader, say
from cutplan.units import format_length, inch_fraction

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

#: Size of letters along a measured line, and of names of points [mm].
_SLOPED_MM, _NAME_MM = 2.9, 3.8
#: Letters of the picture on the job sheet over those of the picture by itself, about: room is kept for them [1].
_SHEET_TEXT = 1.5
#: A length that would lie on others with this share of its place is left to the table [1].
_NO_ROOM = 0.1


def step_figure(job: Job, plan: OpeningPlan, i: int, caption: bool = True, read: Reader | None = None) -> Figure:
    """Return the picture of a step.

    Parameters
    ----------
    job : Job
        Skin, ribs, brace.
    plan : OpeningPlan
        The plan.
    i : int
        Index of the step in ``plan.steps``, from 0.
    caption : bool
        Write number and title above the picture.
    read : Reader or None
        Who reads it; None: in the job's language and units.

    Notes
    -----
    Bold red is done now; sections already out are white and hatched; ribs are broken lines, the more broken the less is
    known; green blocks are bridges that stay for now.
    """
    read = read or Reader(job.shown.language, job.shown.display)
    step = plan.steps[i]
    if step.kind == "measure":
        return _captioned(datum_figure(job, plan), step, caption, read)
    box = skin_box(job, plan.line, plan.bracing.fitted)
    u = paper_unit(box)
    before = plan.steps[:i]
    drilled = [d for s in before for d in s.drills]
    out = [s for s in plan.sections if s.number in step.gone]
    lost = _lost_cuts(plan, step.gone)
    done = [c for s in before for c in s.cuts if c.name not in lost]
    parted = [p for s in before for p in s.parts if not set(p.sections) & set(step.gone)]
    items: list[Item] = list(skin_items(box, plan.line))
    current = next((s for s in plan.sections if s.number == step.section), None)
    if current is not None:
        items.append(outline(current.contour, Pen(0.2, MID), WORK, f"section {current.number}"))
    items += _borders(plan, step)
    items += drilled_items(d for d in drilled if not _inside(d, out))
    items += gone_items(out, u, read, named=step.kind != "dress")
    items += rib_items(job, plan, box, step.gone, parted, u, read, short=True)
    if any(s.kind == "brace" for s in before):
        items += brace_items(plan)
    items += done_items(done)
    waiting = [s for s in plan.sections if s.number not in step.gone and s is not current]
    items += [n for s in waiting for n in number_items(s, u, False, plan.line)]
    items += _now(job, plan, step, current, u, read)
    return _captioned(Figure(tuple(items), box), step, caption, read)


def _now(job: Job, plan: OpeningPlan, step: Step, current: Section | None, u: float, read: Reader) -> list[Item]:
    """What is done in this step, drawn over everything else."""
    items: list[Item] = []
    if step.kind == "brace":
        return brace_now_items(plan, u, read)
    if step.kind == "mark":
        items.append(outline(plan.line, Pen(1.0, NOW), tag="now line"))
        return items
    if step.kind == "dress":
        items.append(outline(plan.line, Pen(1.2, NOW), tag="now line"))
        items += boxed_text(read(say("DRESS TO THE LINE")), plan.line.box.centre, 5.0, u, colour=NOW, bold=True)
        return items
    if step.drills:
        return drill_now_items(job, step.drills, plan.line, skin_box(job, plan.line, plan.bracing.fitted), u)
    inside = current.label_at if current else None
    items += number_items(current, u, True, plan.line) if current is not None else []
    if step.kind == "cut":
        items += now_items(step.cuts, inside, u)
        items += bridge_items(step.leave, u, plan.line)
    elif step.kind == "part rib":
        items += bridge_items(step.leave, u, plan.line)
        items += _parts(step.parts, u, plan)
    elif step.kind == "drop":
        items += now_items(step.cuts, inside, u)
    if current is not None and step.kind == "drop":
        up = current.label_at.plus(Point(0.0, 4.0 * u))
        items += arrow(up, up.plus(Point(0.0, 11.0 * u)), u, Pen(1.0, NOW), "lift")
        items += boxed_text(read(say("LIFT OUT")), up.plus(Point(0.0, 13.5 * u)), 3.6, u, colour=NOW, bold=True)
    return items


def _parts(parts: tuple[RibPart, ...], u: float, plan: OpeningPlan) -> list[Item]:
    items: list[Item] = []
    for p in parts:
        if p.along:
            path = tuple(p.path)
            for a, b in pairwise(path):
                items.append(line(a, b, Pen(1.2, NOW), f"now rib {p.rib}"))
        items += cross(p.at, 2.4 * u, Pen(1.1, NOW), f"now rib {p.rib}")
        items.append(ring(p.at, 3.6 * u, Pen(0.5, NOW), tag=f"now rib {p.rib}"))
        side = p.direction.left()
        if side.x < 0.0:
            side = side.times(-1.0)
        items += boxed_text(p.rib, p.at.plus(side.times(7.5 * u)), 3.4, u, colour=NOW, bold=True)
    return items


def _borders(plan: OpeningPlan, step: Step) -> list[Item]:
    """Section borders still to come, thin and grey."""
    return [
        Stroke(s.contour.segments, Pen(0.15, MID, (1.0, 1.0)), closed=True, tag=f"border {s.number}")
        for s in plan.sections
        if s.number not in step.gone
    ]


def _lost_cuts(plan: OpeningPlan, gone: tuple[int, ...]) -> set[str]:
    """Cuts that border only sections already out: the edge itself shows them."""
    return {c.name for s in plan.steps for c in s.cuts if c.sections and set(c.sections) <= set(gone)}


def _inside(d: Drill, out: list[Section]) -> bool:
    return any(s.contour.contains(d.centre) for s in out)


#: Steps whose picture carries the key to its colours.
_KEYED = ("cut", "part rib", "drop")


def _captioned(figure: Figure, step: Step, caption: bool, read: Reader) -> Figure:
    if not caption:
        return figure
    box = figure.box
    u = paper_unit(box)
    at = Point(box.xmin, box.ymax + 3.5 * u)
    text = Text(f"{step.number}   {read(step.title)}", at, 5.0, "left", 0.0, True, DARK, "caption")
    items: list[Item] = [*figure.items, text]
    low = box.ymin
    if step.kind in _KEYED:
        low -= 4.5 * u
        items.append(
            Text(
                read(
                    say(
                        "Red: do it now. Green: leave standing. Yellow: this section. Hatched: out. Blue broken line: rib."
                    )
                ),
                Point(box.xmin, low + 1.0 * u),
                2.8,
                "left",
                0.0,
                False,
                MID,
                "key",
            )
        )
    return Figure(tuple(items), Box(box.xmin, low, box.xmax, box.ymax + 9.0 * u))


def overview_figure(job: Job, plan: OpeningPlan, read: Reader | None = None) -> Figure:
    """Return the opening with everything at once: holes, sections in order, cuts, bridges, ribs and brace."""
    read = read or Reader(job.shown.language, job.shown.display)
    box = skin_box(job, plan.line, plan.bracing.fitted)
    u = paper_unit(box)
    items: list[Item] = list(skin_items(box, plan.line))
    items += rib_items(job, plan, box, (), (), u, read)
    items += brace_items(plan)
    cuts = [c for s in plan.steps for c in s.cuts]
    items += [Stroke(c.path, Pen(0.6, NOW if c.kind == "divide" else DARK), tag=f"cut {c.name}") for c in cuts]
    items += bridge_items(plan.bridges, u, plan.line)
    items += drilled_items(plan.drills)
    for d in plan.drills:
        off = plan.line.box.centre.minus(d.centre)
        inward = off.unit() if off.length() > 1.0 else Point(0.0, 1.0)
        items += boxed_text(d.name, d.centre.plus(inward.times(d.radius_mm + 3.0 * u)), 2.6, u, fill=WHITE)
    items += [n for s in plan.sections for n in number_items(s, u, False, plan.line)]
    return Figure(tuple(items), box)


def datum_figure(job: Job, plan: OpeningPlan) -> Figure:
    """Return the datum sheet's picture: marks, pads and the distances to measure, each with its planned length."""
    from shapely import Point as GeosPoint
    from shapely import Polygon as GeosPolygon

    at = {p.name: p.at for p in plan.datum.points}
    box = skin_box(job, plan.line, plan.bracing.fitted)
    for p in plan.datum.points:
        box = box.joined(Box(p.at.x, p.at.y, p.at.x, p.at.y))
    u = paper_unit(box)
    box = box.grown(4.0 * u)
    items: list[Item] = list(skin_items(skin_box(job, plan.line, plan.bracing.fitted), plan.line))
    pen = Pen(0.3, NOW)
    for d in plan.datum.lines:
        items.append(line(at[d.a], at[d.b], pen, f"datum {d.label}"))
    taken: list[BaseGeometry] = [
        GeosPoint(p.at).buffer((6.0 if p.kind == "mark" else 3.0) * u) for p in plan.datum.points
    ]
    for d in sorted(plan.datum.lines, key=lambda d: d.planned_mm):
        a, run = at[d.a], at[d.b].minus(at[d.a])
        text = _length_said(d.planned_mm, job)
        # where it covers least of what stands there, nearest to the middle of its line
        tried = [(a.plus(run.times(0.5 + side * k / 36.0)), k) for k in range(12) for side in (1.0, -1.0)]
        patches = [(GeosPolygon(_slope(text, p, run, _SHEET_TEXT * u)[0]), p, k) for p, k in tried]
        over = [sum(v[0].intersection(t).area for t in taken) for v in patches]
        k = min(range(len(patches)), key=lambda k: (round(over[k] / u**2), patches[k][2]))
        patch, spot, _ = patches[k]
        if over[k] > _NO_ROOM * patch.area:
            continue  # no room: the table tells it
        taken.append(patch)
        items += _sloped(text, spot, run, u)
    for p in plan.datum.points:
        if p.kind == "mark":
            items += cross(p.at, 1.8 * u, Pen(0.7, DARK), f"mark {p.name}")
        else:
            items.append(ring(p.at, 2.2 * u, Pen(0.6, DARK), WHITE, f"pad {p.name}"))
        out = p.at.minus(plan.line.box.centre)
        if p.kind == "mark":
            spot = p.at.plus((out.unit() if out.length() > 1.0 else Point(0.0, -1.0)).times(5.0 * u))
        else:
            spot = _name_spot(p, [(at[d.a], at[d.b]) for d in plan.datum.lines], taken, u)
        items += boxed_text(p.name, spot, _NAME_MM, u, bold=True)
    return Figure(tuple(items), box)


def _name_spot(p: DatumPoint, lines: list[tuple[Point, Point]], taken: list[BaseGeometry], u: float) -> Point:
    """Where a pad's name stands: close to it, over as little of lines, lengths and other names as that goes."""
    from shapely import LineString, box

    half_w, half_h = _SHEET_TEXT * 0.30 * _NAME_MM * len(p.name) * u, _SHEET_TEXT * 0.5 * _NAME_MM * u
    runs = [LineString(run) for run in lines]
    best: tuple[float, Point, BaseGeometry] | None = None
    for dx, dy in ((0, -1), (0, 1), (1, 0), (-1, 0), (1, -1), (-1, -1), (1, 1), (-1, 1)):
        off = Point(dx * (half_w + 3.0 * u if dy == 0 else 0.7 * half_w), dy * (half_h + 3.2 * u))
        patch = box(*p.at.plus(off).minus(Point(half_w, half_h)), *p.at.plus(off).plus(Point(half_w, half_h)))
        others = sum(patch.intersection(t).area for t in taken if t.distance(patch) == 0.0) / u**2
        cost = others + 2.0 * sum(run.intersection(patch).length for run in runs) / u
        if best is None or cost < best[0] - 1e-6:
            best = cost, p.at.plus(off), patch
    assert best is not None
    taken.append(best[2])
    return best[1]


def _length_said(mm: float, job: Job) -> str:
    """A length as short as it can be told beside a line: the table gives it in full."""
    return f"{inch_fraction(mm)} in" if job.shown.display == "in" else format_length(mm, job.shown.display)


def _slope(text: str, at: Point, along: Point, u: float) -> tuple[list[Point], float]:
    """Corners of the patch under a text along a slope, and its angle [deg], upright to read."""
    angle = degrees(atan2(along.y, along.x))
    angle = angle - 180.0 if angle > 90.0 else angle + 180.0 if angle <= -90.0 else angle
    half_w, half_h = (0.29 * _SLOPED_MM * len(text) + 0.5) * u, 0.5 * _SLOPED_MM * u
    corners = ((-half_w, -half_h), (half_w, -half_h), (half_w, half_h), (-half_w, half_h))
    return [Point(x, y).turned(radians(angle)).plus(at) for x, y in corners], angle


def _sloped(text: str, at: Point, along: Point, u: float) -> list[Item]:
    corners, angle = _slope(text, at, along, u)
    ring_ = tuple(line(p, q).segments[0] for p, q in pairwise([*corners, corners[0]]))
    base = Point(0.0, -0.34 * _SLOPED_MM * u).turned(radians(angle)).plus(at)
    return [
        Stroke(ring_, None, WHITE, True, "patch"),
        Text(text, base, _SLOPED_MM, "middle", angle, False, DARK, "length"),
    ]


__all__ = ["datum_figure", "overview_figure", "step_figure"]
