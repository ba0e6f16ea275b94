"""Shorten a strip step by step: part the copies, push them together exactly, shorten, and swap two where it is stuck."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import sqrt
from typing import TYPE_CHECKING

import numpy as np

from cutplan.cutting.nest.grid.board import At, Board
from cutplan.cutting.nest.grid.depths import Depths
from cutplan.cutting.nest.grid.separate import Parted, parted
from cutplan.cutting.nest.outlines import Kind, Outlines
from cutplan.cutting.nest.tighten import Tight, tightened

if TYPE_CHECKING:
    from shapely import Polygon

#: Cells of the grid over what the shapes cover, for one turn; each further turn takes part of them.
_CELLS = 14000
#: How much shorter the next strip is [1], and tries that fail before it is made longer again.
_STEP, _TRIES = 0.004, 6
#: Overlap left for each copy at which it is worth trying to push a layout apart [cells].
_NEAR = 0.3
#: Density of the first strip, how much longer the next one is if that fails, and layouts kept to swap copies in.
_FIRST, _LONGER, _POOL = 0.7, 1.05, 10
#: Share of the largest copies of which two are swapped [1], and spread of the choice among kept layouts [1].
_LARGE, _SPREAD = 0.75, 0.25
#: Share of the tries that begin from the best layout, squeezed, instead of one with two copies swapped [1].
_SQUEEZE = 0.3


@dataclass(slots=True)
class Explorer:
    """A search that goes on from its best layout.

    Parameters
    ----------
    board : Board
        The copies on their strip.
    outlines : Outlines
        The true shapes.
    rng : Generator
        Chance.
    goal_mm : float
        Length of strip that is tried [mm].
    best_mm : float
        Shortest length that is whole [mm].
    """

    board: Board
    outlines: Outlines
    rng: np.random.Generator
    goal_mm: float
    best_mm: float = float("inf")
    _best: At | None = None
    _pool: list[Parted] = field(default_factory=list)
    _failed: int = 0

    @classmethod
    def of(
        cls,
        outlines: Outlines,
        counts: Sequence[int],
        height_mm: float,
        turns: Sequence[float],
        seed: int,
    ) -> Explorer:
        """Return a search that begins by chance, for copies of all shapes in turns [deg]."""
        shapes: Sequence[Polygon] = outlines.shapes
        area = sum(shape.area * count for shape, count in zip(shapes, counts, strict=True))
        depths = Depths.of(shapes, turns, sqrt(area / _CELLS * sqrt(len(turns))), height_mm)
        fits = [_shortest(depths, kinds, height_mm) for kinds, count in zip(depths.kinds, counts, strict=True) if count]
        explorer = cls(
            Board.of(depths, counts, height_mm),
            outlines,
            np.random.default_rng(seed),
            max(area / height_mm / _FIRST, *fits),
        )
        explorer.board.cut_to(explorer.goal_mm)
        explorer.board.put(explorer.board.scattered(explorer.rng))
        return explorer

    def step(self, until: float) -> tuple[tuple[Kind, ...], Tight] | None:
        """Return a shorter layout if one is found in one go, by the monotonic clock [s]."""
        found = parted(self.board, self.rng, until)
        if found.overlap <= _NEAR * len(self.board.shapes):
            kinds, tight = self._tight(found.at, until)
            if not tight.overlap_mm and tight.length_mm < self.best_mm:
                self.go_on(kinds, tight)
                return kinds, tight
        if self.best_mm == float("inf"):
            self._shorten(_LONGER * self.goal_mm)
            self.board.put(found.at)
            return None
        if not found.overlap:
            self._shorten((1.0 - _STEP) * self.goal_mm)
            self.board.put(found.at)
            return None
        self._failed += 1
        if self._failed >= _TRIES and self.goal_mm < (1.0 - 1.5 * _STEP) * self.best_mm:
            pool = self._pool
            self._shorten((1.0 + _STEP) * self.goal_mm)
            self._pool = pool
        self._pool = sorted([*self._pool, found], key=lambda p: p.overlap)[:_POOL]
        which = min(abs(self.rng.normal(0.0, _SPREAD)), 0.99)
        if self._best and self.rng.random() < _SQUEEZE:
            self.board.put(self._squeezed(self._best))
        else:
            self.board.put(self._swapped(self._pool[int(which * len(self._pool))].at))
        return None

    def go_on(self, kinds: Sequence[Kind], tight: Tight) -> None:
        """Go on from a layout that is whole, in a strip that is a step shorter."""
        self.best_mm = tight.length_mm
        self._shorten((1.0 - _STEP) * min(self.goal_mm, tight.length_mm))
        self._best = self._at(kinds, tight.places)
        self.board.put(self._best)

    def _shorten(self, length_mm: float) -> None:
        self.goal_mm = length_mm
        self.board.cut_to(length_mm)
        self._pool = []
        self._failed = 0

    def _squeezed(self, at: At) -> At:
        """Places of a whole layout with all that lies right of a line by chance moved left until they fit the strip."""
        cell = self.board.depths.cell_mm
        less = int(np.ceil((self.best_mm - self.goal_mm) / cell))
        line = self.rng.random() * self.best_mm / cell
        return At(at.row, [c - less if c > line else c for c in at.column], at.turn)

    def _swapped(self, at: At) -> At:
        """Places with two large copies of different shapes swapped."""
        shapes = self.board.shapes
        size = [-self.outlines.shapes[shape].area for shape in shapes]
        large = sorted(range(len(shapes)), key=size.__getitem__)[: max(2, int(_LARGE * len(shapes)))]
        pairs = [(i, j) for i in large for j in large if i < j and shapes[i] != shapes[j]]
        row, column, turn = (list(side) for side in at)
        if pairs:
            i, j = pairs[self.rng.integers(len(pairs))]
            row[i], row[j], column[i], column[j] = row[j], row[i], column[j], column[i]
        return At(row, column, turn)

    def _tight(self, at: At, until: float) -> tuple[tuple[Kind, ...], Tight]:
        depths = self.board.depths
        kinds = tuple(depths.kinds[shape][turn] for shape, turn in zip(self.board.shapes, at.turn, strict=True))
        middle = np.array([0.5 * np.sum(self.outlines.box(kind), axis=0) for kind in kinds])
        places = depths.cell_mm * np.column_stack((at.column, at.row)) - middle
        return kinds, tightened(self.outlines, kinds, places, self.board.height_mm, until)

    def _at(self, kinds: Sequence[Kind], places: np.ndarray) -> At:
        """Rows and columns of a layout, its copies in the board's order."""
        order = sorted(range(len(kinds)), key=lambda k: kinds[k].shape)
        middle = np.array([places[k] + 0.5 * np.sum(self.outlines.box(kinds[k]), axis=0) for k in order])
        cells = np.rint(middle / self.board.depths.cell_mm).astype(int)
        turns = [self.board.depths.number.get(kinds[k], 0) for k in order]
        return At(cells[:, 1].tolist(), cells[:, 0].tolist(), turns)


def _shortest(depths: Depths, kinds: Sequence[Kind], height_mm: float) -> float:
    """Shortest strip that takes a shape in one of its turns [mm]."""
    sizes = [high - low for low, high in map(depths.outlines.box, kinds)]
    return float(min((x for x, y in sizes if y <= height_mm + depths.cell_mm), default=0.0))
