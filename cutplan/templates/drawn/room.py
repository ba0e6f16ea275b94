"""Free room on a layout: a raster of what is drawn, asked where a label still fits."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_array
from cutplan.geometry.vector import Box, Point

_Bools = NDArray[np.bool_]
#: Most cells of a raster; larger layouts get coarser cells.
_MOST_CELLS = 4_000_000
#: Places tried for a label with a leader, nearest first, at most.
_MOST_LED = 8000


class Room:
    """A raster over a box; true where something is drawn. The only object of this package that changes.

    Parameters
    ----------
    box : Box
        What it covers [mm].
    cell_mm : float
        Least size of a cell [mm].
    windows : tuple of Box
        What single sheets print: a text must lie in one of them whole; empty: anywhere [mm].
    """

    def __init__(self, box: Box, cell_mm: float = 1.0, windows: tuple[Box, ...] = ()) -> None:
        self.box, self.windows = box, windows
        self.cell_mm = max(cell_mm, (box.width * box.height / _MOST_CELLS) ** 0.5)
        self.shape = (ceil(box.height / self.cell_mm) + 1, ceil(box.width / self.cell_mm) + 1)
        self.taken: _Bools = np.zeros(self.shape, dtype=bool)
        # where texts and leaders are: no further leader may cross them
        self.said: _Bools = np.zeros(self.shape, dtype=bool)
        # sums of what is taken, with the first row and column that they stand for; None: not counted since the last change
        self._sums: tuple[int, int, NDArray[np.int32]] | None = None

    def copy(self) -> Room:
        other = Room(self.box, self.cell_mm, self.windows)
        other.taken, other.said, other._sums = self.taken.copy(), self.said.copy(), self._sums
        return other

    def write(self, box: Box) -> None:
        """Take every cell that a text's box touches; leaders keep off it, too."""
        rows, columns = self.slices(box)
        self.taken[rows, columns] = self.said[rows, columns] = True
        self._sums = None

    def lead(self, points: NDArray[np.float64]) -> None:
        """Take the cells of a leader's points (n, 2) [mm]."""
        part, fresh = self._near(points, 0.8)
        self.taken[part] |= fresh
        self.said[part] |= fresh
        self._sums = None

    def block_points(self, points: NDArray[np.float64], reach_mm: float) -> None:
        """Take the cells of points (n, 2) [mm] and those within a reach of them."""
        part, fresh = self._near(points, reach_mm)
        self.taken[part] |= fresh
        self._sums = None

    def _near(self, points: NDArray[np.float64], reach_mm: float) -> tuple[tuple[slice, slice], _Bools]:
        """The part of the raster round points, and which of its cells lie within a reach of them."""
        column = ((points[:, 0] - self.box.xmin) / self.cell_mm).astype(int)
        row = ((points[:, 1] - self.box.ymin) / self.cell_mm).astype(int)
        inside = (column >= 0) & (column < self.shape[1]) & (row >= 0) & (row < self.shape[0])
        row, column = row[inside], column[inside]
        grow = ceil(reach_mm / self.cell_mm)
        if not row.size:
            return (slice(0, 0), slice(0, 0)), np.zeros((0, 0), dtype=bool)
        part = tuple(
            slice(max(0, int(at.min()) - grow), min(size, int(at.max()) + grow + 1))
            for at, size in ((row, self.shape[0]), (column, self.shape[1]))
        )
        fresh: _Bools = np.zeros((part[0].stop - part[0].start, part[1].stop - part[1].start), dtype=bool)
        fresh[row - part[0].start, column - part[1].start] = True
        for _ in range(grow):
            grown = fresh.copy()
            grown[1:] |= fresh[:-1]
            grown[:-1] |= fresh[1:]
            wide = grown.copy()
            wide[:, 1:] |= grown[:, :-1]
            wide[:, :-1] |= grown[:, 1:]
            fresh = wide
        return (part[0], part[1]), fresh

    def block(self, box: Box) -> None:
        """Take every cell that a box touches."""
        rows, columns = self.slices(box)
        self.taken[rows, columns] = True
        self._sums = None

    def block_all_but(self, boxes: Iterable[Box]) -> None:
        """Take every cell but those that boxes touch."""
        self.taken[:] = True
        for box in boxes:
            rows, columns = self.slices(box)
            self.taken[rows, columns] = False
        self._sums = None

    def block_outside(self, contour: Contour) -> None:
        """Take every cell outside a contour."""
        self.taken |= ~self._filled(contour)
        self._sums = None

    def block_outside_box(self, box: Box) -> None:
        """Take every cell outside a box."""
        rows, columns = self.slices(box)
        kept = self.taken[rows, columns].copy()
        self.taken[:] = True
        self.taken[rows, columns] = kept
        self._sums = None

    def block_inside(self, contour: Contour) -> None:
        """Take every cell inside a contour."""
        self.taken |= self._filled(contour)
        self._sums = None

    def free(self, box: Box) -> bool:
        """Return whether a box lies on the raster and touches nothing."""
        b = self.box
        if box.xmin < b.xmin or box.ymin < b.ymin or box.xmax > b.xmax or box.ymax > b.ymax:
            return False
        if self.windows and not any(_holds(w, box) for w in self.windows):
            return False
        rows, columns = self.slices(box)
        return not bool(self.taken[rows, columns].any())

    def nearest(self, width_mm: float, height_mm: float, target: Point) -> Box | None:
        """Return the free box of a size whose middle is nearest to a target, or None."""
        at = self._places(width_mm, height_mm)
        if not len(at):
            return None
        k = int(np.argmin((at[:, 0] - target.x) ** 2 + (at[:, 1] - target.y) ** 2))
        return _boxed(at[k], width_mm, height_mm)

    def led(self, width_mm: float, height_mm: float, target: Point) -> Box | None:
        """Return the free box of a size from which a straight leader to a target crosses no text, the nearest; or None."""
        at = self._places(width_mm, height_mm)
        half, goal = np.array([0.5 * width_mm, 0.5 * height_mm]), np.array(target)
        near = np.clip(goal, at - half, at + half)
        away = np.hypot(*(near - goal).T)
        for part in np.array_split(np.argsort(away, kind="stable")[:_MOST_LED], _MOST_LED // 400):
            steps = near[part][:, None, :] + np.linspace(0.0, 1.0, 60)[None, :, None] * (goal - near[part])[:, None, :]
            cells = ((steps - (self.box.xmin, self.box.ymin)) / self.cell_mm).astype(int)
            columns, rows = (np.clip(cells[:, :, k], 0, self.shape[1 - k] - 1) for k in (0, 1))
            clear = ~self.said[rows, columns].any(axis=1)
            if clear.any():
                return _boxed(at[part[int(np.argmax(clear))]], width_mm, height_mm)
        return None

    def _places(self, width_mm: float, height_mm: float) -> NDArray[np.float64]:
        """Middles (n, 2) of all free boxes of a size [mm]."""
        rows, columns = ceil(height_mm / self.cell_mm) + 1, ceil(width_mm / self.cell_mm) + 1
        low, left, free = self.free_boxes(rows, columns)
        r, c = np.nonzero(free)
        x = self.box.xmin + (c + left + 0.5 * columns) * self.cell_mm
        y = self.box.ymin + (r + low + 0.5 * rows) * self.cell_mm
        at = np.column_stack((x, y))
        if not self.windows:
            return at
        whole = np.zeros(len(at), dtype=bool)
        for w in self.windows:
            whole |= (
                (np.abs(x - w.centre.x) + 0.5 * width_mm <= 0.5 * w.width)
                & (np.abs(y - w.centre.y) + 0.5 * height_mm <= 0.5 * w.height)
            )  # fmt: skip
        return at[whole]

    def free_boxes(self, rows: int, columns: int) -> tuple[int, int, _Bools]:
        """Return whether a box of so many cells is free, by its lower left cell, and the first row and column asked.

        Only the part of the raster that holds free cells is asked.
        """
        if self._sums is None:
            self._sums = self._summed()
        low, left, total = self._sums
        if rows >= total.shape[0] or columns >= total.shape[1]:
            return low, left, np.zeros((0, 0), dtype=bool)
        inside = total[rows:, columns:] - total[:-rows, columns:] - total[rows:, :-columns] + total[:-rows, :-columns]
        return low, left, inside == 0

    def _summed(self) -> tuple[int, int, NDArray[np.int32]]:
        free = ~self.taken
        rows, columns = (np.flatnonzero(free.any(axis=k)) for k in (1, 0))
        if not rows.size:
            return 0, 0, np.zeros((1, 1), dtype=np.int32)
        low, left = int(rows[0]), int(columns[0])
        part = self.taken[low : int(rows[-1]) + 1, left : int(columns[-1]) + 1]
        total = np.zeros((part.shape[0] + 1, part.shape[1] + 1), dtype=np.int32)
        np.cumsum(np.cumsum(part, axis=0, dtype=np.int32), axis=1, out=total[1:, 1:])
        return low, left, total

    def slices(self, box: Box) -> tuple[slice, slice]:
        """Return the rows and columns of the cells that a box touches."""
        k, b = self.cell_mm, self.box
        return (
            slice(max(0, floor((box.ymin - b.ymin) / k)), max(0, ceil((box.ymax - b.ymin) / k))),
            slice(max(0, floor((box.xmin - b.xmin) / k)), max(0, ceil((box.xmax - b.xmin) / k))),
        )

    def _filled(self, contour: Contour) -> _Bools:
        from PIL import Image, ImageDraw

        points = (flatten_array(contour, 0.1) - (self.box.xmin, self.box.ymin)) / self.cell_mm - 0.5
        image = Image.new("L", (self.shape[1], self.shape[0]), 0)
        ImageDraw.Draw(image).polygon([(float(x), float(y)) for x, y in points], fill=1)
        return np.asarray(image, dtype=bool)


def _boxed(at: NDArray[np.float64], width_mm: float, height_mm: float) -> Box:
    x, y = float(at[0]), float(at[1])
    return Box(x - 0.5 * width_mm, y - 0.5 * height_mm, x + 0.5 * width_mm, y + 0.5 * height_mm)


def _holds(outer: Box, box: Box) -> bool:
    return outer.xmin <= box.xmin and outer.ymin <= box.ymin and box.xmax <= outer.xmax and box.ymax <= outer.ymax
