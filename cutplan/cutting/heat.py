"""Heat: keep cuts that share a thin web apart in time, as far as the way stays as short as by habit."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from cutplan.cutting.order import Order, Stops, choose_ways, nearest_neighbour
from cutplan.cutting.result import CutPath
from cutplan.findings import Finding
from cutplan.geometry.flatten import flatten
from cutplan.geometry.pairs import near_pairs
from cutplan.tables.holes import HEAT_GAP

#: Stops up to which moves against heat are tried.
FEW = 160


def cooler_order(
    stops: Stops, order: Order, cuts: Sequence[CutPath], thickness_mm: float
) -> tuple[Order, tuple[Finding, ...]]:
    """Return an order with fewer hot neighbours in time, never longer than the nearest neighbour's.

    Two inner cuts are hot neighbours when less than three thicknesses of metal lie between them (our own choice) and
    one is cut right after the other. Single stops are moved elsewhere as long as that takes a hot pair apart.

    Parameters
    ----------
    stops : Stops
        What was ordered.
    order : Order
        The short order.
    cuts : sequence of CutPath
        One way to cut each stop, for distances.
    thickness_mm : float
        Plate thickness [mm]
    """
    hot = hot_pairs(cuts, HEAT_GAP * thickness_mm)
    if not hot:
        return order, ()
    count = _count([s for s, _ in order.turns], hot)
    if count == 0:
        return order, ()
    if len(stops) <= FEW:
        order = _spaced(stops, order, hot)
    left = _count([s for s, _ in order.turns], hot)
    if left == 0:
        return order, ()
    return order, (Finding(
        "heat-adds-up", "note",
        f"{left} cuts follow right after a neighbour closer than {HEAT_GAP * thickness_mm:.0f} mm: heat adds up there",
        fix="let the plate cool for some seconds between them",
    ),)


def hot_pairs(cuts: Sequence[CutPath], gap_mm: float) -> frozenset[tuple[int, int]]:
    """Return the pairs (i, j), i < j, of inner cuts with less than a gap [mm] between their lines."""
    inner = [k for k, c in enumerate(cuts) if c.inner]
    boxes = [cuts[k].contour.box for k in inner]
    points: dict[int, np.ndarray] = {}
    found: set[tuple[int, int]] = set()
    for a, b in near_pairs(boxes, gap_mm):
        i, j = inner[a], inner[b]
        ca, cb = cuts[i].contour.as_circle(), cuts[j].contour.as_circle()
        if ca and cb:
            gap = ca[0].distance(cb[0]) - ca[1] - cb[1]
        else:
            for k in (i, j):
                if k not in points:
                    points[k] = np.array(flatten(cuts[k].contour, 0.5))
            p, q = points[i], points[j]
            gap = float(np.hypot(p[:, 0, None] - q[None, :, 0], p[:, 1, None] - q[None, :, 1]).min())
        if gap < gap_mm:
            found.add((i, j))
    return frozenset(found)


def _count(sequence: list[int], hot: frozenset[tuple[int, int]]) -> int:
    return sum((min(a, b), max(a, b)) in hot for a, b in itertools.pairwise(sequence))


def _spaced(stops: Stops, order: Order, hot: frozenset[tuple[int, int]]) -> Order:
    """Move single stops so that fewer hot pairs follow each other, within the length of the nearest neighbour."""
    budget = nearest_neighbour(stops).rapid_mm + 1e-9
    before = set(stops.before)
    best = order
    left = _count([s for s, _ in best.turns], hot)
    while left:
        sequence = [s for s, _ in best.turns]
        n = len(sequence)
        choice: tuple[int, float, Order] | None = None
        for i in range(n - 1):
            pair = (min(sequence[i], sequence[i + 1]), max(sequence[i], sequence[i + 1]))
            if pair not in hot:
                continue
            for source in (i, i + 1):
                rest = sequence[:source] + sequence[source + 1 :]
                stop = sequence[source]
                for to in range(n):
                    if to == source or not _allowed(rest, stop, to, before):
                        continue
                    tried = [*rest[:to], stop, *rest[to:]]
                    count = _count(tried, hot)
                    if count >= left or (choice is not None and count > choice[0]):
                        continue
                    found = choose_ways(stops, tried)
                    if found.rapid_mm <= budget and (choice is None or (count, found.rapid_mm) < choice[:2]):
                        choice = (count, found.rapid_mm, found)
        if choice is None:
            return best
        left, best = choice[0], choice[2]
    return best


def _allowed(rest: list[int], stop: int, to: int, before: set[tuple[int, int]]) -> bool:
    return not any((stop, s) in before for s in rest[:to]) and not any((s, stop) in before for s in rest[to:])
