"""Part copies that overlap: each moves to its best place, and what goes on overlapping counts more and more."""

from __future__ import annotations

import time
from typing import NamedTuple

import numpy as np

from cutplan.cutting.nest.grid.board import At, Board

#: Rounds without a better layout before giving up.
_PATIENCE = 30
#: Share of the overlap by which a layout must better the best to count as progress [1].
_BETTER = 0.02
#: Growth of the weight of an overlap, the least and what is added for the deepest; and what is left of it when it is gone.
_GROW, _DEEPEST, _FADE = 1.2, 0.8, 0.95


class Parted(NamedTuple):
    """The layout with the least overlap that was found, and that overlap, summed over all pairs [cells]."""

    overlap: float
    at: At


def parted(board: Board, rng: np.random.Generator, until: float, patience: int = _PATIENCE) -> Parted:
    """Return the layout with the least overlap that is found from the board's own.

    Parameters
    ----------
    board : Board
        The copies; they are left where the search ends.
    rng : Generator
        Chance.
    until : float
        When to stop, by the monotonic clock [s].
    patience : int
        Rounds without a better layout before giving up.
    """
    weights = np.ones_like(board.overlaps)
    best, since = _now(board), 0
    while best.overlap and since < patience and time.monotonic() < until:
        touching = np.flatnonzero(board.overlaps.any(axis=1))
        for i in rng.permutation(touching).tolist():
            if board.overlaps[i].any():
                board.move(i, weights[i], rng)
        total = 0.5 * float(board.overlaps.sum())
        since = 0 if total < (1.0 - _BETTER) * best.overlap else since + 1
        if total < best.overlap:
            best = _now(board)
        most = max(float(board.overlaps.max()), 1e-9)
        grown = weights * (_GROW + _DEEPEST * board.overlaps / most)
        weights = np.where(board.overlaps > 0.0, grown, np.maximum(1.0, weights * _FADE))
    return best


def _now(board: Board) -> Parted:
    return Parted(0.5 * float(board.overlaps.sum()), At(*(list(side) for side in board.at)))
