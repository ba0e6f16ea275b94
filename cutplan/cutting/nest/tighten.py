"""Push laid shapes together: all at once, each past no line that parts it from a neighbour, again and again."""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from cutplan.cutting.nest.outlines import Kind, Outlines

if TYPE_CHECKING:
    from scipy.sparse import csr_array

#: Farthest move of one push, as a share of the mean size of the shapes' boxes [1].
_REACH = 0.4
#: Shares of a length and of an overlap by which a push must better them to be followed by another [1], and most pushes.
_SHORTER, _LESS, _PUSHES = 1e-6, 0.1, 60
#: Overlap that counts as none, as a share of the strip's height [1]: shapes that lock into each other leave no room.
_TOUCH = 1e-7
#: What a unit of overlap costs, and one of a place to the right or up, in lengths of the strip [1].
_OVERLAP, _PLACE = 100.0, 1e-6
#: Least time for one push [s].
_LEAST_S = 0.1


class Tight(NamedTuple):
    """Places of all shapes [mm], the length of the strip [mm], and the overlap left, summed [mm]."""

    places: np.ndarray
    length_mm: float
    overlap_mm: float


class _Boxes(NamedTuple):
    """Lower and upper corners of all shapes about their own origins, shape (n, 2), and the farthest move [mm]."""

    low: np.ndarray
    high: np.ndarray
    reach_mm: float


class _Lines(NamedTuple):
    """A line for each two convex pieces that could meet: both copies, normal, need, and number of their overlap or -1."""

    first: np.ndarray
    second: np.ndarray
    normal: np.ndarray
    need: np.ndarray
    slack: np.ndarray


def tightened(
    outlines: Outlines, kinds: Sequence[Kind], places: np.ndarray, height_mm: float, until: float = float("inf")
) -> Tight:
    """Return shapes pushed apart where they overlap, and together to the left where they do not.

    Each shape keeps its turn. Every push is the exact optimum over all places on the known side of one line for each
    pair of convex pieces, so that shapes without overlap never get one.

    Parameters
    ----------
    outlines : Outlines
        The shapes.
    kinds : sequence of Kind
        Shape and turn of each copy.
    places : ndarray
        Where each copy lies, shape (n, 2) [mm].
    height_mm : float
        Height of the strip [mm].
    until : float
        When to stop, by the monotonic clock [s].
    """
    low, high = (np.array(side) for side in zip(*(outlines.box(k) for k in kinds), strict=True))
    boxes = _Boxes(low, high, _REACH * float(np.sqrt(np.prod(high - low, axis=1).mean())))
    now = Tight(np.maximum(places, -low), float("inf"), float("inf"))
    for _ in range(_PUSHES):
        pushed = _pushed(_lines(outlines, kinds, now.places, boxes), now.places, boxes, height_mm, until)
        if pushed is None:
            break
        less = pushed.overlap_mm < (1.0 - _LESS) * now.overlap_mm
        shorter = pushed.length_mm < (1.0 - _SHORTER) * now.length_mm
        now = pushed
        if not (less or shorter) or time.monotonic() > until:
            break
    return now


def _pushed(lines: _Lines, places: np.ndarray, boxes: _Boxes, height: float, until: float) -> Tight | None:
    """One push: the shortest strip with every shape on its side of the lines."""
    from scipy.optimize import linprog

    low, high, reach = boxes
    n, slacks = len(places), int(lines.slack.max(initial=-1)) + 1
    top = np.column_stack((np.full(n, np.inf), np.maximum(height - high[:, 1], -low[:, 1])))
    at = np.clip(places, -low, top)
    reachable = np.column_stack((np.maximum(at - reach, -low).ravel(), np.minimum(at + reach, top).ravel()))
    found = linprog(
        np.concatenate((np.full(2 * n, _PLACE), [1.0], np.full(slacks, _OVERLAP))),
        A_ub=_matrix(lines, n, slacks),
        b_ub=np.concatenate((-lines.need, -high[:, 0])),
        bounds=np.vstack((reachable, np.tile([0.0, np.inf], (1 + slacks, 1)))),
        method="highs",
        options={"time_limit": max(_LEAST_S, until - time.monotonic())},
    )  # type: ignore[call-overload]
    if found.status:
        return None
    moved = found.x[: 2 * n].reshape(n, 2)
    over = found.x[2 * n + 1 :]
    return Tight(moved, float((moved + high)[:, 0].max()), float(over[over > _TOUCH * height].sum()))


def _matrix(lines: _Lines, n: int, slacks: int) -> csr_array:
    """What each line and each right end asks for; columns: x and y of each copy, the length, overlaps left."""
    from scipy.sparse import coo_array

    m, copies = len(lines.need), np.arange(n)
    row, held = np.arange(m), lines.slack >= 0
    entries = [  # row, column, value
        *((row, 2 * lines.first + axis, lines.normal[:, axis]) for axis in (0, 1)),
        *((row, 2 * lines.second + axis, -lines.normal[:, axis]) for axis in (0, 1)),
        (row[held], 2 * n + 1 + lines.slack[held], np.full(int(held.sum()), -1.0)),
        (m + copies, 2 * copies, np.ones(n)),
        (m + copies, np.full(n, 2 * n), np.full(n, -1.0)),
    ]
    rows, columns, values = (np.concatenate(side) for side in zip(*entries, strict=True))
    return coo_array((values, (rows, columns)), shape=(m + n, 2 * n + 1 + slacks)).tocsr()


def _lines(outlines: Outlines, kinds: Sequence[Kind], places: np.ndarray, boxes: _Boxes) -> _Lines:
    """The line that parts each two convex pieces most, for those that one push could bring together."""
    lower, upper, near = places + boxes.low, places + boxes.high, 2.0 * boxes.reach_mm
    meet = np.all((lower[:, None] <= upper[None] + near) & (lower[None] <= upper[:, None] + near), axis=2)
    found: list[_Lines] = []
    slacks = 0
    for i, j in zip(*np.nonzero(np.triu(meet, 1)), strict=True):
        lines = outlines.faces(kinds[i], kinds[j])
        chosen, room = lines.best(places[j] - places[i])
        close = room < near * np.sqrt(2.0)
        chosen, over = chosen[close], room[close] < 0.0
        ends = np.full(len(chosen), i), np.full(len(chosen), j)
        found.append(_Lines(*ends, lines.normals[chosen], lines.needs[chosen], np.where(over, slacks, -1)))
        slacks += bool(over.any())
    if not found:
        none = np.empty(0, int)
        return _Lines(none, none, np.empty((0, 2)), np.empty(0), none)
    return _Lines(*(np.concatenate(side) for side in zip(*found, strict=True)))
