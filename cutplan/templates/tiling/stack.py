"""Long narrow templates of several sheets, laid beside each other on common sheets where that saves paper."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from math import pi

import numpy as np

from cutplan.geometry.vector import Point
from cutplan.templates.shapes.template import Template
from cutplan.templates.tiling.cells import Content, Tiling
from cutplan.templates.tiling.layout import Layout, place, tiled
from cutplan.templates.tiling.pack import GAP_MM
from cutplan.templates.tiling.search import best_tiling
from cutplan.templates.tiling.sheet import SheetForm


@dataclass(frozen=True, slots=True)
class Large:
    """A template of several sheets: what must be on paper, and where its sheets meet when it lies alone."""

    template: Template
    content: Content
    tiling: Tiling


@dataclass(frozen=True, slots=True)
class _Stack:
    """Templates below each other, each with its angle [rad] and shift, and the sheets that they take together."""

    members: tuple[tuple[Template, float, Point], ...]
    content: Content
    tiling: Tiling


def stacked(large: list[Large], forms: tuple[SheetForm, ...], overlap_mm: float) -> list[Layout]:
    """Return the layouts of templates of several sheets; those share sheets that take fewer so.

    Parameters
    ----------
    large : list of Large
        Templates in page order.
    forms : tuple of SheetForm
        Sheets in each orientation.
    overlap_mm : float
        Overlap of neighbouring sheets [mm].
    """
    rooms = tuple((f.live.width, f.live.height) for f in forms)
    stacks = [
        _Stack(
            ((one.template, one.tiling.angle_rad, Point(0.0, 0.0)),),
            one.content.turned(one.tiling.angle_rad),
            one.tiling,
        )
        for one in large
    ]
    pair = _saving(stacks, rooms, overlap_mm)
    while pair is not None:
        first, second, both = pair
        stacks = [both if s is first else s for s in stacks if s is not second]
        pair = _saving(stacks, rooms, overlap_mm)
    return [
        tiled(tuple(place(t, angle, shift) for t, angle, shift in s.members), s.tiling, forms, overlap_mm)
        for s in stacks
    ]


def _saving(
    stacks: list[_Stack], rooms: tuple[tuple[float, float], ...], overlap_mm: float
) -> tuple[_Stack, _Stack, _Stack] | None:
    """The first two stacks that take fewer sheets together, and both as one; only what is low enough for one row is tried."""
    deepest = max(max(room) for room in rooms)
    low = [min(s.content.box.width, s.content.box.height) for s in stacks]
    for (i, a), (j, b) in combinations(enumerate(stacks), 2):
        if low[i] + GAP_MM + low[j] > deepest:
            continue
        both = _joined(a, b, rooms, overlap_mm)
        fewer = both.tiling.sheets < a.tiling.sheets + b.tiling.sheets
        if fewer and both.tiling.cut_through <= a.tiling.cut_through + b.tiling.cut_through:
            return a, b, both
    return None


def _joined(a: _Stack, b: _Stack, rooms: tuple[tuple[float, float], ...], overlap_mm: float) -> _Stack:
    """Two stacks as one: the second below the first, both with their long side along the sheet."""
    upper, lower = _lying(a), _lying(b)
    box, under = upper.content.box, lower.content.box
    shift = Point(box.centre.x - under.centre.x, box.ymin - GAP_MM - under.ymax)
    moved = _moved(lower.content, shift)
    members = (*upper.members, *((t, angle, at.plus(shift)) for t, angle, at in lower.members))
    content = Content(
        np.concatenate((upper.content.points, moved.points)),
        np.concatenate((upper.content.discs, moved.discs)),
        np.concatenate((upper.content.walls, moved.walls)),
        max(upper.content.spacing_mm, moved.spacing_mm),
    )
    return _Stack(members, content, best_tiling(content, rooms, overlap_mm, (0.0,)))


def _lying(stack: _Stack) -> _Stack:
    """The stack turned a quarter where it stands upright."""
    box = stack.content.box
    if box.width >= box.height:
        return stack
    turn = 0.5 * pi
    members = tuple((t, angle + turn, at.turned(turn)) for t, angle, at in stack.members)
    return _Stack(members, stack.content.turned(turn), stack.tiling)


def _moved(content: Content, shift: Point) -> Content:
    by = np.array([shift.x, shift.y])
    discs = content.discs.copy()
    discs[:, :2] += by
    return Content(content.points + by, discs, content.walls + np.tile(by, 2), content.spacing_mm)
