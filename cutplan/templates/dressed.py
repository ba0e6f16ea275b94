"""Layouts with all that is drawn and written on them; templates that leave each other no room for words have a sheet each."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.templates.drawn.aids import aids
from cutplan.templates.drawn.decorate import Decor, decorate
from cutplan.templates.tiling.content import stroke_points
from cutplan.templates.tiling.layout import Layout, numbered
from cutplan.templates.tiling.registration import Registration, registrations
from cutplan.templates.tiling.shared import Small, shared_sheets
from cutplan.templates.tiling.sheet import SheetForm
from cutplan.texts import Reader


@dataclass(frozen=True, slots=True)
class Dressed:
    """A layout with its registration marks and everything else that is drawn beside the templates' own lines."""

    layout: Layout
    marks: tuple[Registration, ...]
    decor: Decor


def dressed(
    large: list[Layout], small: list[Small], forms: tuple[SheetForm, ...], overlap_mm: float, read: Reader
) -> list[Dressed]:
    """Return all layouts in page order, their pages counted from 2: the first is the map's.

    Parameters
    ----------
    large : list of Layout
        Templates of several sheets.
    small : list of Small
        Templates that fit one sheet.
    forms : tuple of SheetForm
        Sheets in each orientation.
    overlap_mm : float
        Overlap of neighbouring sheets [mm].
    read : Reader
        Language and units.
    """
    rooms = tuple((f.live.width, f.live.height) for f in forms)
    made: list[Dressed] = []
    for layout in large:
        made.append(_dressed(layout, made, overlap_mm, read))
    for layout in shared_sheets(small, forms, rooms):
        several = len(layout.placed) > 1
        shared = [_dressed(layout, made, overlap_mm, read, quick=several)]
        alone: list[Dressed] = []
        if several and shared[0].decor.findings:
            names = {p.template.name for p in layout.placed}
            for one in (s for s in small if s[0].name in names):
                alone.append(_dressed(shared_sheets([one], forms, rooms)[0], [*made, *alone], overlap_mm, read))
        if several and not shared[0].decor.plain and (not alone or _missing(alone)):
            shared = [_dressed(layout, made, overlap_mm, read)]
        made += alone if alone and _missing(alone) < _missing(shared) else shared
    return made


def _missing(layouts: list[Dressed]) -> int:
    """How many findings tell of words without room [1]."""
    return sum(len(one.decor.findings) for one in layouts)


def _dressed(layout: Layout, before: list[Dressed], overlap_mm: float, read: Reader, *, quick: bool = False) -> Dressed:
    """One layout after others; ``quick``: only to see whether there is room for all words."""
    layout = numbered(layout, 2 + sum(len(d.layout.sheets) for d in before))
    drawn = aids(layout)
    points = stroke_points([s for p in layout.placed for s in p.template.lines] + list(drawn), 1.0)
    marks = registrations(layout.seams, points, 1 + sum(len(d.marks) for d in before))
    crosses = sum(len({n for c in d.decor.checks for n in (c.start, c.end)}) for d in before)
    return Dressed(layout, marks, decorate(layout, drawn, marks, overlap_mm, 1 + crosses, read, quick=quick))
