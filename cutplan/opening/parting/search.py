"""A shorter way to part the waste, searched cut by cut where the plan made by rows lies far above its bound."""

from __future__ import annotations

import numpy as np

from cutplan.geometry.vector import Point
from cutplan.opening.parting.forcing import Forcing, boxes_mm, extents_mm, mass_kg, ribs_inside
from cutplan.opening.parting.places import Chord, Limits, chord_cost
from cutplan.opening.parting.rings import Ring, Run, parted_at, ring_area, runs_at
from cutplan.opening.parting.rows import rows_mm
from cutplan.opening.parting.split import LEAST_MM, LEAST_MM2

#: Places tried along either axis of a piece, and first cuts followed up: of the whole, of its parts, of theirs ...
_PLACES = 44
_WIDTHS = (6, 3, 2)
#: Pieces looked at before the search stops.
_EFFORT = 16
#: What each cut costs besides its length [mm].
_PER_CUT_MM = 4.0


def shorter_cuts(forcing: Forcing, limits: Limits, known_mm: float) -> list[Chord] | None:
    """Return straight cuts along and across that part a piece within its limits for less than is known, or None.

    Parameters
    ----------
    forcing : Forcing
        The waste in its own axes and the limits.
    limits : Limits
        The same limits in the same axes, with what cuts stay clear of.
    known_mm : float
        Cut length of the plan at hand [mm].

    Notes
    -----
    First cuts are ranked by their length, what their place is worth to avoid, and what the rows and columns of both
    parts need; the best few are followed up in the same way. Cuts come in the order in which they are made.
    """
    found = _Search(forcing, limits).best(forcing.ring, np.arange(len(forcing.ribs)), 0, known_mm * 1.5)
    if found is None:
        return None
    _, runs = found
    chords = [_chord(r) for r in runs]
    return chords if sum(a.distance(b) for a, b in chords) < known_mm - 1e-6 else None


class _Search:
    def __init__(self, forcing: Forcing, limits: Limits) -> None:
        self.forcing, self.limits = forcing, limits
        self.effort = _EFFORT

    def over(self, ring: Ring, ribs: np.ndarray) -> bool:
        f = self.forcing
        if bool(extents_mm(ring).max() > f.longest_mm - 0.02):
            return True
        # with ribs that may lie outside: only when that is too much they are sorted out
        return mass_kg(f, ring, ribs) > 0.99 * f.heaviest_kg and (
            mass_kg(f, ring, ribs_inside(f, ring, ribs)) > 0.99 * f.heaviest_kg
        )

    def best(self, ring: Ring, ribs: np.ndarray, deep: int, most_mm: float) -> tuple[float, list[Run]] | None:
        """The dearness and the cuts of the best way found to part a piece for less than so much [mm]."""
        if not self.over(ring, ribs):
            return 0.0, []
        if self.effort <= 0 or deep > 8:
            return None
        self.effort -= 1 + len(ring) // 60  # a ring of many corners takes longer
        result: tuple[float, list[Run]] | None = None
        for least, own, run in self.ranked(ring, ribs, _WIDTHS[min(deep, len(_WIDTHS) - 1)]):
            if least >= most_mm:
                break
            total, cuts = own, [run]
            for part in parted_at(ring, run):
                made = self.best(part, ribs_inside(self.forcing, part, ribs), deep + 1, most_mm - total)
                if made is None:
                    break
                total += made[0]
                cuts += made[1]
            else:
                if total < most_mm:
                    most_mm, result = total, (total, cuts)
        return result

    def ranked(self, ring: Ring, ribs: np.ndarray, width: int) -> list[tuple[float, float, Run]]:
        """The best few first cuts of a piece: what they and their parts cost at least, and what they cost alone."""
        longest = self.forcing.longest_mm
        largest = self.forcing.heaviest_kg / self.forcing.skin_kg_per_mm2
        low, high = ring.min(axis=0), ring.max(axis=0)
        # beside a corner hole a section must be larger to be held by a bridge
        least = LEAST_MM if self.limits.worth == 1.0 else 1.6 * LEAST_MM
        found = []
        for axis in (0, 1):
            edge = min(LEAST_MM, 0.25 * float(high[axis] - low[axis])) + 0.1
            tight = [v for k in (1, 2, 3) for v in (low[axis] + k * (longest - 0.1), high[axis] - k * (longest - 0.1))]
            places = np.unique(np.append(np.linspace(low[axis] + edge, high[axis] - edge, _PLACES), tight))
            places = places[(places >= low[axis] + edge) & (places <= high[axis] - edge)]
            for run in (r for runs in runs_at(ring, axis, places) for r in runs):
                own = chord_cost(_chord(run), self.limits, axis, run.place) + _PER_CUT_MM
                found.append((own, run))
        found.sort(key=lambda f: f[0])
        out: list[tuple[float, float, Run]] = []
        for own, run in found:
            if len(out) == width and own >= out[-1][0]:
                break  # the cheapest alone come first: no later one gets among the best
            parts = parted_at(ring, run)
            if any(bool(extents_mm(p).min() < least) or ring_area(p) < LEAST_MM2 for p in parts):
                continue
            rest = 0.0
            for p in parts:
                if self.over(p, ribs):
                    # a piece above a limit needs a cut more, at least as long as its least section is wide
                    rest += max(rows_mm(p, longest), boxes_mm(p, longest, largest), 2.0 * LEAST_MM) + _PER_CUT_MM
            out.append((own + rest, own, run))
            out = sorted(out, key=lambda o: o[0])[:width]
        return out


def _chord(run: Run) -> Chord:
    if run.axis == 0:
        return Point(run.place, run.low), Point(run.place, run.high)
    return Point(run.low, run.place), Point(run.high, run.place)
