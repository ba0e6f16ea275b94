"""What is drawn already, as a raster: asked where a text still fits and whether a leader's way is clear."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil, floor, inf

import numpy as np
from numpy.typing import NDArray

from cutplan.drawing.placer.steps import even_steps
from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_array
from cutplan.geometry.vector import Box, Point

Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]
#: Most cells of a raster; larger layouts get coarser cells.
_MOST_CELLS = 4_000_000
#: What a cell of a line of weight 1 costs under a text, in font sizes of way, for each millimetre of the cell.
_WEIGHT_COST = 0.24
#: Share of its weight that a line counts with under a text that hides it [1].
_BORNE = np.float32(0.1)
#: How far round a target a free place is looked for before all of the raster is [mm].
_CLOSE_MM = 60.0
#: Places in a box that are looked at first, as shares of its sides.
_LOOKED_AT = np.array([(x, y) for x in (0.1, 0.35, 0.65, 0.9) for y in (0.25, 0.75)])


class Ground:
    """A raster over a box. The only object of the placer that changes.

    ``taken`` cells carry no text; ``weight`` says how much a line under a text would hurt where one may be; no leader
    passes a ``barred`` cell.

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
        self.cell_mm: float = max(cell_mm, (box.width * box.height / _MOST_CELLS) ** 0.5)
        self.shape = (ceil(box.height / self.cell_mm) + 1, ceil(box.width / self.cell_mm) + 1)
        self.taken: Bools = np.zeros(self.shape, dtype=bool)
        self.barred: Bools = np.zeros(self.shape, dtype=bool)
        self.weight: NDArray[np.float32] | None = None

    def copy(self) -> Ground:
        other = Ground(self.box, self.cell_mm, self.windows)
        other.taken, other.barred = self.taken.copy(), self.barred.copy()
        other.weight = None if self.weight is None else self.weight.copy()
        return other

    def write(self, box: Box) -> None:
        """Take every cell that a text's box touches; leaders keep off it, too."""
        rows, columns = self.slices(box)
        self.taken[rows, columns] = self.barred[rows, columns] = True

    def write_turned(self, corners: tuple[Point, ...]) -> None:
        """Take the cells of a text that is written along a slope, by its four corners [mm]."""
        rows, columns = self._turned(corners)
        self.taken[rows, columns] = self.barred[rows, columns] = True

    def lead(self, points: Floats) -> None:
        """Take the cells of a leader's points (n, 2) [mm]."""
        part, fresh = self._near(points, 0.8)
        self.taken[part] |= fresh
        self.barred[part] |= fresh

    def block_points(self, points: Floats, reach_mm: float) -> None:
        """Take the cells of points (n, 2) [mm] and those within a reach of them."""
        part, fresh = self._near(points, reach_mm)
        self.taken[part] |= fresh

    def bar_points(self, points: Floats) -> None:
        """Keep leaders off points (n, 2) [mm]."""
        self.barred[self._cells(points)] = True

    def weigh(self, points: Floats, weight: float) -> None:
        """Make it dear [1] to write over points (n, 2) [mm]."""
        if self.weight is None:
            self.weight = np.zeros(self.shape, dtype=np.float32)
        row, column = self._cells(points)
        self.weight[row, column] = np.maximum(self.weight[row, column], weight)

    def block(self, box: Box) -> None:
        """Take every cell that a box touches."""
        rows, columns = self.slices(box)
        self.taken[rows, columns] = True

    def block_all_but(self, boxes: Iterable[Box]) -> None:
        """Take every cell but those that boxes touch."""
        self.taken[:] = True
        for box in boxes:
            self.taken[self.slices(box)] = False

    def block_outside(self, contour: Contour) -> None:
        """Take every cell outside a contour."""
        self.taken |= ~self._filled(contour)

    def block_outside_box(self, box: Box) -> None:
        """Take every cell outside a box."""
        rows, columns = self.slices(box)
        kept = self.taken[rows, columns].copy()
        self.taken[:] = True
        self.taken[rows, columns] = kept

    def block_inside(self, contour: Contour) -> None:
        """Take every cell inside a contour."""
        self.taken |= self._filled(contour)

    def free(self, box: Box) -> bool:
        """Return whether a box lies on the raster and touches nothing that is taken."""
        b = self.box
        if box.xmin < b.xmin or box.ymin < b.ymin or box.xmax > b.xmax or box.ymax > b.ymax:
            return False
        if self.windows and not any(holds(w, box) for w in self.windows):
            return False
        return not bool(self.taken[self.slices(box)].any())

    def crossed(self, box: Box) -> bool:
        """Return whether a firm line runs through a box."""
        return bool(self.barred[self.slices(box)].any())

    def perhaps(self, boxes: Floats) -> Bools:
        """Return which of boxes (n, 4) may be free: a few cells of each are looked at, and whether a window holds it."""
        if not len(boxes):
            return np.zeros(0, dtype=bool)
        x, y = (boxes[:, k, None] + _LOOKED_AT[:, k] * (boxes[:, 2 + k] - boxes[:, k])[:, None] for k in (0, 1))
        free = ~self.taken[self._edged(y, 1), self._edged(x, 0)].any(axis=1)
        inside = np.zeros(len(boxes), dtype=bool)
        for w in self.windows or (self.box,):
            inside |= (boxes[:, :2] >= w[:2]).all(axis=1) & (boxes[:, 2:] <= w[2:]).all(axis=1)
        return free & inside

    def cost(self, box: Box, bears: float = 0.0) -> float:
        """Return what the lines under a free box cost, in font sizes of way [1]; those up to a weight [1] it hardly minds."""
        if self.weight is None:
            return 0.0
        return _WEIGHT_COST * self.cell_mm * float(_minded(self.weight[self.slices(box)], bears).sum())

    def cost_turned(self, corners: tuple[Point, ...], bears: float = 0.0) -> float | None:
        """Return the same of a place along a slope, by its four corners [mm]; None where it is not free."""
        if not all(self.box.holds(c) for c in corners):
            return None
        rows, columns = self._turned(corners)
        if self.taken[rows, columns].any():
            return None
        if self.weight is None:
            return 0.0
        return _WEIGHT_COST * self.cell_mm * float(_minded(self.weight[rows, columns], bears).sum())

    def clear(self, x: Floats, y: Floats) -> Bools:
        """Return which ways, as the coordinates (n, m) of their points [mm], pass no barred cell."""
        clear: Bools = np.logical_not(self.barred[self._edged(y, 1), self._edged(x, 0)].any(axis=1))
        return clear

    def nearest(self, width_mm: float, height_mm: float, target: Point) -> Box | None:
        """Return the free box of a size whose middle is nearest to a target, or None."""
        for reach in (_CLOSE_MM, inf):
            # what lies no farther than was looked is the nearest of all
            grown = reach + 0.5 * max(width_mm, height_mm) + 2.0 * self.cell_mm
            at, _ = self.places(width_mm, height_mm, self._about(target, grown) if reach < inf else self.box)
            square = (at[:, 0] - target.x) ** 2 + (at[:, 1] - target.y) ** 2
            if len(at) and square.min() <= reach**2:
                return boxed(at[int(np.argmin(square))], width_mm, height_mm)
        return None

    def _about(self, target: Point, reach_mm: float) -> Box:
        """The part of the raster's box within a reach of a place, or of the place of the box nearest to it."""
        b = self.box
        x, y = min(max(target.x, b.xmin), b.xmax), min(max(target.y, b.ymin), b.ymax)
        return Box(
            max(min(x, target.x) - reach_mm, b.xmin),
            max(min(y, target.y) - reach_mm, b.ymin),
            min(max(x, target.x) + reach_mm, b.xmax),
            min(max(y, target.y) + reach_mm, b.ymax),
        )

    def places(self, width_mm: float, height_mm: float, within: Box, bears: float = 0.0) -> tuple[Floats, Floats]:
        """Return the middles (n, 2) [mm] of all free boxes of a size in a part of the raster, and what each costs (n)."""
        k = self.cell_mm
        rows, columns = ceil(height_mm / k) + 1, ceil(width_mm / k) + 1
        part = self._open_part(self.slices(within))
        taken = self.taken[part]
        if rows > taken.shape[0] or columns > taken.shape[1]:
            return np.empty((0, 2)), np.empty(0)
        free = _free(taken, rows, columns)
        x = self.box.xmin + (part[1].start + np.arange(free.shape[1]) + 0.5 * columns) * k
        y = self.box.ymin + (part[0].start + np.arange(free.shape[0]) + 0.5 * rows) * k
        whole = np.zeros(free.shape, dtype=bool)
        for w in self.windows or (self.box,):
            whole |= np.logical_and.outer(
                np.abs(y - w.centre.y) + 0.5 * height_mm <= 0.5 * w.height,
                np.abs(x - w.centre.x) + 0.5 * width_mm <= 0.5 * w.width,
            )
        r, c = np.nonzero(free & whole)
        cost = np.zeros(len(r))
        if self.weight is not None:
            cost = _WEIGHT_COST * k * _summed(_minded(self.weight[part], bears), rows, columns)[r, c]
        return np.array((x[c], y[r])).T, cost  # either coordinate in one piece

    def free_boxes(self, rows: int, columns: int) -> tuple[int, int, Bools]:
        """Return whether a box of so many cells is free, by its lower left cell, and the first row and column asked.

        Only the part of the raster that holds free cells is asked.
        """
        part = self._open_part((slice(0, self.shape[0]), slice(0, self.shape[1])))
        taken = self.taken[part]
        low, left = part[0].start, part[1].start
        if rows > taken.shape[0] or columns > taken.shape[1]:
            return low, left, np.zeros((0, 0), dtype=bool)
        return low, left, _free(taken, rows, columns)

    def _open_part(self, part: tuple[slice, slice]) -> tuple[slice, slice]:
        """What holds the free cells of a part of the raster."""
        free = ~self.taken[part]
        rows, columns = (np.flatnonzero(free.any(axis=k)) for k in (1, 0))
        if not rows.size:
            return slice(0, 0), slice(0, 0)
        return (
            slice(part[0].start + int(rows[0]), part[0].start + int(rows[-1]) + 1),
            slice(part[1].start + int(columns[0]), part[1].start + int(columns[-1]) + 1),
        )

    def slices(self, box: Box) -> tuple[slice, slice]:
        """Return the rows and columns of the cells that a box touches."""
        k, b = self.cell_mm, self.box
        return (
            slice(max(0, floor((box.ymin - b.ymin) / k)), max(0, ceil((box.ymax - b.ymin) / k))),
            slice(max(0, floor((box.xmin - b.xmin) / k)), max(0, ceil((box.xmax - b.xmin) / k))),
        )

    def _edged(self, at: Floats, axis: int) -> NDArray[np.intp]:
        """Columns (axis 0) or rows (axis 1) of coordinates [mm]; what lies beside the raster is moved to its edge."""
        cell = ((at - self.box[axis]) / self.cell_mm).astype(np.intp)
        edged: NDArray[np.intp] = np.minimum(np.maximum(cell, 0), self.shape[1 - axis] - 1)
        return edged

    def _cells(self, points: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Rows and columns of points (n, 2) [mm]; those beside the raster are left out."""
        cells = np.floor((points - (self.box.xmin, self.box.ymin)) / self.cell_mm).astype(np.intp)
        column, row = cells[:, 0], cells[:, 1]
        inside = (column >= 0) & (column < self.shape[1]) & (row >= 0) & (row < self.shape[0])
        return row[inside], column[inside]

    def _turned(self, corners: tuple[Point, ...]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        a, b, d = (np.array(corners[k]) for k in (0, 1, 3))
        across, up = (max(2, 2 + ceil(float(np.hypot(*v)) / self.cell_mm)) for v in (b - a, d - a))
        s, t = np.meshgrid(even_steps(across), even_steps(up))
        return self._cells(a + s.reshape(-1, 1) * (b - a) + t.reshape(-1, 1) * (d - a))

    def _near(self, points: Floats, reach_mm: float) -> tuple[tuple[slice, slice], Bools]:
        """The part of the raster round points, and which of its cells lie within a reach of them."""
        row, column = self._cells(points)
        grow = ceil(reach_mm / self.cell_mm)
        if not row.size:
            return (slice(0, 0), slice(0, 0)), np.zeros((0, 0), dtype=bool)
        rows, columns = (
            slice(max(0, int(at.min()) - grow), min(size, int(at.max()) + grow + 1))
            for at, size in ((row, self.shape[0]), (column, self.shape[1]))
        )
        fresh: Bools = np.zeros((rows.stop - rows.start, columns.stop - columns.start), dtype=bool)
        fresh[row - rows.start, column - columns.start] = True
        for _ in range(grow):
            grown = fresh.copy()
            grown[1:] |= fresh[:-1]
            grown[:-1] |= fresh[1:]
            wide = grown.copy()
            wide[:, 1:] |= grown[:, :-1]
            wide[:, :-1] |= grown[:, 1:]
            fresh = wide
        return (rows, columns), fresh

    def _filled(self, contour: Contour) -> Bools:
        from PIL import Image, ImageDraw

        points = (flatten_array(contour, 0.1) - (self.box.xmin, self.box.ymin)) / self.cell_mm - 0.5
        image = Image.new("L", (self.shape[1], self.shape[0]), 0)
        ImageDraw.Draw(image).polygon([(float(x), float(y)) for x, y in points], fill=1)
        return np.asarray(image, dtype=bool)


def _minded(weight: NDArray[np.float32], bears: float) -> NDArray[np.float32]:
    """Weights, those up to a limit made small."""
    return np.where(weight > bears, weight, _BORNE * weight) if bears else weight


def _free(taken: Bools, rows: int, columns: int) -> Bools:
    """Whether no cell of each box of so many rows and columns is taken: looked at in ever larger boxes."""
    for size in (rows, columns):
        reach = 1
        while reach < size:
            step = min(reach, size - reach)
            taken = taken[:-step] | taken[step:]
            reach += step
        taken = taken.T
    return ~taken


def _summed(cells: NDArray[np.float32], rows: int, columns: int) -> Floats:
    """The sum of each box of so many rows and columns of cells."""
    total = np.zeros((cells.shape[0] + 1, cells.shape[1] + 1))
    total[1:, 1:] = cells
    for axis in (0, 1):
        np.cumsum(total, axis=axis, out=total)
    return total[rows:, columns:] - total[:-rows, columns:] - total[rows:, :-columns] + total[:-rows, :-columns]


def boxed(at: Floats, width_mm: float, height_mm: float) -> Box:
    """Return the box of a size about a middle, (2,) [mm]."""
    x, y = float(at[0]), float(at[1])
    return Box(x - 0.5 * width_mm, y - 0.5 * height_mm, x + 0.5 * width_mm, y + 0.5 * height_mm)


def holds(outer: Box, box: Box) -> bool:
    """Return whether a box lies in another one whole."""
    return outer.xmin <= box.xmin and outer.ymin <= box.ymin and box.xmax <= outer.xmax and box.ymax <= outer.ymax
