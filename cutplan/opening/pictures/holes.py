"""Holes in the opening's pictures: those there already, and those to drill now with their names."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cutplan.drawing.model import Item, Pen, line, ring, tied
from cutplan.geometry.contour import Contour
from cutplan.opening.model import Drill
from cutplan.opening.pictures.parts import DARK, NOW, WHITE
from cutplan.pattern.job import Job
from cutplan.units import format_length, inch_fraction

#: With more holes than this the picture names them only: the step's text tells their sizes, and a low picture has no room for more.
_MOST_SIZED = 3


def drilled_items(drills: Iterable[Drill]) -> list[Item]:
    """Holes already there."""
    return [ring(d.centre, d.radius_mm, Pen(0.25, DARK), WHITE, f"hole {d.name}") for d in drills]


def drill_now_items(job: Job, drills: Sequence[Drill], plan_line: Contour, u: float) -> list[Item]:
    """Holes to drill now: bold red, a centre cross, name and diameter (of a few) outside the line; ``u`` part mm to one of paper [1]."""
    items: list[Item] = []
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
        inner = d.purpose in ("window", "blade")
        out = None if inner else d.centre.minus(plan_line.box.centre)
        items.append(
            tied(label, d.centre, 3.0, radius_mm=d.radius_mm, away=out, colour=NOW, bold=True, tag="label", patch=WHITE)
        )
    return items
