"""Holes in the opening's pictures: those there already, and those to drill now with their names."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cutplan.drawing.model import Item, Pen, line, ring
from cutplan.geometry.contour import Contour
from cutplan.geometry.vector import Box, Point
from cutplan.opening.model import Drill
from cutplan.opening.pictures.parts import DARK, NOW, WHITE, boxed_text
from cutplan.pattern.job import Job
from cutplan.units import format_length, inch_fraction

#: With more holes than this the picture names them only: the step's text tells their sizes.
_MOST_SIZED = 6


def drilled_items(drills: Iterable[Drill]) -> list[Item]:
    """Holes already there."""
    return [ring(d.centre, d.radius_mm, Pen(0.25, DARK), WHITE, f"hole {d.name}") for d in drills]


def drill_now_items(job: Job, drills: Sequence[Drill], plan_line: Contour, box: Box, u: float) -> list[Item]:
    """Holes to drill now: bold red, a centre cross, name and diameter (of a few) outside the line; ``u`` part mm to one of paper [1]."""
    items: list[Item] = []
    taken: list[Point] = []
    for d in drills:
        items.append(ring(d.centre, d.radius_mm, Pen(0.7, NOW), WHITE, f"now {d.name}"))
        r = max(0.45 * d.radius_mm, 1.2 * u)
        items += [
            line((d.centre.x - r, d.centre.y), (d.centre.x + r, d.centre.y), Pen(0.25, NOW), "centre"),
            line((d.centre.x, d.centre.y - r), (d.centre.x, d.centre.y + r), Pen(0.25, NOW), "centre"),
        ]
        inch = job.shown.display == "in"
        size = f"{inch_fraction(d.diameter_mm)} in" if inch else format_length(d.diameter_mm, job.shown.display, 0)
        label = f"{d.name} {size}" if len(drills) <= _MOST_SIZED else d.name
        at = _free_spot(d, plan_line, box, taken, u, 0.32 * 3.0 * len(label) * u)
        taken.append(at)
        items += boxed_text(label, at, 3.0, u, colour=NOW, bold=True)
    return items


def _free_spot(d: Drill, plan_line: Contour, box: Box, taken: Sequence[Point], u: float, half_w: float) -> Point:
    """A place for a hole's label: outside the line if possible, away from other labels."""
    best, best_cost = d.centre, 1e18
    for step in (1.0, 1.7, 2.4):
        for dx, dy in ((0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (-1, 1), (1, -1), (-1, -1)):
            at = Point(
                d.centre.x + dx * (d.radius_mm + half_w + 1.5 * u) * (1.0 if dy == 0 else 0.8),
                d.centre.y + dy * (d.radius_mm + 3.0 * u) * step,
            )
            near = [q for q in taken if abs(q.x - at.x) < 2.0 * half_w and abs(q.y - at.y) < 3.6 * u]
            cost = 100.0 * len(near) + 20.0 * plan_line.contains(at) + 5.0 * step + 2.0 * (dx != 0)
            if d.purpose in ("window", "blade"):
                cost = 100.0 * len(near) + 5.0 * step
            if at.x - half_w < box.xmin or at.x + half_w > box.xmax or not box.holds(at):
                cost += 1000.0
            if cost < best_cost:
                best, best_cost = at, cost
    return best
