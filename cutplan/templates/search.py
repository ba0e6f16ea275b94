"""Fewest sheets: the template is turned and shifted, and rows of upright and turned sheets are mixed.

For each angle the template is cut into bands, each band into columns; every band is as wide as what lies in it, so
corners without lines cost no sheet. Where the bands part is found by dynamic programming over their edges, with the
places that would cut through a hole's cross or a pad left out while any other choice is left.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, cos, pi, sin

import numpy as np
from numpy.typing import NDArray

from cutplan.geometry.vector import Box

_Array = NDArray[np.float64]
_INF = float("inf")
#: Shortest common side that registers two sheets: it must hold two marks [mm].
LEAST_SEAM_MM = 56.0
#: How finely band ends are tried at a glance and closely, and how many angles get the close look.
_GLANCE, _CLOSE, _CLOSE_LOOKS = 60, 180, 8


@dataclass(frozen=True, slots=True)
class Cell:
    """The part of the turned template that one sheet is answerable for: bounded by seams or the outer edge [mm]."""

    row: int
    column: int
    box: Box
    form: int


@dataclass(frozen=True, slots=True)
class Tiling:
    """Where sheets meet on a template turned by ``angle_rad``."""

    angle_rad: float
    cells: tuple[Cell, ...]
    cut_through: int

    @property
    def sheets(self) -> int:
        return len(self.cells)


@dataclass(frozen=True, slots=True)
class Content:
    """What must be on paper, as points along every line [mm], and discs (x, y, radius) that seams should miss [mm]."""

    points: _Array
    discs: _Array
    spacing_mm: float

    def turned(self, angle_rad: float) -> Content:
        if angle_rad == 0.0:
            return self
        c, s = cos(angle_rad), sin(angle_rad)
        turn = np.array([[c, s], [-s, c]])
        discs = self.discs.copy()
        discs[:, :2] = discs[:, :2] @ turn
        return Content(self.points @ turn, discs, self.spacing_mm)

    def swapped(self) -> Content:
        """Return the content with x and y exchanged."""
        return Content(self.points[:, ::-1], self.discs[:, [1, 0, 2]], self.spacing_mm)

    @property
    def box(self) -> Box:
        """Box of the points, grown by what sampling may have missed [mm]."""
        low, high = self.points.min(axis=0), self.points.max(axis=0)
        return Box(float(low[0]), float(low[1]), float(high[0]), float(high[1])).grown(0.06)


def plain_grid(box: Box, form: tuple[float, float], overlap_mm: float) -> int:
    """Return how many sheets the plain grid takes: upright sheets in rows and columns over the box, nothing turned."""
    return _count(box.width, form[0], overlap_mm) * _count(box.height, form[1], overlap_mm)


def _count(size: float, room: float, overlap: float) -> int:
    return 1 if size <= room else ceil((size - overlap) / (room - overlap) - 1e-9)


def best_tiling(
    content: Content, forms: tuple[tuple[float, float], ...], overlap_mm: float, angles_rad: tuple[float, ...]
) -> Tiling:
    """Return the tiling with the fewest sheets.

    Parameters
    ----------
    content : Content
        Points and discs of the template.
    forms : tuple of (width, height)
        Room on a sheet in each orientation, upright first [mm].
    overlap_mm : float
        Overlap of neighbouring sheets [mm].
    angles_rad : tuple of float
        Angles to try, the preferred ones first [rad].

    Returns
    -------
    Tiling
        Of those that no more sheets than the plain grid take: none cut through a cross or pad if that can be had, then
        the fewest sheets, then square to the sheet, then the shortest seams.
    """
    most = plain_grid(content.box, forms[0], overlap_mm)
    tilings = [(0, _plain(content, forms[0], overlap_mm, angles_rad[0]))]
    for number, angle, swap in _promising(content, forms, overlap_mm, angles_rad):
        tilings += [(number, t) for t in _banded(content.turned(angle), forms, overlap_mm, angle, swap)]
        if any(t.sheets == 1 for _, t in tilings):
            break

    def key(entry: tuple[int, Tiling]) -> tuple[float, ...]:
        number, t = entry
        square = abs(t.angle_rad % (0.5 * pi)) < 1e-9
        seams = sum(c.box.width + c.box.height for c in t.cells)
        return (t.sheets > most, t.cut_through > 0, t.sheets, t.cut_through, not square, number, seams)

    return min(tilings, key=key)[1]


def _promising(
    content: Content, forms: tuple[tuple[float, float], ...], overlap: float, angles: tuple[float, ...]
) -> list[tuple[int, float, bool]]:
    """Return (number, angle, swap) worth a close look: as drawn both ways, then those that look best at a glance."""
    first = [(0, angles[0], False), (0, angles[0], True)]
    whole = content.box
    if any(whole.width <= a and whole.height <= b for a, b in forms):
        return first
    glances: list[tuple[float, int, float, bool]] = []
    for number, angle in enumerate(angles):
        turned = content.turned(angle)
        for swap in (False, True):
            seen = turned.swapped() if swap else turned
            rooms = tuple((b, a) for a, b in forms) if swap else forms
            glances.append((_cheapest(seen, rooms, overlap, seen.box, False, _GLANCE)[1], number, angle, swap))
    least = min(g[0] for g in glances)
    best = [g[1:] for g in sorted(glances) if g[0] < least + 1.0 and g[1] > 0][:_CLOSE_LOOKS]
    return first + best


def _plain(content: Content, form: tuple[float, float], overlap: float, angle: float) -> Tiling:
    """Return the plain grid itself, without the sheets that would stay blank."""
    box = content.box
    xs = _even_edges(box.xmin, box.xmax, _count(box.width, form[0], overlap))
    ys = _even_edges(box.ymin, box.ymax, _count(box.height, form[1], overlap))
    cells = [
        Cell(r, c, Box(xs[c], ys[r], xs[c + 1], ys[r + 1]), 0) for r in range(len(ys) - 1) for c in range(len(xs) - 1)
    ]
    cells = _without_blank(cells, content)
    return Tiling(angle, tuple(cells), _cut_through(cells, content.discs))


def _banded(
    content: Content, forms: tuple[tuple[float, float], ...], overlap: float, angle: float, swap: bool
) -> list[Tiling]:
    """Return tilings in bands along x (or along y when ``swap``): avoiding crosses and pads, and regardless of them."""
    seen = content.swapped() if swap else content
    rooms = tuple((b, a) for a, b in forms) if swap else forms
    box = seen.box
    made: list[Tiling] = []
    for avoid in (True, False):
        bands, cost = _cheapest(seen, rooms, overlap, box, avoid, _CLOSE)
        if cost == _INF:
            continue
        cells: list[Cell] = []
        for row, (low, high, form) in enumerate(bands):
            edges = _columns(seen, low, high, rooms[form][0], overlap, avoid)
            cells += [Cell(row, k, Box(edges[k], low, edges[k + 1], high), form) for k in range(len(edges) - 1)]
        cells = _without_blank(cells, seen)
        hits = _cut_through(cells, seen.discs)
        if swap:
            cells = [Cell(c.column, c.row, Box(c.box.ymin, c.box.xmin, c.box.ymax, c.box.xmax), c.form) for c in cells]
        made.append(Tiling(angle, tuple(cells), hits))
        if len(cells) == 1:
            break
    return made


def _cheapest(
    content: Content, rooms: tuple[tuple[float, float], ...], overlap: float, box: Box, strict: bool, steps: int
) -> tuple[list[tuple[float, float, int]], float]:
    """Return the cheapest bands (low, high, form) from the bottom up and their cost; infinite when there are none.

    ``strict``: no band may end within a disc. ``steps``: how finely the ends are tried.
    """
    single = [(_count(box.width, a, overlap), k) for k, (a, b) in enumerate(rooms) if box.height <= b]
    if single and min(single)[0] == 1:
        return [(box.ymin, box.ymax, min(single)[1])], 1.0
    n = max(1, min(steps, ceil(0.5 * box.height)))
    step = box.height / n
    xlow, xhigh = _extents(content, box, n, step)
    free = np.ones(n + 1, dtype=bool)
    if strict:
        for _, y, r in content.discs:
            free[max(0, ceil((y - r - box.ymin) / step)) : max(0, int((y + r - box.ymin) // step) + 1)] = False
        free[0] = free[n] = True
    cost = np.full(n + 1, _INF)
    cost[0] = 0.0
    origin = np.zeros(n + 1, dtype=int)
    chosen = np.zeros(n + 1, dtype=int)
    for i in range(n):
        if cost[i] == _INF or not free[i]:
            continue
        low, high = np.minimum.accumulate(xlow[i:]), np.maximum.accumulate(xhigh[i:])
        width = np.maximum(high - low, 0.0)
        for k, (a, b) in enumerate(rooms):
            below = 0.0 if i == 0 else 0.5 * overlap
            reach = int((b - below - 0.5 * overlap) / step + 1e-9)
            last = n if b - below >= box.height - i * step - 1e-9 else min(n - 1, i + reach)
            if last <= i:
                continue
            j = np.arange(i + 1, last + 1)
            w = width[j - i - 1]
            sheets = np.where(w <= a, 1.0, np.ceil((w - overlap) / (a - overlap) - 1e-9))
            # among equals, the fewer bands
            total = cost[i] + sheets + 1e-4
            if last == n and reach < n - i:
                total[(j - i > reach) & (j < n)] = _INF
            better = (total < cost[j]) & free[j]
            cost[j[better]], origin[j[better]], chosen[j[better]] = total[better], i, k
    bands: list[tuple[float, float, int]] = []
    end = n if cost[n] < _INF else 0
    while end > 0:
        start = int(origin[end])
        bands.append((box.ymin + start * step, box.ymin + end * step, int(chosen[end])))
        end = start
    return bands[::-1], float(cost[n])


def _extents(content: Content, box: Box, n: int, step: float) -> tuple[_Array, _Array]:
    """Least and greatest x of the content in each of n strips, grown by the sampling distance [mm]."""
    strip = np.clip(((content.points[:, 1] - box.ymin) / step).astype(int), 0, n - 1)
    low, high = np.full(n, _INF), np.full(n, -_INF)
    np.minimum.at(low, strip, content.points[:, 0])
    np.maximum.at(high, strip, content.points[:, 0])
    grow = 0.25 + content.spacing_mm
    return np.maximum(low - grow, box.xmin), np.minimum(high + grow, box.xmax)


def _columns(content: Content, low: float, high: float, room: float, overlap: float, avoid: bool) -> list[float]:
    """Return the edges of the cells of one band, from left to right, seams off the discs where ``avoid`` can be had."""
    box = content.box
    slack = content.spacing_mm
    y = content.points[:, 1]
    xs = content.points[(y >= low - slack) & (y <= high + slack), 0]
    if xs.size == 0:
        return [box.xmin, min(box.xmax, box.xmin + room)]
    grow = 0.25 + slack
    left, right = max(box.xmin, float(xs.min()) - grow), min(box.xmax, float(xs.max()) + grow)
    least = _count(right - left, room, overlap)
    if least == 1:
        return [left, right]
    discs = content.discs[(content.discs[:, 1] + content.discs[:, 2] > low)
                          & (content.discs[:, 1] - content.discs[:, 2] < high)]
    if avoid and len(discs):
        for count in (least, least + 1):
            edges = _free_edges(left, right, count, room, overlap, discs)
            if edges:
                return edges
    return _even_edges(left, right, least)


def _even_edges(left: float, right: float, count: int) -> list[float]:
    return [left + (right - left) * k / count for k in range(count + 1)]


def _free_edges(
    left: float, right: float, count: int, room: float, overlap: float, discs: _Array
) -> list[float] | None:
    """Return cell edges near even spacing that miss every disc, or None when there are none."""
    n = max(int(right - left), 8)
    step = (right - left) / n
    free = np.ones(n + 1, dtype=bool)
    for x, _, r in discs:
        free[max(0, ceil((x - r - left) / step)) : max(0, int((x + r - left) // step) + 1)] = False
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


def _without_blank(cells: list[Cell], content: Content) -> list[Cell]:
    """Return the cells that hold a line, unless leaving the others out would part the template into pieces."""
    points, slack = content.points, content.spacing_mm
    kept = [
        c for c in cells
        if np.any((points[:, 0] > c.box.xmin - slack) & (points[:, 0] < c.box.xmax + slack)
                  & (points[:, 1] > c.box.ymin - slack) & (points[:, 1] < c.box.ymax + slack))
    ]
    return kept if len(kept) == len(cells) or hang_together(kept) else cells


def hang_together(cells: list[Cell]) -> bool:
    """Return whether every cell can be reached from the first over seams long enough for two marks."""
    if not cells:
        return True
    boxes = np.array([c.box for c in cells])
    reached = np.zeros(len(cells), dtype=bool)
    reached[0] = True
    edge = [0]
    while edge:
        a = boxes[edge.pop()]
        dx = np.minimum(a[2], boxes[:, 2]) - np.maximum(a[0], boxes[:, 0])
        dy = np.minimum(a[3], boxes[:, 3]) - np.maximum(a[1], boxes[:, 1])
        shared = np.where(np.abs(dx) < 1e-6, dy, np.where(np.abs(dy) < 1e-6, dx, 0.0))
        fresh = np.flatnonzero((shared >= LEAST_SEAM_MM) & ~reached)
        reached[fresh] = True
        edge.extend(int(k) for k in fresh)
    return bool(reached.all())


def shared_side(a: Box, b: Box) -> float:
    """Return the length of the side that two boxes share, 0 when they only meet at a corner or not at all [mm]."""
    dx = min(a.xmax, b.xmax) - max(a.xmin, b.xmin)
    dy = min(a.ymax, b.ymax) - max(a.ymin, b.ymin)
    if abs(dx) < 1e-6:
        return max(0.0, dy)
    return max(0.0, dx) if abs(dy) < 1e-6 else 0.0


def _cut_through(cells: list[Cell], discs: _Array) -> int:
    """Count the discs that lie on more than one cell."""
    if len(discs) == 0 or len(cells) < 2:
        return 0
    on = np.zeros(len(discs), dtype=int)
    for c in cells:
        dx = np.maximum(np.maximum(c.box.xmin - discs[:, 0], discs[:, 0] - c.box.xmax), 0.0)
        dy = np.maximum(np.maximum(c.box.ymin - discs[:, 1], discs[:, 1] - c.box.ymax), 0.0)
        on += np.hypot(dx, dy) < discs[:, 2] - 1e-6
    return int(np.count_nonzero(on > 1))
