"""Beads cut into stations: short stretches of the joint over which plate and skin are coupled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from cutplan.errors import JobError
from cutplan.fem.mesh import Floats
from cutplan.fem.outline import lengths_along
from cutplan.texts import mm, name, say
from cutplan.welding.distortion.task import Bead

#: Longest stretch that one station stands for [mm].
LONGEST_MM = 60.0
#: Up to this many stitches each has two stations at least, so that its direction tells; above, one.
MANY = 60


@dataclass(frozen=True, eq=False)
class Stations:
    """Stations in the order of the beads, each bead's from its start to its end.

    Parameters
    ----------
    bead : ndarray of int
        Bead of each station.
    start_mm, end_mm : ndarray
        Stretch of the joint path [mm].
    melts : tuple of tuple of int
        For each station of a stitch, the stations of tacks that it melts in.
    """

    bead: np.ndarray[tuple[int], np.dtype[np.int64]]
    start_mm: Floats
    end_mm: Floats
    melts: tuple[tuple[int, ...], ...]

    @property
    def count(self) -> int:
        return len(self.bead)

    @cached_property
    def counts(self) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
        """Number of stations of each bead."""
        return np.bincount(self.bead)

    @cached_property
    def _both_ways(self) -> tuple[list[tuple[int, ...]], list[tuple[int, ...]]]:
        own: list[list[int]] = [[] for _ in range(int(self.bead.max()) + 1)]
        for station, bead in enumerate(self.bead.tolist()):
            own[bead].append(station)
        return [tuple(o) for o in own], [tuple(o[::-1]) for o in own]

    def of(self, bead: int, backward: bool) -> tuple[int, ...]:
        """Return the stations of a bead in the order in which they are laid."""
        return self._both_ways[1 if backward else 0][bead]


def make_stations(path: Floats, beads: Sequence[Bead]) -> Stations:
    """Return the stations of beads: one for a tack, two or more for a stitch where there are not too many.

    Parameters
    ----------
    path : ndarray (n, 2)
        Closed joint path [mm].
    beads : sequence of Bead
        Tacks and stitches.

    Raises
    ------
    JobError
        For a bead without length or longer than the path.
    """
    whole = float(lengths_along(path, True)[-1])
    least = 2 if sum(b.kind == "stitch" for b in beads) <= MANY else 1
    bead, start, end = [], [], []
    for number, one in enumerate(beads):
        length = one.end_mm - one.start_mm
        if not 0.0 < length <= whole * (1.0 + 1e-9):
            raise JobError(
                say("a bead has no length, or is longer than the joint"),
                say("bead {bead}, {length}", bead=name(one.name), length=mm(length, None)),
            )
        pieces = 1 if one.kind == "tack" else max(least, int(np.ceil(length / LONGEST_MM)))
        at = one.start_mm + length * np.arange(pieces + 1) / pieces
        bead += [number] * pieces
        start += list(at[:-1])
        end += list(at[1:])
    melts: list[tuple[int, ...]] = []
    middle = [0.5 * (a + b) for a, b in zip(start, end, strict=True)]
    for station, number in enumerate(bead):
        inside: tuple[int, ...] = ()
        if beads[number].kind == "stitch":
            inside = tuple(
                other
                for other, owner in enumerate(bead)
                if beads[owner].kind == "tack"
                and (middle[other] - start[station]) % whole < end[station] - start[station]
            )
        melts.append(inside)
    return Stations(np.array(bead, dtype=np.int64), np.array(start), np.array(end), tuple(melts))
