"""Crosses with a known distance on the paper that is kept: they still prove the scale when rulers and edges are cut off.

Four of them form a rectangle whose sides are round lengths and whose diagonals are equal, so that one look at the rule
tells whether sheets were joined square and whether the paper grew. A narrow template carries two.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from cutplan.drawing.font import text_width
from cutplan.drawing.model import Item, Stroke, Text, line
from cutplan.drawing.placer.ground import Ground
from cutplan.geometry.segment import circle
from cutplan.geometry.vector import Box, Point
from cutplan.templates.drawn.labels import READ_MM
from cutplan.templates.drawn.pens import CROSS
from cutplan.units import MM_PER_INCH, UnitName

#: Letter of the crosses; nothing else of a job is called by it.
LETTER = "K"
#: The lengths between crosses are multiples of this [mm], as the shop's rule is divided: centimetres or half inches.
ROUND_MM: dict[UnitName, float] = {"mm": 10.0, "in": 0.5 * MM_PER_INCH}
#: Shortest length that is worth measuring [mm].
_LEAST_MM = 30.0
_ARM_MM, _RING_MM = 3.4, 1.5
#: Rows of the raster that are tried as sides of the rectangle, at most.
_ROWS = 90
_Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Check:
    """A distance to measure on the paper: between two printed crosses [mm]."""

    start: str
    end: str
    a: Point
    b: Point

    @property
    def length_mm(self) -> float:
        return self.a.distance(self.b)


def check_crosses(
    room: Ground, first: int, units: UnitName = "mm", *, two: bool = False
) -> tuple[tuple[Item, ...], tuple[Check, ...]]:
    """Return crosses with their names and the distances between them; the room they take is blocked.

    Parameters
    ----------
    room : Ground
        Where they may stand: inside the line that the paper is cut along, off everything drawn.
    first : int
        Number of the first cross in the set.
    units : {"mm", "in"}
        Units of the shop, in which the sides are round.
    two : bool
        Whether two crosses are enough: the paper is small and what must be read on it has no other room.

    Returns
    -------
    (items, checks)
        Four crosses, counter-clockwise from the lower left, with two sides and two diagonals; or two with their distance;
        or nothing where there is no room for either.
    """
    # the widest name decides, so that all four take the same room
    wide = 2 * _ARM_MM + 1.4 + text_width(f"{LETTER}{first + 3}", READ_MM, True)
    tall = 2 * _ARM_MM + 1.0
    free = _free(room, wide, tall)
    step = ROUND_MM[units]
    found = ([] if two else _rectangle(room, free, step)) or _pair(room, free, step)
    items: list[Item] = []
    places: list[tuple[str, Point]] = []
    for k, (column, row, dx, dy) in enumerate(found):
        low = Point(room.box.xmin + column * room.cell_mm + dx, room.box.ymin + row * room.cell_mm + dy)
        at = Point(low.x + _ARM_MM + 0.3, low.y + 0.5 * tall)
        name = f"{LETTER}{first + k}"
        places.append((name, at))
        items += _cross(name, at)
        room.block(_box(low, wide, tall))
    return tuple(items), _checks(places)


def _cross(name: str, at: Point) -> tuple[Item, ...]:
    return (
        line((at.x - _ARM_MM, at.y), (at.x + _ARM_MM, at.y), CROSS, "check"),
        line((at.x, at.y - _ARM_MM), (at.x, at.y + _ARM_MM), CROSS, "check"),
        Stroke((circle(at, _RING_MM),), CROSS, closed=True, tag="check"),
        Text(name, Point(at.x + _ARM_MM + 0.8, at.y - 0.36 * READ_MM), READ_MM, bold=True, tag="label"),
    )


def _box(low: Point, wide: float, tall: float) -> Box:
    return Box(low.x, low.y, low.x + wide, low.y + tall)


def _free(room: Ground, wide: float, tall: float) -> _Bools:
    """For each cell, whether a box with its lower left corner there, and a cell more each way, is free."""
    rows, columns = int(tall / room.cell_mm) + 3, int(wide / room.cell_mm) + 3
    if rows > room.shape[0] or columns > room.shape[1]:
        return np.zeros((0, 0), dtype=bool)
    free: _Bools = np.zeros((room.shape[0] - rows + 1, room.shape[1] - columns + 1), dtype=bool)
    low, left, part = room.free_boxes(rows, columns)
    free[low : low + part.shape[0], left : left + part.shape[1]] = part
    return free


def _apart(both: _Bools, cell_mm: float, step_mm: float) -> tuple[int, int] | None:
    """The first column and the number of round steps to another, as far apart as can be, both free."""
    places = np.flatnonzero(both)
    if places.size < 2:
        return None
    most = int((places[-1] - places[0]) * cell_mm / step_mm)
    for steps in range(most, ceil(_LEAST_MM / step_mm) - 1, -1):
        shift = round(steps * step_mm / cell_mm)
        starts = np.flatnonzero(both[:-shift] & both[shift:]) if shift < both.size else np.empty(0, dtype=int)
        if starts.size:
            return int(starts[starts.size // 2]), steps
    return None


def _rectangle(room: Ground, free: _Bools, step_mm: float) -> list[tuple[int, int, float, float]]:
    """Cells (column, row) and shifts [mm] of the corners of the largest rectangle with round sides; empty: none."""
    rows = np.flatnonzero(free.any(axis=1))
    if rows.size < 2:
        return []
    every = max(1, rows.size // _ROWS)
    best: tuple[float, int, int, int, int] | None = None
    low_rows = rows[::every]
    for row in low_rows:
        for up in range(int((rows[-1] - row) * room.cell_mm / step_mm), ceil(_LEAST_MM / step_mm) - 1, -1):
            other = int(row) + round(up * step_mm / room.cell_mm)
            if best is not None and up * free.shape[1] * room.cell_mm / step_mm <= best[0]:
                break
            found = _apart(free[row] & free[other], room.cell_mm, step_mm)
            if found is not None and (best is None or up * found[1] > best[0]):
                best = (float(up * found[1]), int(row), up, found[0], found[1])
    if best is None:
        return []
    _, row, up, column, across = best
    w, h = across * step_mm, up * step_mm
    return [(column, row, 0.0, 0.0), (column, row, w, 0.0), (column, row, w, h), (column, row, 0.0, h)]


def _pair(room: Ground, free: _Bools, step_mm: float) -> list[tuple[int, int, float, float]]:
    """Two places as far apart as a row or a column allows, by a round length; empty: none."""
    best: tuple[int, list[tuple[int, int, float, float]]] = (0, [])
    for turned, grid in ((False, free), (True, free.T)):
        for k in np.flatnonzero(grid.any(axis=1)):
            found = _apart(grid[k], room.cell_mm, step_mm)
            if found is not None and found[1] > best[0]:
                far = found[1] * step_mm
                start = (int(k), found[0]) if turned else (found[0], int(k))
                end = (*start, 0.0, far) if turned else (*start, far, 0.0)
                best = (found[1], [(*start, 0.0, 0.0), end])
    return best[1]


def _checks(places: list[tuple[str, Point]]) -> tuple[Check, ...]:
    pairs = [(0, 1), (1, 2), (0, 2), (1, 3)] if len(places) == 4 else [(0, 1)] if len(places) == 2 else []
    return tuple(Check(places[i][0], places[j][0], places[i][1], places[j][1]) for i, j in pairs)
