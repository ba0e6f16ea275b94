"""Which of the places where a tack may lie are taken: a chain whose gaps lie as near to the spacing aimed at as can be."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: A stretch between two tacks may be longer than the spacing aimed at by this factor [1].
MORE_SPACING = 1.2
#: What a stretch beyond that costs against one that is uneven [1]: it is kept wherever there is a place (our own).
BEYOND = 1000.0
#: Rounds in which a closed chain is looked for again from the middle of the one before.
ROUNDS = 4
#: Stretches looked at are no longer than so many spacings, where places are as dense [1].
FARTHEST = 4.0
#: Costs are compared to so many digits, so that all machines choose alike.
DIGITS = 9


def round_chain(places: Sequence[float], whole_mm: float, spacing_mm: float, least_mm: float) -> list[float]:
    """Return places round a closed line: an even number where that can be, four at least where there is room.

    Parameters
    ----------
    places : sequence of float
        Where the middle of a tack may lie, rising [mm].
    whole_mm : float
        Length of the line [mm].
    spacing_mm : float
        Spacing aimed at [mm].
    least_mm : float
        Least distance of two tacks [mm].
    """
    keys = np.array(places)
    aim = min(spacing_mm, 0.25 * whole_mm)
    # both sides of the longest stretch without a place will be taken
    start = int(np.argmax(np.diff(keys, append=keys[0] + whole_mm)))
    cost, chain = _from(keys, start, whole_mm, aim, least_mm)
    for _ in range(ROUNDS):
        start = int(np.argmin(np.abs(keys - chain[len(chain) // 2])))
        other = _from(keys, start, whole_mm, aim, least_mm)
        if other[0] >= cost:
            break
        cost, chain = other
    return chain


def line_chain(
    places: Sequence[float], ends_mm: tuple[float, float], spacing_mm: float, least_mm: float
) -> list[float]:
    """Return places along an open line, half a spacing from its ends.

    Parameters
    ----------
    places : sequence of float
        Where the middle of a tack may lie, rising [mm].
    ends_mm : (float, float)
        Ends of the line [mm].
    spacing_mm : float
        Spacing aimed at [mm].
    least_mm : float
        Least distance of two tacks [mm].
    """
    keys, room = np.array(places), ends_mm[1] - ends_mm[0]
    aim = room / max(ceil(room / spacing_mm - 1e-9), 1)
    first, last = (_cost(2.0 * np.abs(keys - end) / aim) for end in ends_mm)
    best, before = first.copy(), np.full(len(keys), -1)
    for j, low, high in _within(keys, aim, least_mm):
        costs = np.round(best[low:high] + _cost((keys[j] - keys[low:high]) / aim), DIGITS)
        k = int(np.argmin(costs))
        if costs[k] < best[j]:
            best[j], before[j] = costs[k], low + k
    j = int(np.argmin(np.round(best + last, DIGITS)))
    chain = []
    while j >= 0:
        chain.append(float(keys[j]))
        j = int(before[j])
    return chain[::-1]


def _from(keys: Floats, start: int, whole: float, aim: float, least: float) -> tuple[float, list[float]]:
    """The best closed chain through one place, with its cost: of an even number, else of any."""
    order = np.roll(np.arange(len(keys)), -start)
    x = np.append((keys[order] - keys[start]) % whole, whole)
    count = len(x)
    best, before = np.full((2, count), np.inf), np.full((2, count), -1)
    best[0, 0] = 0.0
    for j, low, high in _within(x, aim, least):
        cost = _cost((x[j] - x[low:high]) / aim)
        for odd in (0, 1):
            costs = np.round(best[1 - odd, low:high] + cost, DIGITS)
            k = int(np.argmin(costs))
            best[odd, j], before[odd, j] = costs[k], low + k
    odd = 0 if np.isfinite(best[0, -1]) else 1
    if not np.isfinite(best[odd, -1]):
        return np.inf, [float(keys[start])]
    total, chain, j = float(best[odd, -1]), [], count - 1
    while j > 0:
        j, odd = int(before[odd, j]), 1 - odd
        chain.append(float(keys[order[j]]))
    return total, sorted(chain)


def _within(x: Floats, aim: float, least: float) -> list[tuple[int, int, int]]:
    """For each place that has some, the range of places before it at a distance that may be a stretch."""
    farthest = max(FARTHEST * aim, float(np.diff(x).max(initial=0.0)) + 2.0 * max(aim, least))
    lows, highs = np.searchsorted(x, x - farthest), np.searchsorted(x, x - least + 1e-9)
    return [(j, int(a), int(b)) for j, (a, b) in enumerate(zip(lows, highs, strict=True)) if b > a]


def _cost(ratio: Floats) -> Floats:
    """What stretches cost, given over the spacing aimed at [1]."""
    return np.asarray((ratio - 1.0) ** 2 + BEYOND * np.maximum(ratio - MORE_SPACING, 0.0) ** 2)
