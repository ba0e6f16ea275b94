"""Shapes on a grid, and the move of one of them to the place where it overlaps the others least, over all places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from cutplan.cutting.nest.grid.depths import SLACK, Depth, Depths
from cutplan.cutting.nest.outlines import Kind

#: What lying outside the strip counts, in cells of overlap [1].
_OUTSIDE = 1e9
#: Copies that touch one, whose overlaps have weights of their own: from so many more than shapes on, sums of all are kept.
_TOUCHING = 6


class At(NamedTuple):
    """Where all copies lie: row and column of each middle [cells], and number of its turn."""

    row: list[int]
    column: list[int]
    turn: list[int]


class _Span(NamedTuple):
    """First and last row and column of a middle that keep a shape on the strip."""

    row: int
    last_row: int
    column: int
    last_column: int


class _Wall(NamedTuple):
    """Where the middle of a shape may lie in any of its turns, and what each place there counts by the strip's edge.

    Parameters
    ----------
    counts : ndarray
        0 where the turn keeps the shape on the strip, else a large number, shape (rows, columns x turns) [cells].
    sums : ndarray
        Room for sums of the same shape.
    turns : int
        How many turns lie side by side.
    row, column : int
        First of each [cells].
    """

    counts: np.ndarray
    sums: np.ndarray
    turns: int
    row: int
    column: int

    @classmethod
    def of(cls, spans: Sequence[_Span]) -> _Wall:
        """Return it from the spans of all turns."""
        some = [span for span in spans if _open(span)] or [_Span(0, 0, 0, 0)]
        row, column = min(s.row for s in some), min(s.column for s in some)
        tall, long = max(s.last_row for s in some) + 1 - row, max(s.last_column for s in some) + 1 - column
        counts = np.full((tall, long, len(spans)), _OUTSIDE, np.float32)
        for turn, s in enumerate(spans):
            if _open(s):
                counts[s.row - row : s.last_row + 1 - row, s.column - column : s.last_column + 1 - column, turn] = 0.0
        flat = counts.reshape(tall, -1)
        return cls(flat, np.empty_like(flat), len(spans), row, column)


@dataclass(slots=True)
class Board:
    """A strip with all copies on it, which may overlap.

    Parameters
    ----------
    depths : Depths
        The shapes in each other.
    shapes : list of int
        Shape of each copy.
    height_mm : float
        Height of the strip [mm].
    at : At
        Where the copies lie.
    overlaps : ndarray
        How deep each two of them lie in each other, shape (n, n) [cells].

    Notes
    -----
    Where many copies have few shapes, the depths of every shape in all copies are kept summed, and a move changes only
    what the moved copy adds.
    """

    depths: Depths
    shapes: list[int]
    height_mm: float
    at: At
    overlaps: np.ndarray
    _deep: list[list[list[Depth | None]]]
    _spans: list[list[_Span]]
    _walls: list[_Wall]
    _all: dict[int, np.ndarray]

    @classmethod
    def of(cls, depths: Depths, counts: Sequence[int], height_mm: float) -> Board:
        """Return a board with copies of all shapes, without a length yet."""
        shapes = [k for k, count in enumerate(counts) for _ in range(count)]
        n = len(shapes)
        deep: list[list[list[Depth | None]]] = [[[None] * len(k) for k in depths.kinds] for _ in depths.kinds]
        return cls(depths, shapes, height_mm, At([0] * n, [0] * n, [0] * n), np.zeros((n, n)), deep, [], [], {})

    def cut_to(self, length_mm: float) -> None:
        """Give the strip a length [mm]."""
        self._spans = [[self._span(kind, length_mm) for kind in kinds] for kinds in self.depths.kinds]
        self._walls = [_Wall.of(spans) for spans in self._spans]
        few = sorted(set(self.shapes))
        self._all = {k: self._walls[k].sums.copy() for k in few if 2 * len(few) + _TOUCHING < len(self.shapes)}

    def put(self, at: At) -> None:
        """Lay all copies, those that would leave the strip at its edge."""
        self.at = At(list(at.row), list(at.column), list(at.turn))
        for i, shape in enumerate(self.shapes):
            spans = self._spans[shape]
            turn = self.at.turn[i]
            if not _open(spans[turn]):
                turn = next((t for t, span in enumerate(spans) if _open(span)), turn)
            span = spans[turn]
            self.at.turn[i] = turn
            self.at.row[i] = max(min(at.row[i], span.last_row), span.row)
            self.at.column[i] = max(min(at.column[i], span.last_column), span.column)
        for i in range(len(self.shapes)):
            self._measure(i)
        for shape, total in self._all.items():
            total[:] = 0.0
            self._add(total, shape, [(j, 1.0) for j in range(len(self.shapes))])

    def scattered(self, rng: np.random.Generator) -> At:
        """Return places by chance."""
        spans = [self._spans[shape] for shape in self.shapes]
        turn = [int(rng.integers(len(s))) for s in spans]
        one = [s[t] for s, t in zip(spans, turn, strict=True)]
        rows = [int(rng.integers(s.row, max(s.last_row, s.row) + 1)) for s in one]
        return At(rows, [int(rng.integers(s.column, max(s.last_column, s.column) + 1)) for s in one], turn)

    def move(self, i: int, weights: np.ndarray, rng: np.random.Generator) -> None:
        """Move a copy to where its overlaps count least, if that is less than now; among places without any, by chance.

        Parameters
        ----------
        i : int
            The copy.
        weights : ndarray
            What a cell of its overlap with each other copy counts, shape (n,) [1].
        rng : Generator
            Chance.
        """
        count = self._counted(i, weights.tolist())
        flat = count.ravel()
        at = int(flat.argmin())
        least = float(flat[at])
        if least >= float(weights @ self.overlaps[i]) - 1e-6:
            return
        if least == 0.0:
            free = np.flatnonzero(flat == 0.0)
            at = int(free[rng.integers(len(free))])
        wall = self._walls[self.shapes[i]]
        row, place = divmod(at, count.shape[1])
        column, turn = divmod(place, wall.turns)
        self._sum_up(i, -1.0)
        self.at.row[i], self.at.column[i], self.at.turn[i] = row + wall.row, column + wall.column, turn
        self._sum_up(i, 1.0)
        self._measure(i)

    def _counted(self, i: int, weights: list[float]) -> np.ndarray:
        """What the overlaps of a copy count in each row and, turn by turn, each column of its middle."""
        shape = self.shapes[i]
        wall, count = self._walls[shape].counts, self._walls[shape].sums
        if self._all:
            np.add(wall, self._all[shape], out=count)
            self._add(count, shape, [(i, -1.0), *((j, w - 1.0) for j, w in enumerate(weights) if w != 1.0 and j != i)])
        else:
            np.copyto(count, wall)
            self._add(count, shape, [(j, w) for j, w in enumerate(weights) if j != i])
        return count

    def _add(self, total: np.ndarray, shape: int, copies: Sequence[tuple[int, float]]) -> None:
        """Add what overlaps of a shape with some copies count, by the weight of each, for all places of its middle."""
        rows, columns, turns = self.at
        deep, (_, _, many, first, start) = self._deep[shape], self._walls[shape]
        tall, long = total.shape
        for j, weight in copies:
            other = self.shapes[j]
            cells, row, column = deep[other][turns[j]] or self._made(shape, other, turns[j])
            top, left = rows[j] - row - first, many * (columns[j] - column - start)
            low, end = max(top, 0), min(top + cells.shape[0], tall)
            near, far = max(left, 0), min(left + cells.shape[1], long)
            if low < end and near < far:
                here = cells[low - top : end - top, near - left : far - left]
                total[low:end, near:far] += here if weight == 1.0 else here * weight

    def _sum_up(self, i: int, weight: float) -> None:
        """Add a copy to the sums of all copies, or take it away; these stay exact (see ``PARTS``)."""
        for shape, total in self._all.items():
            self._add(total, shape, [(i, weight)])

    def _measure(self, i: int) -> None:
        """Measure anew how deep a copy lies in the others."""
        rows, columns, turns = self.at
        shape, row, column, turn = self.shapes[i], rows[i], columns[i], turns[i]
        deep, many = self._deep[shape], self._walls[shape].turns
        found = []
        for j, other in enumerate(self.shapes):
            cells, mid, middle = deep[other][turns[j]] or self._made(shape, other, turns[j])
            y, x = row - rows[j] + mid, many * (column - columns[j] + middle) + turn
            inside = j != i and 0 <= y < cells.shape[0] and 0 <= x < cells.shape[1]
            found.append(cells.item(y, x) if inside else 0.0)
        self.overlaps[i] = self.overlaps[:, i] = found

    def _made(self, shape: int, other: int, turn: int) -> Depth:
        self._deep[shape][other][turn] = made = self.depths.depth(shape, self.depths.kinds[other][turn])
        return made

    def _span(self, kind: Kind, length_mm: float) -> _Span:
        low, high = self.depths.outlines.box(kind)
        (wide, tall), cell = 0.5 * (high - low), self.depths.cell_mm
        first = [int(np.ceil(half / cell - SLACK)) for half in (tall, wide)]
        last = [
            int((size - half) / cell + SLACK) if size > half else -1
            for size, half in ((self.height_mm, tall), (length_mm, wide))
        ]
        return _Span(max(first[0], 0), last[0], max(first[1], 0), last[1])


def _open(span: _Span) -> bool:
    return span.last_row >= span.row and span.last_column >= span.column
