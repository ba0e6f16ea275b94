"""Pictures of the opening plan: one for each step, an overview and the datum sheet."""

from __future__ import annotations

from itertools import pairwise

from cutplan.drawing.model import Figure, Item, Pen, Stroke, Text, Tie, line, outline, ring, tied
from cutplan.geometry.vector import Box, Point, middle
from cutplan.opening.model import Drill, OpeningPlan, RibPart, Section, Step
from cutplan.opening.pictures.brace import brace_items, brace_now_items
from cutplan.opening.pictures.holes import drill_now_items, drilled_items
from cutplan.opening.pictures.parts import (
    DARK,
    MID,
    NOW,
    WHITE,
    WORK,
    arrow,
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

#: Size of letters along a measured line, and of names of points [mm].
_SLOPED_MM, _NAME_MM = 2.9, 3.8
#: A cut across the opening, and a distance to measure: thinner than the line that stays.
_ACROSS, _MEASURED = Pen(0.35, NOW), Pen(0.2, NOW)
#: The edge of a plate that will be lapped on, and the least skin shown round a punch mark [mm].
_COVERED, _PUNCH_MM = Pen(0.25, DARK, dash_mm=(2.0, 1.0)), 7.0


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
    items += number_items((*waiting, *([current] if current is not None else ())), plan.line, current)
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
        return items
    if step.drills:
        return drill_now_items(job, step.drills, plan.line, u)
    inside = current.label_at if current else None
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
        tip = up.plus(Point(0.0, 11.0 * u))
        items.append(
            tied(read(say("LIFT OUT")), tip, 3.6, away=Point(0.0, 1.0), colour=NOW, bold=True, tag="label", patch=WHITE)
        )
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
        side = side.times(-1.0) if side.x < 0.0 else side
        items.append(
            tied(p.rib, p.at, 3.4, radius_mm=3.6 * u, away=side, colour=NOW, bold=True, tag="label", patch=WHITE)
        )
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
    items += [Stroke(c.path, _ACROSS if c.kind == "divide" else Pen(0.7, DARK), tag=f"cut {c.name}") for c in cuts]
    items += bridge_items(plan.bridges, u, plan.line)
    items += drilled_items(plan.drills)
    for d in plan.drills:
        off = plan.line.box.centre.minus(d.centre)
        inward = off if off.length() > 1.0 else None
        items.append(tied(d.name, d.centre, 2.6, radius_mm=d.radius_mm, away=inward, tag="label", patch=WHITE))
    items += number_items(plan.sections, plan.line)
    return Figure(tuple(items), box)


def datum_figure(job: Job, plan: OpeningPlan) -> Figure:
    """Return the datum sheet's picture: marks, pads and the distances to measure, each with its planned length."""
    at = {p.name: p.at for p in plan.datum.points}
    skin = skin_box(job, plan.line, plan.bracing.fitted)
    for p in plan.datum.points:  # marks are punched into the skin, clear of its bends
        skin = skin.joined(Box(p.at.x, p.at.y, p.at.x, p.at.y).grown(_PUNCH_MM))
    u = paper_unit(skin)
    box = skin.grown(4.0 * u)
    items: list[Item] = list(skin_items(skin, plan.line))
    if job.joint.kind == "lap":  # what the plate will cover
        items.append(outline(job.plate.outline, _COVERED, "", "plate"))
    items += [line(at[d.a], at[d.b], _MEASURED, f"datum {d.label}") for d in plan.datum.lines]
    for p in plan.datum.points:
        mark = p.kind == "mark"
        if mark:
            items += cross(p.at, 1.8 * u, Pen(0.7, DARK), f"mark {p.name}")
        else:
            items.append(ring(p.at, 2.2 * u, Pen(0.6, DARK), WHITE, f"pad {p.name}"))
        out = p.at.minus(plan.line.box.centre) if mark else None
        items.append(tied(p.name, p.at, _NAME_MM, radius_mm=2.2 * u, away=out, bold=True, tag="label", patch=WHITE))
    for d in sorted(plan.datum.lines, key=lambda d: d.planned_mm):
        run, mid = at[d.b].minus(at[d.a]), middle(at[d.a], at[d.b])
        # where it finds no room the table tells it
        tie = Tie(mid, 4.0 * u, along=run, optional=True)
        text = _length_said(d.planned_mm, job)
        items.append(Text(text, mid, _SLOPED_MM, "middle", colour=DARK, tag="length", patch=WHITE, tie=tie))
    return Figure(tuple(items), box)


def _length_said(mm: float, job: Job) -> str:
    """A length as short as it can be told beside a line: the table gives it in full."""
    return f"{inch_fraction(mm)} in" if job.shown.display == "in" else format_length(mm, job.shown.display)


__all__ = ["datum_figure", "overview_figure", "step_figure"]
