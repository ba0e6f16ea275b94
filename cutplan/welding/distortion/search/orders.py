"""Orders of beads as people weld them, and the laws that every order keeps.

An order is a row of bead numbers and a row of flags, true where a bead is welded from its end to its start.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.fem.mesh import Ints
from cutplan.welding.distortion.model.stations import Stations
from cutplan.welding.distortion.task import Bead

Flags = np.ndarray[tuple[int], np.dtype[np.bool_]]


@dataclass(frozen=True, slots=True, eq=False)
class Order:
    """Bead numbers in the order of welding, and which are welded backward."""

    beads: Ints
    backward: Flags

    def part(self, low: int, high: int) -> Order:
        """The beads between two places."""
        return Order(self.beads[low:high], self.backward[low:high])

    def then(self, other: Order) -> Order:
        """These beads, then others."""
        return Order(np.concatenate([self.beads, other.beads]), np.concatenate([self.backward, other.backward]))

    def sequence(self, stations: Stations) -> Ints:
        """Stations in the order in which they are laid."""
        ways = zip(self.beads.tolist(), self.backward.tolist(), strict=True)
        return np.array([s for bead, backward in ways for s in stations.of(bead, backward)], dtype=np.int64)


def once_round(count: int) -> Sequence[int]:
    """Next to next, all the way round."""
    return range(count)


def opposite_pairs(count: int) -> Sequence[int]:
    """Each bead, then the one across; the next pair as far as possible from those done."""
    half = (count + 1) // 2
    first = _spread(half)
    order: list[int] = []
    for i in first:
        order += [i] + ([i + half] if i + half < count else [])
    return order


def skip_one(count: int) -> Sequence[int]:
    """Every second bead, then those between."""
    return [*range(0, count, 2), *range(1, count, 2)]


def _spread(count: int) -> list[int]:
    """Numbers 0 to count - 1, each as far as possible round the ring from those before it, the lowest first."""
    done = [0]
    while len(done) < count:
        rest = [i for i in range(count) if i not in done]
        gap = [min(min(abs(i - d), count - abs(i - d)) for d in done) for i in rest]
        done.append(rest[gap.index(max(gap))])
    return done


def ends_last(count: int) -> Sequence[int]:
    """From the middle of the path outward to both sides, its two ends last."""
    middle = count // 2
    order = [middle]
    for reach in range(1, count):
        order += [i for i in (middle - reach, middle + reach) if 0 <= i < count]
    return order


def sectors(count: int) -> Sequence[int]:
    """Four sectors, the one across after each; inside a sector next to next."""
    edges = [round(count * i / 4) for i in range(5)]
    return [i for sector in (0, 2, 1, 3) for i in range(edges[sector], edges[sector + 1])]


#: Patterns that people use: name, numbering of the stitches, welded backward. Names are keys of the job file.
PATTERNS: dict[str, tuple[Callable[[int], Sequence[int]], bool]] = {
    "once round": (once_round, False),
    "once round, back-step": (once_round, True),
    "opposite pairs": (opposite_pairs, False),
    "sectors": (sectors, True),
    "skip": (skip_one, False),
    "ends last": (ends_last, False),
}


def groups_of(beads: Sequence[Bead], tacks_first: bool) -> list[Ints]:
    """Return groups of beads that must follow each other, tacks before stitches; each in order along the joint."""
    by_place = sorted(range(len(beads)), key=lambda i: (beads[i].start_mm, i))
    if not tacks_first:
        return [np.array(by_place, dtype=np.int64)]
    kinds = [[i for i in by_place if beads[i].kind == kind] for kind in ("tack", "stitch")]
    return [np.array(k, dtype=np.int64) for k in kinds if k]


def people_orders(beads: Sequence[Bead], laid: Order | None = None) -> dict[str, Order]:
    """Return the orders that people use; tacks come first, in opposite pairs unless the order goes once round.

    Parameters
    ----------
    beads : sequence of Bead
        Tacks and stitches.
    laid : Order or None
        Beads that are welded already: every order begins with them, and its pattern goes over the others.
    """
    begun = laid or Order(np.empty(0, dtype=np.int64), np.empty(0, dtype=bool))
    done = set(begun.beads.tolist())
    result = {}
    for name, (pattern, backward) in PATTERNS.items():
        numbers, flags = [], []
        for whole in groups_of(beads, True):
            group = [int(i) for i in whole if int(i) not in done]
            if not group:
                continue
            tacks = beads[group[0]].kind == "tack"
            way = opposite_pairs if tacks and not name.startswith("once") else pattern
            numbers += [group[i] for i in way(len(group))]
            flags += [backward and not tacks] * len(group)
        flags = [f if beads[n].way == 0 else beads[n].way < 0 for n, f in zip(numbers, flags, strict=True)]
        result[name] = begun.then(Order(np.array(numbers, dtype=np.int64), np.array(flags, dtype=bool)))
    return result
