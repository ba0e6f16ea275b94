"""Heat: keep cuts that share a thin web apart in time, for as many seconds of travel as the job gives for each."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from cutplan.cutting.gaps import gap_between
from cutplan.cutting.order.short import Order, Stops, choose_ways
from cutplan.cutting.result import CutPath
from cutplan.findings import Finding
from cutplan.geometry.pairs import near_pairs
from cutplan.tables.cutting.cut_speed import RAPID_MM_PER_MIN
from cutplan.tables.cutting.holes import COOL_TRAVEL_S, HEAT_GAP
from cutplan.texts import Message, every, mm, name, number, plural, say

_Array = NDArray[np.float64]
#: Stops up to which moves against heat are tried.
MOST = 1200
#: Hot neighbours told one by one.
TOLD = 8
#: Rounds over the order.
SWEEPS = 3


def cooler_order(
    stops: Stops, order: Order, cuts: Sequence[CutPath], thickness_mm: float, travel_s: float = COOL_TRAVEL_S
) -> tuple[Order, tuple[Finding, ...]]:
    """Return an order with fewer hot neighbours in time, and what that costs in travel.

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
    travel_s : float
        Travel that keeping two hot neighbours apart may cost [s]
    """
    hot = hot_pairs(cuts, HEAT_GAP * thickness_mm)
    if not hot:
        return order, ()
    count = _count([s for s, _ in order.turns], hot)
    if count == 0:
        return order, ()
    speed = RAPID_MM_PER_MIN[1] / 60.0
    shortest_mm = order.rapid_mm
    if len(stops) <= MOST:
        order = _spaced(stops, order, hot, travel_s * speed)
    left = _count([s for s, _ in order.turns], hot)
    said: list[Finding] = []
    if left < count:
        said.append(_told(count - left, max(0.0, order.rapid_mm - shortest_mm) / speed, travel_s))
    if left == 0:
        return order, tuple(said)
    after = [
        say("{second} after {first}", second=name(cuts[b].name), first=name(cuts[a].name))
        for (a, _), (b, _) in itertools.pairwise(order.turns)
        if (min(a, b), max(a, b)) in hot
    ]
    return order, (
        *said,
        Finding(
            "heat-adds-up",
            "note",
            plural(
                "{count} cut follows right after a neighbour closer than {gap}, where heat adds up: {cuts}",
                "{count} cuts follow right after a neighbour closer than {gap}, where heat adds up: {cuts}",
                left,
                gap=mm(HEAT_GAP * thickness_mm, 0),
                cuts=_first_few(after),
            ),
            fix=say("let the plate cool until a hand can rest on it before such a cut"),
        ),
    )


def _told(apart: int, cost_s: float, travel_s: float) -> Finding:
    return Finding(
        "heat-kept-apart",
        "note",
        plural(
            "{count} pair of neighbouring cuts is kept apart in time; that costs {cost} of travel",
            "{count} pairs of neighbouring cuts are kept apart in time; that costs {cost} of travel",
            apart,
            cost=number(cost_s, "s", 1),
        ),
        "cutting.cool_travel_s",
        say(
            "{limit} for each pair is what this job gives; more or less can be said there", limit=number(travel_s, "s")
        ),
    )


def _first_few(cuts: list[Message]) -> Message:
    if len(cuts) <= TOLD:
        return say("{cuts}", cuts=every(cuts))
    return say("{cuts} and {more} more", cuts=every(cuts[:TOLD]), more=len(cuts) - TOLD)


def hot_pairs(cuts: Sequence[CutPath], gap_mm: float) -> frozenset[tuple[int, int]]:
    """Return the pairs (i, j), i < j, of inner cuts with less than a gap [mm] between their lines."""
    inner = [k for k, c in enumerate(cuts) if c.inner]
    boxes = [cuts[k].contour.box for k in inner]
    found: set[tuple[int, int]] = set()
    for a, b in near_pairs(boxes, gap_mm):
        i, j = inner[a], inner[b]
        if gap_between(cuts[i].contour, cuts[j].contour) < gap_mm:
            found.add((i, j))
    return frozenset(found)


def _count(sequence: Sequence[int], hot: frozenset[tuple[int, int]]) -> int:
    return sum((min(a, b), max(a, b)) in hot for a, b in itertools.pairwise(sequence))


def _spaced(stops: Stops, order: Order, hot: frozenset[tuple[int, int]], each_mm: float) -> Order:
    """Move single stops so that fewer hot pairs follow each other, each for at most a length of travel [mm]."""
    n = len(stops)
    warm = np.zeros((n + 1, n + 1), dtype=np.int8)  # row and column n: nothing before or after
    for a, b in hot:
        warm[a, b] = warm[b, a] = 1
    first: list[list[int]] = [[] for _ in range(n)]
    then: list[list[int]] = [[] for _ in range(n)]
    for a, b in stops.before:
        first[b].append(a)
        then[a].append(b)
    pierce, end = np.zeros((n, 2)), np.zeros((n, 2))
    for stop, way in order.turns:
        pierce[stop], end[stop] = stops.pierces[stop][way], stops.ends[stop][way]
    sequence = [s for s, _ in order.turns]
    home = np.array(stops.home, dtype=float)
    for _ in range(SWEEPS):
        moved = False
        k = 0
        while k < n - 1:
            if warm[sequence[k], sequence[k + 1]]:
                for stop in (sequence[k + 1], sequence[k]):
                    found = _better_place(stop, sequence, warm, pierce, end, home, each_mm, first, then)
                    if found is not None:
                        sequence = found
                        moved = True
                        break
            k += 1
        if not moved:
            break
    return choose_ways(stops, sequence)


def _better_place(
    stop: int,
    sequence: list[int],
    warm: NDArray[np.int8],
    pierce: _Array,
    end: _Array,
    home: _Array,
    each_mm: float,
    first: list[list[int]],
    then: list[list[int]],
) -> list[int] | None:
    """Return the sequence with one stop moved to where most hot pairs go; None where that costs too much."""
    n = len(sequence)
    at = sequence.index(stop)
    rest = np.array(sequence[:at] + sequence[at + 1 :])
    before, after = np.concatenate(([n], rest)), np.concatenate((rest, [n]))
    leave = np.vstack((home, end[rest]))
    gap = np.hypot(*(leave[:-1] - pierce[rest]).T)
    reach = np.hypot(*(leave - pierce[stop]).T)
    onward = np.append(np.hypot(*(pierce[rest] - end[stop]).T), 0.0)
    cost = reach + onward - np.append(gap, 0.0)
    hot = warm[before, stop] + warm[stop, after] - warm[before, after]
    position = {int(s): k for k, s in enumerate(rest)}
    low = max((position[s] + 1 for s in first[stop]), default=0)
    high = min((position[s] for s in then[stop]), default=n - 1)
    allowed = (cost - cost[at] <= each_mm * (hot[at] - hot)) & (hot < hot[at])
    allowed[:low] = False
    allowed[high + 1 :] = False
    if not allowed.any():
        return None
    place = min(np.flatnonzero(allowed), key=lambda k: (int(hot[k]), float(cost[k])))
    k = int(place)
    return [*(int(s) for s in rest[:k]), stop, *(int(s) for s in rest[k:])]
