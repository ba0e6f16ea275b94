"""A template cut into bands and columns: where bands part is found by dynamic programming over their ends."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from cutplan.geometry.vector import Box
from cutplan.templates.tiling.cells import Array, Cell, Content

INFINITE = float("inf")


def count_for(size: float, room: float, overlap: float) -> int:
    """Return how many sheets with a room [mm] and an overlap [mm] cover a size [mm]."""
    return 1 if size <= room else ceil((size - overlap) / (room - overlap) - 1e-9)


@dataclass(frozen=True, slots=True, eq=False)
class Strips:
    """A template in even strips, and what bands of them take.

    Parameters
    ----------
    box : Box
        Box of the content [mm].
    step_mm : float
        Height of a strip [mm].
    sheets : ndarray (last strip, first strip, form)
        How many sheets a band takes in each orientation of the sheet; infinite where it is higher than the form's room.
    alone : int or None
        The form whose single sheet holds all; no strips then.
    """

    box: Box
    step_mm: float
    sheets: Array
    alone: int | None


def strips(content: Content, rooms: tuple[tuple[float, float], ...], overlap: float, box: Box, steps: int) -> Strips:
    """Return the strips of a template.

    Parameters
    ----------
    content : Content
        What must be covered.
    rooms : tuple of (width, height)
        Room on a sheet in each orientation [mm].
    overlap : float
        Overlap of neighbouring sheets [mm].
    box : Box
        Box of the content [mm].
    steps : int
        How finely the ends of bands are tried [1].
    """
    single = [(count_for(box.width, a, overlap), k) for k, (a, b) in enumerate(rooms) if box.height <= b]
    if single and min(single)[0] == 1:
        return Strips(box, box.height, np.empty((0, 0, 0)), min(single)[1])
    n = max(1, min(steps, ceil(0.5 * box.height)))
    step = box.height / n
    return Strips(box, step, _sheets(*_extents(content, box, n, step), rooms, overlap, box.height, step), None)


def cheapest_bands(content: Content, made: Strips, care: int) -> tuple[list[tuple[float, float, int]], float]:
    """Return the cheapest bands (low, high [mm], form) from the bottom up and their cost [sheets]; infinite when there are none.

    Parameters
    ----------
    content : Content
        What must be covered.
    made : Strips
        Its strips.
    care : int
        0: bands end anywhere; 1: not within a cross or pad; 2: nor beside a straight line that runs along the end.
    """
    box, step, n = made.box, made.step_mm, len(made.sheets)
    if made.alone is not None:
        return [(box.ymin, box.ymax, made.alone)], 1.0
    free = np.ones(n + 1, dtype=bool)
    if care:
        _close(free, content.kept_off(1, box.xmin, box.xmax, care > 1), box.ymin, step)
        free[0] = free[n] = True
    sheets = made.sheets
    if not free.all():
        sheets = sheets.copy()
        sheets[:, ~free[:n]] = INFINITE
    cost = np.full(n + 1, INFINITE)
    cost[0] = 0.0
    origin = np.zeros(n + 1, dtype=int)
    chosen = np.zeros(n + 1, dtype=int)
    for j in np.flatnonzero(free[1:]) + 1:
        # among equals, the fewer bands, then the lower start
        total = cost[:j, None] + sheets[j - 1, :j] + 1e-4
        best = int(total.argmin())
        cost[j] = total.flat[best]
        origin[j], chosen[j] = divmod(best, sheets.shape[2])
    bands: list[tuple[float, float, int]] = []
    end = n if cost[n] < INFINITE else 0
    while end > 0:
        start = int(origin[end])
        bands.append((box.ymin + start * step, box.ymin + end * step, int(chosen[end])))
        end = start
    return bands[::-1], float(cost[n])


def _sheets(
    xlow: Array, xhigh: Array, rooms: tuple[tuple[float, float], ...], overlap: float, height: float, step: float
) -> Array:
    """How many sheets a band takes, (last strip, first strip, form); infinite where it is higher than the form's room."""
    n = len(xlow)
    first, end = np.arange(n), np.arange(1, n + 1)[:, None]
    within = end > first
    low = np.minimum.accumulate(np.where(within, xlow[:, None], INFINITE), axis=0)
    high = np.maximum.accumulate(np.where(within, xhigh[:, None], -INFINITE), axis=0)
    width = np.maximum(high - low, 0.0)
    below = np.where(first == 0, 0.0, 0.5 * overlap)
    sheets = np.empty((n, n, len(rooms)))
    for k, (a, b) in enumerate(rooms):
        reach = ((b - below - 0.5 * overlap) / step + 1e-9).astype(int)
        fits = np.where(end < n, end - first <= reach, b - below >= height - first * step - 1e-9) & within
        count = np.where(width <= a, 1.0, np.ceil((width - overlap) / (a - overlap) - 1e-9))
        sheets[:, :, k] = np.where(fits, count, INFINITE)
    return sheets


def _close(free: NDArray[np.bool_], spans: list[tuple[float, float]], start: float, step: float) -> None:
    """Mark the places inside each span as not free."""
    for a, b in spans:
        free[max(0, ceil((a - start) / step)) : max(0, int((b - start) // step) + 1)] = False


def _extents(content: Content, box: Box, n: int, step: float) -> tuple[Array, Array]:
    """Least and greatest x of the content in each of n strips, grown by the sampling distance [mm]."""
    strip = np.clip(((content.points[:, 1] - box.ymin) / step).astype(int), 0, n - 1)
    low, high = np.full(n, INFINITE), np.full(n, -INFINITE)
    np.minimum.at(low, strip, content.points[:, 0])
    np.maximum.at(high, strip, content.points[:, 0])
    grow = 0.25 + content.spacing_mm
    return np.maximum(low - grow, box.xmin), np.minimum(high + grow, box.xmax)


def banded_cells(
    content: Content,
    bands: list[tuple[float, float, int]],
    rooms: tuple[tuple[float, float], ...],
    overlap: float,
    care: int,
) -> list[Cell]:
    """Return the cells of bands, each cut into as few columns as what lies in it needs; bands, rooms and overlap [mm]."""
    cells: list[Cell] = []
    for row, (low, high, form) in enumerate(bands):
        edges = _columns(content, low, high, rooms[form][0], overlap, care)
        cells += [Cell(row, k, Box(edges[k], low, edges[k + 1], high), form) for k in range(len(edges) - 1)]
    return cells


def _columns(content: Content, low: float, high: float, room: float, overlap: float, care: int) -> list[float]:
    """Return the edges of the cells of one band from left to right, seams kept off what ``care`` names where it can."""
    box = content.box
    slack = content.spacing_mm
    y = content.points[:, 1]
    xs = content.points[(y >= low - slack) & (y <= high + slack), 0]
    if xs.size == 0:
        return [box.xmin, min(box.xmax, box.xmin + room)]
    grow = 0.25 + slack
    left, right = max(box.xmin, float(xs.min()) - grow), min(box.xmax, float(xs.max()) + grow)
    least = count_for(right - left, room, overlap)
    if least == 1:
        return [left, right]
    if care:
        with_walls = content.kept_off(0, low, high, walls=care > 1)
        tries = [(least, with_walls), (least, content.kept_off(0, low, high, walls=False)), (least + 1, with_walls)]
        for count, spans in tries:
            edges = free_edges(left, right, count, room, overlap, spans)
            if edges:
                return edges
    return even_edges(left, right, least, overlap)


def even_edges(left: float, right: float, count: int, overlap: float) -> list[float]:
    """Return the edges [mm] of cells whose sheets are equally full: outer cells share one overlap only, inner ones two."""
    inner = (right - left - overlap) / count
    return [left, *(left + 0.5 * overlap + inner * k for k in range(1, count)), right]


def free_edges(
    left: float, right: float, count: int, room: float, overlap: float, spans: list[tuple[float, float]]
) -> list[float] | None:
    """Return cell edges [mm] near even spacing outside every span, or None when there are none."""
    n = max(int(right - left), 8)
    step = (right - left) / n
    free = np.ones(n + 1, dtype=bool)
    _close(free, spans, left, step)
    outer, inner = int((room - 0.5 * overlap) / step), int((room - overlap) / step)
    reach: list[NDArray[np.bool_]] = []
    now = np.zeros(n + 1, dtype=bool)
    now[1 : outer + 1] = True
    now &= free
    for k in range(count - 1):
        if k:
            now = _widened(now, inner) & free
        reach.append(now)
    back = np.zeros(n + 1, dtype=bool)
    back[max(0, n - outer) : n] = True
    chosen: list[int] = []
    upper = n
    for k in range(count - 2, -1, -1):
        good = np.flatnonzero(reach[k] & back)
        good = good[good < upper]
        if good.size == 0:
            return None
        upper = int(good[np.argmin(np.abs(good - n * (k + 1) / count))])
        chosen.append(upper)
        back = np.zeros(n + 1, dtype=bool)
        back[max(0, upper - inner) : upper] = True
    return [left, *(left + step * p for p in chosen[::-1]), right]


def _widened(mask: NDArray[np.bool_], reach: int) -> NDArray[np.bool_]:
    """Return which places lie up to ``reach`` steps right of a marked one."""
    total = np.concatenate(([0], np.cumsum(mask)))
    at = np.arange(len(mask))
    return (total[at] - total[np.maximum(at - reach, 0)]) > 0
