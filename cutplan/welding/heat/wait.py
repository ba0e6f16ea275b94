"""How long to wait: the heat of all earlier beads where the next one starts, and the time of the whole plan."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, sqrt

import numpy as np
from numpy.typing import NDArray

from cutplan.tables.steel import CARBON_STEEL, SteelProperties
from cutplan.welding.heat.kernels import insert_rise_K, sheet_rise_K

Floats = NDArray[np.float64]

#: Time to move, settle and start again [s] (common practice).
MOVE_S = 5.0
#: Longest wait that is planned [s].
LONGEST_WAIT_S = 1800.0
#: Waits tried first [s]: each 1.6 times the one before. Then that many between two of them.
_FIRST_WAITS = np.array([0.0, *(4.0 * 1.6**n for n in range(13)), LONGEST_WAIT_S])
_BETWEEN = 8
#: Waits tried at once: later ones may not be needed.
_AT_ONCE = 10
#: A bead that ended this long ago counts as one release at its middle [s]: heat has spread over more than its length.
LUMPED_AFTER_S = 240.0


@dataclass(frozen=True, slots=True, eq=False)
class HotBead:
    """One bead as a heat source.

    Parameters
    ----------
    nodes : ndarray (n, 2)
        Places along the bead in the direction of travel, middles of equal pieces [mm].
    length_mm : float
        Length of the bead [mm].
    heat_J_per_mm : float
        Net heat input [J/mm].
    duration_s : float
        Arc time [s].
    """

    nodes: Floats
    length_mm: float
    heat_J_per_mm: float
    duration_s: float


@dataclass(frozen=True, slots=True)
class HeatRoom:
    """The metal that takes the heat.

    Parameters
    ----------
    flow_mm : float
        Thickness of an even sheet that takes heat as the joint does [mm].
    plate_mm : float
        Thickness of the insert, evened out over its bounding box [mm].
    plate_share : float
        Share of the heat that goes into the insert [1].
    box : (float, float, float, float)
        Bounding box of the insert: x and y of its lower left, width and height [mm].
    joint_mm : float
        Length of joint to be welded [mm].
    """

    flow_mm: float
    plate_mm: float
    plate_share: float
    box: tuple[float, float, float, float]
    joint_mm: float


@dataclass(frozen=True, slots=True)
class Start:
    """When a bead starts and how warm its place is then.

    Parameters
    ----------
    wait_s : float
        Wait after the bead before, beyond the time to move [s].
    start_s : float
        Start after the first arc of the plan [s].
    end_s : float
        End of the bead [s].
    low_C, mid_C, high_C : float
        Warmest place of the bead just before the arc gets there: joint taken as metal, by share joined, joint taken as
        insulating [degC].
    reached : bool
        The limit could be kept within the longest wait.
    """

    wait_s: float
    start_s: float
    end_s: float
    low_C: float
    mid_C: float
    high_C: float
    reached: bool


def hot_bead(points: Floats, heat_J_per_mm: float, speed_mm_per_s: float, length_mm: float) -> HotBead:
    """Return a bead as a heat source from places (n, 2) evenly along its travel [mm], heat [J/mm] and speed [mm/s]."""
    return HotBead(points, length_mm, heat_J_per_mm, length_mm / speed_mm_per_s)


def node_count(length_mm: float) -> int:
    """Return how many places stand for a bead: one each 4 mm, at least 5."""
    return max(5, ceil(length_mm / 4.0))


class _Warm:
    """All heat released so far; beads long past are one release each."""

    def __init__(self) -> None:
        self.recent: list[tuple[float, Floats, Floats, Floats]] = []
        self.old: list[tuple[Floats, float, float]] = []

    def add(self, bead: HotBead, begin: float) -> None:
        """Take in a bead that starts at a time [s]."""
        pieces = len(bead.nodes)
        times = begin + (np.arange(pieces) + 0.5) / pieces * bead.duration_s
        heats = np.full(pieces, bead.heat_J_per_mm * bead.length_mm / pieces)
        self.recent.append((begin + bead.duration_s, bead.nodes, times, heats))

    def at(self, now: float) -> tuple[Floats, Floats, Floats]:
        """Places [mm], times [s] and heats [J] as seen from a time [s]."""
        young = []
        for end, places, times, heats in self.recent:
            if now - end > LUMPED_AFTER_S:
                self.old.append((places.mean(axis=0), float(times.mean()), float(heats.sum())))
            else:
                young.append((end, places, times, heats))
        self.recent = young
        where = [v[1] for v in young] + ([np.array([v[0] for v in self.old])] if self.old else [])
        when = [v[2] for v in young] + ([np.array([v[1] for v in self.old])] if self.old else [])
        heat = [v[3] for v in young] + ([np.array([v[2] for v in self.old])] if self.old else [])
        return np.concatenate(where), np.concatenate(when), np.concatenate(heat)


@dataclass(frozen=True, slots=True, eq=False)
class _Warmth:
    """How warm the place of a bead is when it starts after a wait, from all heat before it."""

    bead: HotBead
    earliest_s: float
    sources: tuple[Floats, Floats, Floats]
    share: float
    room: HeatRoom
    steel: SteelProperties

    def rises_K(self, waits: Floats) -> tuple[Floats, Floats, Floats]:
        """Rise at the warmest place after each wait: joint taken as metal, by share joined, taken as insulated."""
        bead, room = self.bead, self.room
        probes = np.array([0, len(bead.nodes) // 2, len(bead.nodes) - 1])
        offsets = (probes + 0.5) / len(bead.nodes) * bead.duration_s
        places = np.tile(bead.nodes[probes], (len(waits), 1))
        times = (self.earliest_s + waits[:, None] + offsets).ravel()
        where, when, heat = self.sources
        low = sheet_rise_K(places, times, where, when, heat, room.flow_mm, self.steel)
        inside = room.plate_share * heat
        high = insert_rise_K(places, times, where, when, inside, room.box, room.plate_mm, self.steel)
        mid = self.share * low + (1.0 - self.share) * high
        low, mid, high = (r.reshape(len(waits), -1).max(axis=1) for r in (low, mid, high))
        return low, mid, high


def plan_starts(
    beads: tuple[HotBead, ...],
    room: HeatRoom,
    interpass_C: float,
    ambient_C: float = 20.0,
    steel: SteelProperties = CARBON_STEEL,
    move_s: float = MOVE_S,
) -> tuple[Start, ...]:
    """Return when each bead may start so that its place is below a temperature.

    Parameters
    ----------
    beads : tuple of HotBead
        Beads in the order of welding
    room : HeatRoom
        The metal that takes the heat
    interpass_C : float
        Highest temperature of a place just before the arc gets there [degC]
    ambient_C : float
        Temperature of the metal before welding [degC]
    steel : SteelProperties
        Properties
    move_s : float
        Time to move from one bead to the next [s]

    Returns
    -------
    tuple of Start
        Start of each bead with its wait and temperatures.

    Notes
    -----
    The two ends are exact for their assumptions. The middle goes from the insulated insert towards the joined sheet by
    the square root of the share of the joint welded so far: our own rule, set against a finite-difference sheet.
    """
    starts: list[Start] = []
    warm = _Warm()
    now = 0.0
    joined = 0.0
    for bead in beads:
        if not starts:
            start = Start(0.0, 0.0, bead.duration_s, ambient_C, ambient_C, ambient_C, True)
        else:
            earliest = now + move_s
            warmth = _Warmth(bead, earliest, warm.at(now), sqrt(min(joined / room.joint_mm, 1.0)), room, steel)
            wait, (low, mid, high) = _shortest_wait(warmth.rises_K, interpass_C - ambient_C)
            begin = earliest + wait
            low, mid, high = ambient_C + min(low, mid), ambient_C + mid, ambient_C + max(high, mid)
            start = Start(wait, begin, begin + bead.duration_s, low, mid, high, mid <= interpass_C + 1e-9)
        starts.append(start)
        warm.add(bead, start.start_s)
        now = start.end_s
        joined += bead.length_mm
    return tuple(starts)


def _shortest_wait(
    warmest: Callable[[Floats], tuple[Floats, Floats, Floats]], limit_K: float
) -> tuple[float, tuple[float, float, float]]:
    """Return the shortest wait after which a place is cool [s], and its rise then [K].

    Waits are tried some at a time, first from nothing to the longest, then between the last too short and the first that
    will do; where none will do, the longest is returned.
    """
    at, rise = _first_cool(warmest, np.array([0.0]), limit_K)
    if at == 0:
        return 0.0, rise
    short, waits = 0.0, _FIRST_WAITS[1:]
    at, rise = _first_cool(warmest, waits, limit_K)
    if at == len(waits):
        return float(waits[-1]), rise
    while True:
        long, short = float(waits[at]), float(waits[at - 1]) if at else short
        if long - short <= 0.01 * long + 0.2:
            return long, rise
        waits = np.linspace(short, long, _BETWEEN + 1)[1:]
        at, shorter = _first_cool(warmest, waits[:-1], limit_K)
        rise = shorter if at < len(waits) - 1 else rise


def _first_cool(
    warmest: Callable[[Floats], tuple[Floats, Floats, Floats]], waits: Floats, limit_K: float
) -> tuple[int, tuple[float, float, float]]:
    """Number of the first wait after which a place is cool, and its rise then [K]; past the last where none is."""
    for first in range(0, len(waits), _AT_ONCE):
        found = warmest(waits[first : first + _AT_ONCE])
        cool = np.flatnonzero(found[1] <= limit_K)
        if len(cool):
            break
    at = int(cool[0]) if len(cool) else -1
    return first + at if at >= 0 else len(waits), (float(found[0][at]), float(found[1][at]), float(found[2][at]))
