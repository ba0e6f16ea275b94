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
        None where the turn keeps the shape on the strip, shape (rows, columns x turns) [cells].
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
    """

    depths: Depths
    shapes: list[int]
    height_mm: float
    at: At
    overlaps: np.ndarray
    _deep: list[list[list[Depth | None]]]
    _spans: list[list[_Span]]
    _walls: list[_Wall]

    @classmethod
    def of(cls, depths: Depths, counts: Sequence[int], height_mm: float) -> Board:
        """Return a board with copies of all shapes, without a length yet."""
        shapes = [k for k, count in enumerate(counts) for _ in range(count)]
        n = len(shapes)
        deep: list[list[list[Depth | None]]] = [[[None] * len(k) for k in depths.kinds] for _ in depths.kinds]
        return cls(depths, shapes, height_mm, At([0] * n, [0] * n, [0] * n), np.zeros((n, n)), deep, [], [])

    def cut_to(self, length_mm: float) -> None:
        """Give the strip a length [mm]."""
        self._spans = [[self._span(kind, length_mm) for kind in kinds] for kinds in self.depths.kinds]
        self._walls = [_Wall.of(spans) for spans in self._spans]

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
        column, self.at.turn[i] = divmod(place, wall.turns)
        self.at.row[i], self.at.column[i] = row + wall.row, column + wall.column
        self._measure(i)

    def _counted(self, i: int, weights: list[float]) -> np.ndarray:
        """What the overlaps of a copy count in each row and, turn by turn, each column of its middle."""
        shape, (rows, columns, turns) = self.shapes[i], self.at
        deep, (wall, count, many, first, start) = self._deep[shape], self._walls[shape]
        np.copyto(count, wall)
        tall, long = wall.shape
        for j, other in enumerate(self.shapes):
            if j == i:
                continue
            cells, row, column = deep[other][turns[j]] or self._made(shape, other, turns[j])
            top, left = rows[j] - row - first, many * (columns[j] - column - start)
            low, end = max(top, 0), min(top + cells.shape[0], tall)
            near, far = max(left, 0), min(left + cells.shape[1], long)
            if low < end and near < far:
                here, weight = cells[low - top : end - top, near - left : far - left], weights[j]
                count[low:end, near:far] += here if weight == 1.0 else here * weight
        return count

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
