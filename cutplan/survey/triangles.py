"""Gross slips of a tape survey, found before anything is adjusted: three distances that make no triangle."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cutplan.geometry.vector import Point

#: Readings may miss a triangle by this many times their standard errors together before one of them is a slip.
_SLACK = 6.0


@dataclass(frozen=True, slots=True)
class Side3:
    """One distance with its standard error [mm] between two points; ``index`` counts the readings, -1 a known one."""

    a: str
    b: str
    distance_mm: float
    error_mm: float
    index: int


def gross_slip(sides: Sequence[Side3], known: Mapping[str, Point]) -> int | None:
    """Return the index of the one reading that lies in every triangle that cannot be, or None.

    Parameters
    ----------
    sides : sequence of Side3
        The readings.
    known : mapping of name to Point
        Points whose place is given [mm]; the distances between them count as known.
    """
    near: dict[str, dict[str, Side3]] = {}
    names = list(known)
    fixed = [Side3(a, b, known[a].distance(known[b]), 0.0, -1) for i, a in enumerate(names) for b in names[i + 1 :]]
    for side in [*sides, *fixed]:
        near.setdefault(side.a, {})[side.b] = side
        near.setdefault(side.b, {})[side.a] = side
    blamed: Counter[int] = Counter()
    impossible = 0
    order = {name: k for k, name in enumerate(near)}
    for a in near:
        for b in near[a]:
            for c in near[a].keys() & near[b].keys():
                if not order[a] < order[b] < order[c]:
                    continue
                three = (near[a][b], near[b][c], near[a][c])
                longest = max(three, key=lambda s: s.distance_mm)
                rest = sum(s.distance_mm for s in three) - 2.0 * longest.distance_mm
                if rest < -_SLACK * sum(s.error_mm for s in three):
                    impossible += 1
                    blamed.update(s.index for s in three if s.index >= 0)
    full = [i for i, n in blamed.items() if n == impossible]
    # one bad triangle alone blames its three sides alike
    return full[0] if impossible and len(full) == 1 else None
