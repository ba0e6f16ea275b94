"""What a tiling is made of: the content that must be printed, cells, and how good their seams are."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, sin

import numpy as np
from numpy.typing import NDArray

from cutplan.geometry.vector import Box

Array = NDArray[np.float64]
#: Shortest common side that registers two sheets: it must hold two marks [mm].
LEAST_SEAM_MM = 56.0
#: Distance that a seam keeps from a line that runs along it, where it can [mm].
BESIDE_MM = 6.0
#: A straight line leaning less than this over its length runs along a seam [mm].
_LEAN_MM = 3.0


@dataclass(frozen=True, slots=True)
class Cell:
    """The part of the turned template that one sheet is answerable for: bounded by seams or the outer edge [mm]."""

    row: int
    column: int
    box: Box
    form: int


@dataclass(frozen=True, slots=True)
class Tiling:
    """Where sheets meet on a template turned by ``angle_rad``.

    ``cut_through`` counts crosses and pads on more than one cell, ``along`` straight lines that a seam runs along.
    """

    angle_rad: float
    cells: tuple[Cell, ...]
    cut_through: int
    along: int

    @property
    def sheets(self) -> int:
        return len(self.cells)

    def mirrored(self) -> Tiling:
        """Return the tiling of the mirror image, left for right."""
        cells = (
            Cell(c.row, -c.column, Box(-c.box.xmax, c.box.ymin, -c.box.xmin, c.box.ymax), c.form) for c in self.cells
        )
        return Tiling(-self.angle_rad, tuple(cells), self.cut_through, self.along)


@dataclass(frozen=True, slots=True)
class Content:
    """What must be on paper, and what seams should keep off.

    ``points`` (n, 2) lie along every line at most ``spacing_mm`` apart; ``discs`` (n, 3) are x, y and radius of crosses
    and pads; ``walls`` (n, 4) are the ends of long straight lines [mm].
    """

    points: Array
    discs: Array
    walls: Array
    spacing_mm: float

    def turned(self, angle_rad: float) -> Content:
        """Return the content turned counter-clockwise about the origin [rad]."""
        if angle_rad == 0.0:
            return self
        c, s = cos(angle_rad), sin(angle_rad)
        turn = np.array([[c, s], [-s, c]])
        discs, walls = self.discs.copy(), self.walls.copy()
        discs[:, :2] = discs[:, :2] @ turn
        walls[:, :2], walls[:, 2:] = walls[:, :2] @ turn, walls[:, 2:] @ turn
        return Content(self.points @ turn, discs, walls, self.spacing_mm)

    def swapped(self) -> Content:
        """Return the content with x and y exchanged."""
        return Content(self.points[:, ::-1], self.discs[:, [1, 0, 2]], self.walls[:, [1, 0, 3, 2]], self.spacing_mm)

    @property
    def box(self) -> Box:
        """Box of the points, grown by what sampling may have missed [mm]."""
        x, y = self.points.T
        return Box(float(x.min()), float(y.min()), float(x.max()), float(y.max())).grown(0.06)

    def kept_off(self, axis: int, low: float, high: float, walls: bool) -> list[tuple[float, float]]:
        """Return the stretches that seams across ``axis`` (0: x, 1: y) should miss, from what lies between low and high
        on the other axis: discs, and with ``walls`` also what lies beside lines that would run along the seam [mm]."""
        d = self.discs
        near = d[(d[:, 1 - axis] + d[:, 2] > low) & (d[:, 1 - axis] - d[:, 2] < high)]
        spans = [(float(c[axis] - c[2]), float(c[axis] + c[2])) for c in near]
        if walls and len(self.walls):
            w = self.walls
            a, b = w[:, axis], w[:, axis + 2]
            first = np.minimum(w[:, 1 - axis], w[:, 3 - axis])
            last = np.maximum(w[:, 1 - axis], w[:, 3 - axis])
            runs = (np.abs(a - b) < _LEAN_MM) & (last > low) & (first < high)
            spans += [
                (float(min(p, q)) - BESIDE_MM, float(max(p, q)) + BESIDE_MM)
                for p, q in zip(a[runs], b[runs], strict=True)
            ]
        return spans


def shared_side(a: Box, b: Box) -> float:
    """Return the length of the side that two boxes share, 0 when they only meet at a corner or not at all [mm]."""
    dx = min(a.xmax, b.xmax) - max(a.xmin, b.xmin)
    dy = min(a.ymax, b.ymax) - max(a.ymin, b.ymin)
    if abs(dx) < 1e-6:
        return max(0.0, dy)
    return max(0.0, dx) if abs(dy) < 1e-6 else 0.0


def without_blank(cells: list[Cell], content: Content) -> list[Cell]:
    """Return the cells that hold a line, unless leaving the others out would part the template into pieces."""
    points, slack = content.points, content.spacing_mm
    kept = [
        c
        for c in cells
        if np.any(
            (points[:, 0] > c.box.xmin - slack)
            & (points[:, 0] < c.box.xmax + slack)
            & (points[:, 1] > c.box.ymin - slack)
            & (points[:, 1] < c.box.ymax + slack)
        )
    ]
    return kept if len(kept) == len(cells) or hang_together(kept) else _bridged(kept, cells)


def _bridged(kept: list[Cell], cells: list[Cell]) -> list[Cell]:
    """Return the cells that hold a line and the fewest blank ones that join their parts; all where nothing joins them."""
    boxes = [c.box for c in cells]
    count = len(cells)
    beside = [
        [j for j in range(count) if j != i and shared_side(boxes[i], boxes[j]) >= LEAST_SEAM_MM] for i in range(count)
    ]
    used = {cells.index(c) for c in kept}
    while True:
        part = _reached(min(used), used, beside)
        if part == used:
            return [c for k, c in enumerate(cells) if k in used]
        # the shortest way over blank cells from the first part to any other
        came: dict[int, int] = {k: k for k in sorted(part)}
        edge = sorted(part)
        goal = -1
        while edge and goal < 0:
            fresh = []
            for i in edge:
                for j in beside[i]:
                    if j not in came:
                        came[j] = i
                        fresh.append(j)
                        if j in used:
                            goal = j
                            break
                if goal >= 0:
                    break
            edge = fresh
        if goal < 0:
            return cells
        while goal not in part:
            used.add(goal)
            goal = came[goal]


def _reached(start: int, among: set[int], beside: list[list[int]]) -> set[int]:
    found, edge = {start}, [start]
    while edge:
        fresh = [j for j in beside[edge.pop()] if j in among and j not in found]
        found.update(fresh)
        edge += fresh
    return found


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


def cut_through(cells: list[Cell], discs: Array) -> int:
    """Count the discs (x, y, radius) [mm], (n, 3), that lie on more than one cell."""
    if len(discs) == 0 or len(cells) < 2:
        return 0
    on = np.zeros(len(discs), dtype=int)
    for c in cells:
        dx = np.maximum(np.maximum(c.box.xmin - discs[:, 0], discs[:, 0] - c.box.xmax), 0.0)
        dy = np.maximum(np.maximum(c.box.ymin - discs[:, 1], discs[:, 1] - c.box.ymax), 0.0)
        on += np.hypot(dx, dy) < discs[:, 2] - 1e-6
    return int(np.count_nonzero(on > 1))


def run_along(cells: list[Cell], content: Content) -> int:
    """Count the seams that run along a straight line closer than 6 mm."""
    if len(content.walls) == 0 or len(cells) < 2:
        return 0
    boxes = np.array([c.box for c in cells])
    count = 0
    for axis in (0, 1):
        low, high = boxes[:, axis], boxes[:, axis + 2]
        before, after = boxes[:, 1 - axis], boxes[:, 3 - axis]
        pairs = np.argwhere(
            (np.abs(high[:, None] - low[None, :]) < 1e-6)
            & (np.minimum(after[:, None], after[None, :]) - np.maximum(before[:, None], before[None, :]) > 1e-6)
        )
        for i, j in pairs:
            at = high[i]
            spans = Content(content.points[:0], content.discs[:0], content.walls, 1.0).kept_off(
                axis, max(before[i], before[j]), min(after[i], after[j]), walls=True
            )
            count += any(a < at < b for a, b in spans)
    return count
