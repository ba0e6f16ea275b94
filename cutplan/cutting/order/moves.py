"""Shorten an order of up to a few hundred stops: weigh every reversal and every move of a short stretch at once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from cutplan.geometry.vector import Point

_Array = NDArray[np.float64]
#: Longest stretch that is moved as a whole.
STRETCH = 3
_GAIN_MM = 1e-7


def improve_few(
    home: Point, pierces: _Array, ends: _Array, sequence: Sequence[int], before: Sequence[tuple[int, int]]
) -> list[int]:
    """Return the sequence after the best move, again and again, until no move shortens it.

    Parameters
    ----------
    home : Point
        Start of the way [mm].
    pierces, ends : array
        Pierce and end of each stop, (stops, 2) [mm].
    sequence : sequence of int
        A valid order of the stops.
    before : sequence of (int, int)
        Pairs that must keep their order.
    """
    n = len(sequence)
    order = np.array(sequence, dtype=np.intp)
    # row n is home, column n a free end that costs nothing
    way = np.zeros((n + 1, n + 1))
    starts = np.vstack((ends, (home.x, home.y)))
    way[:, :n] = np.hypot(starts[:, 0, None] - pierces[None, :, 0], starts[:, 1, None] - pierces[None, :, 1])
    while True:
        latest, earliest = _limits(order, before)
        gain, change = _best_reversal(order, way, latest)
        other_gain, other = _best_stretch_move(order, way, latest, earliest)
        if max(gain, other_gain) <= _GAIN_MM:
            return [int(s) for s in order]
        order = change if gain >= other_gain else other


def _limits(order: NDArray[np.intp], before: Sequence[tuple[int, int]]) -> tuple[_Array, _Array]:
    """For each position: position of the first stop that waits for it, and of the last one that it waits for."""
    n = len(order)
    latest, earliest = np.full(n, np.inf), np.full(n, -1.0)
    if before:
        position = np.empty(n, dtype=np.intp)
        position[order] = np.arange(n)
        pairs = np.array(before, dtype=np.intp)
        a, b = position[pairs[:, 0]], position[pairs[:, 1]]
        np.minimum.at(latest, a, b)
        np.maximum.at(earliest, b, a)
    return latest, earliest


def _best_reversal(order: NDArray[np.intp], way: _Array, latest: _Array) -> tuple[float, NDArray[np.intp]]:
    n = len(order)
    previous = np.concatenate(([n], order[:-1]))
    following = np.concatenate((order[1:], [n]))
    onward = np.concatenate(([0.0], np.cumsum(way[order[:-1], order[1:]])))
    backward = np.concatenate(([0.0], np.cumsum(way[order[1:], order[:-1]])))
    i, j = np.arange(n)[:, None], np.arange(n)[None, :]
    old = way[previous, order][:, None] + (onward[None, :] - onward[:, None]) + way[order, following][None, :]
    new = (
        way[previous[:, None], order[None, :]]
        + (backward[None, :] - backward[:, None])
        + way[order[:, None], following[None, :]]
    )
    gain = old - new
    table = np.where(j >= i, latest[None, :], np.inf)
    reach = np.minimum.accumulate(table, axis=1)
    gain[(j <= i) | (reach <= j)] = -np.inf
    k = int(gain.argmax())
    a, b = divmod(k, n)
    changed = np.concatenate((order[:a], order[a : b + 1][::-1], order[b + 1 :]))
    return float(gain[a, b]), changed


def _best_stretch_move(
    order: NDArray[np.intp], way: _Array, latest: _Array, earliest: _Array
) -> tuple[float, NDArray[np.intp]]:
    n = len(order)
    best, changed = 0.0, order
    padded = np.concatenate(([n], order, [n]))  # home, stops, free end
    links = way[padded[:-1], padded[1:]]  # links[g]: into position g
    gap = np.arange(n + 1)  # insert before the stop at position g
    for size in range(1, min(STRETCH, n - 1) + 1):
        i = np.arange(n - size + 1)
        first, last = order[i], order[i + size - 1]
        freed = links[i] + links[i + size] - way[padded[i], padded[i + size + 1]]
        latest_of = np.min([latest[i + k] for k in range(size)], axis=0)
        earliest_of = np.max([earliest[i + k] for k in range(size)], axis=0)
        for turned in (False, True) if size > 1 else (False,):
            a, b = (last, first) if turned else (first, last)
            inside = np.zeros(len(i))
            if turned:
                for k in range(size - 1):
                    inside = inside + way[order[i + k + 1], order[i + k]] - way[order[i + k], order[i + k + 1]]
            added = way[padded[gap][None, :], a[:, None]] + way[b[:, None], padded[gap + 1][None, :]] - links[None, :]
            gain = freed[:, None] - added - inside[:, None]
            bad = (gap[None, :] >= i[:, None]) & (gap[None, :] <= (i + size)[:, None])
            bad |= (gap[None, :] > (i + size)[:, None]) & (latest_of[:, None] < gap[None, :])
            bad |= (gap[None, :] < i[:, None]) & (earliest_of[:, None] >= gap[None, :])
            if turned:  # turning a stretch must not swap a pair inside it
                bad |= (latest_of <= i + size - 1)[:, None]
            gain[bad] = -np.inf
            k = int(gain.argmax())
            at, to = divmod(k, n + 1)
            if gain[at, to] > best:
                best = float(gain[at, to])
                piece = order[at : at + size][::-1] if turned else order[at : at + size]
                rest = np.concatenate((order[:at], order[at + size :]))
                to = to if to < at else to - size
                changed = np.concatenate((rest[:to], piece, rest[to:]))
    return best, changed
