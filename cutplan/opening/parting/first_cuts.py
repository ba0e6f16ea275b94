"""The least length of straight cuts, from what the first cut of every piece must cost, searched best first."""

from __future__ import annotations

from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush
from itertools import pairwise
from math import ceil, inf, sqrt
from typing import TYPE_CHECKING

import numpy as np

from cutplan.opening.parting.places import Limits
from cutplan.opening.parting.rings import (
    Ring,
    Run,
    crossings_at,
    following,
    parted_at,
    preceding,
    ring_area,
    ring_of,
    spans_at,
)
from cutplan.opening.parting.split import LEAST_MM, LEAST_MM2, as_polygon

if TYPE_CHECKING:
    from shapely import Polygon

#: Rulers laid over a piece to sample its rows and columns.
_ROWS = 64
#: Widest band in which first cuts are taken together [mm], and most bands along one axis.
_BAND_MM, _BANDS = 2.0, 128
#: How many cuts deep the search goes.
_DEEP = 4
#: Rulers are laid so near on both sides of a place where runs part or meet [mm].
_TURN_MM = 1e-4
#: A piece counts as too long when it is so much above the limit: what thinning the outline may have added [mm].
HAIR_MM = 0.2
#: Spacing of the points that stand for ribs [mm].
_RIB_MM = 2.0


@dataclass(frozen=True, slots=True)
class Forcing:
    """A piece of waste in its own axes, and the limits that force it to be cut.

    Parameters
    ----------
    ring : ndarray
        Outline [mm].
    longest_mm, heaviest_kg : float
        Limits of a section [mm], [kg].
    skin_kg_per_mm2 : float
        Mass of the skin per area.
    ribs, ribs_kg : ndarray
        Points along the ribs inside [mm] and the mass [kg] of each; empty where skin and ribs together are light.
    """

    ring: Ring
    longest_mm: float
    heaviest_kg: float
    skin_kg_per_mm2: float
    ribs: np.ndarray
    ribs_kg: np.ndarray

    @staticmethod
    def of(turned: Polygon, limits: Limits, angle_rad: float) -> Forcing:
        """Return the forcing of a piece of waste [mm] already turned by the negative of its axis' angle [rad]."""
        ring = ring_of(as_polygon(turned.simplify(0.5 * HAIR_MM)))
        spots, mass = [], []
        for path, per_mm in limits.ribs:
            for p, q in pairwise([p.turned(-angle_rad) for p in path]):
                n = max(1, round(p.distance(q) / _RIB_MM))
                t = (np.arange(n) + 0.5) / n
                spots.append(np.column_stack((p.x + t * (q.x - p.x), p.y + t * (q.y - p.y))))
                mass.append(np.full(n, per_mm * p.distance(q) / n))
        if spots:
            xy, kg = np.vstack(spots), np.concatenate(mass)
            inside = _inside(ring, xy) & (kg > 0.0)
            xy, kg = xy[inside], kg[inside]
            if ring_area(ring) * limits.skin_kg_per_mm2 + float(kg.sum()) > limits.heaviest_kg:
                return Forcing(ring, limits.longest_mm, limits.heaviest_kg, limits.skin_kg_per_mm2, xy, kg)
        return Forcing(
            ring, limits.longest_mm, limits.heaviest_kg, limits.skin_kg_per_mm2, np.empty((0, 2)), np.empty(0)
        )


@dataclass(slots=True)
class _Piece:
    """A piece and what is known of it: the least that its cuts cost, its first cuts by what they cost at least, and the
    length [mm] of the shortest one that was left out as too long."""

    ring: Ring
    ribs: np.ndarray
    deep: int
    mass_kg: float
    least_mm: float
    first: list[tuple[float, int, _First]] = field(default_factory=list)
    others_mm: float = inf
    opened: bool = False
    done: bool = False


@dataclass(slots=True)
class _First:
    """All first cuts between two neighbouring rulers: the shorter of both, and what is left on either side of them.

    ``least`` and ``small_mm2`` are the extents [mm] and the area of the least section on either side.
    """

    length_mm: float
    below: Run
    above: Run
    least: np.ndarray
    small_mm2: float
    parts: tuple[_Piece, ...] = ()


class LeastCuts:
    """A length that straight cuts along and across cannot go below, raised as far as it is worth.

    Parameters
    ----------
    forcing : Forcing
        The waste and its limits.

    Notes
    -----
    Every cut goes straight, along or across, from border to border of what is still one piece (one that ends in the
    middle frees nothing), and leaves no section under 12 mm or 5 cm2. So a piece above a limit has a first cut, and

    .. math:: f(P) \\ge \\min_c \\left( |c| + f(P_1) + f(P_2) \\right), \\qquad f(P) \\ge V(P) + H(P)

    over all first cuts c, with V + H what its rows and columns need. The first cuts between two neighbouring rulers
    are taken together: the shorter of both rulers' runs, with only what lies beyond each ruler as the two parts; a part
    of a piece needs no more cutting than the piece. Whatever first cut looks cheapest is looked into further, until
    the aim is reached, all are known, or the effort is spent: the cheapest is a bound at any time.
    """

    def __init__(self, forcing: Forcing) -> None:
        self.forcing = forcing
        self.effort = 0
        self.root = self.piece(forcing.ring, np.arange(len(forcing.ribs)), 0)

    def raised(self, aim_mm: float, effort: int) -> float:
        """Return the length [mm] after so many more pieces were looked at; about the aim [mm] is enough."""
        self.effort = effort
        self.lift(self.root, aim_mm)
        return self.root.least_mm

    def piece(self, ring: Ring, ribs: np.ndarray, deep: int) -> _Piece:
        self.effort -= 1 + len(ring) // 100  # a ring of many corners takes longer
        f = self.forcing
        mass = mass_kg(f, ring, ribs)
        if len(ribs) and mass > f.heaviest_kg:  # only then it matters which of the ribs' points lie inside
            ribs = ribs_inside(f, ring, ribs)
            mass = mass_kg(f, ring, ribs)
        must = bool(extents_mm(ring).max() > f.longest_mm + (HAIR_MM if deep else 1e-6)) or (
            mass > f.heaviest_kg * 1.001
        )
        least = 0.0
        if must:
            longest = f.longest_mm + HAIR_MM
            least = max(rows_mm(ring, longest), boxes_mm(ring, longest, f.heaviest_kg * 1.001 / f.skin_kg_per_mm2))
        return _Piece(ring, ribs, deep, mass, least, done=not must)

    def lift(self, piece: _Piece, aim_mm: float) -> None:
        """Raise what is known of a piece to the aim as far as it goes."""
        if not piece.opened and not piece.done and piece.least_mm < aim_mm:
            self.open(piece, aim_mm)
        while piece.least_mm < aim_mm and self.effort > 0 and not piece.done:
            if not piece.first:
                piece.done = True
                piece.least_mm = max(piece.least_mm, piece.others_mm if piece.others_mm < inf else 0.0)
                break
            value, n, first = piece.first[0]
            if value > piece.least_mm:
                piece.least_mm = min(value, piece.others_mm)
                piece.done = value > piece.others_mm
                continue
            heappop(piece.first)
            if not first.parts and not _large(piece.ring, first):
                continue
            known = bool(first.parts)
            better = max(value, self.look(piece, first, aim_mm))
            heappush(piece.first, (better, n, first))
            # is there nothing more to be learnt about the cheapest one?
            piece.done = known and better == value and self.effort > 0

    def look(self, piece: _Piece, first: _First, aim_mm: float) -> float:
        """Look further into one first cut; return what it costs at least."""
        if not first.parts:
            rings = parted_at(piece.ring, first.below)[0], parted_at(piece.ring, first.above)[1]
            first.parts = tuple(self.piece(r, piece.ribs, piece.deep + 1) for r in rings)
        else:
            for part in first.parts:
                rest = sum(p.least_mm for p in first.parts) - part.least_mm
                self.lift(part, aim_mm - first.length_mm - rest)
        return first.length_mm + sum(p.least_mm for p in first.parts)

    def open(self, piece: _Piece, aim_mm: float) -> None:
        """List the first cuts of a piece shorter than the aim, by length."""
        piece.opened = True
        self.effort -= 6
        if piece.deep >= _DEEP:
            piece.done = True
            return
        ring = piece.ring
        low, high = ring.min(axis=0), ring.max(axis=0)
        count = max(2.0, float((high - low).max()) / self.forcing.longest_mm, piece.mass_kg / self.forcing.heaviest_kg)
        least = np.minimum(LEAST_MM, 0.5 * (high - low) / ceil(count))
        # parts of parts have lost up to a band: their least section is smaller by as much
        least = np.maximum(0.0, least - _BAND_MM * piece.deep)
        small = min(LEAST_MM2, 0.2 * ring_area(ring)) if piece.deep == 0 else 0.0
        for axis in (0, 1):
            first, last = float(low[axis] + least[axis]), float(high[axis] - least[axis])
            n = min(_BANDS, int((last - first) / _BAND_MM) + 2)
            turns = turns_at(ring[:, axis])
            places = np.concatenate((np.linspace(first, last, max(2, n)), turns - _TURN_MM, turns + _TURN_MM))
            places = np.unique(places[(places >= first) & (places <= last)])
            self.bands(piece, axis, places, least, small, aim_mm)
        heapify(piece.first)

    def bands(
        self, piece: _Piece, axis: int, places: np.ndarray, least: np.ndarray, small_mm2: float, aim_mm: float
    ) -> None:
        """Add the first cuts between neighbouring rulers."""
        ruler, along, edge = crossings_at(piece.ring, axis, places)
        which, low, high = ruler[::2].tolist(), along[::2].tolist(), along[1::2].tolist()
        ends = list(zip(edge[::2].tolist(), edge[1::2].tolist(), strict=True))
        runs: list[list[int]] = [[] for _ in places]
        for k, r in enumerate(which):
            if high[k] - low[k] > 1e-3:
                runs[r].append(k)
        at = places.tolist()
        for r, (lower, upper) in enumerate(pairwise(runs)):
            if at[r + 1] - at[r] <= 2.5 * _TURN_MM:
                continue  # runs part or meet here: the bands on either side end as near as makes no difference
            # only where rulers have one run are the parts all that lies on either side
            area = small_mm2 if len(lower) == len(upper) == 1 else 0.0
            for i in lower:
                for j in upper:
                    if min(high[i], high[j]) > max(low[i], low[j]):
                        length = min(high[i] - low[i], high[j] - low[j])
                        if length >= aim_mm:
                            piece.others_mm = min(piece.others_mm, length)
                            continue
                        first = _First(
                            length,
                            Run(axis, at[r], low[i], high[i], ends[i]),
                            Run(axis, at[r + 1], low[j], high[j], ends[j]),
                            least,
                            area,
                        )
                        piece.first.append((length, len(piece.first), first))


def _large(ring: Ring, first: _First) -> bool:
    """Whether a cut between two rulers can leave sections large enough on either side."""
    parts = (parted_at(ring, first.above)[0], parted_at(ring, first.below)[1])
    return all(
        (p.max(axis=0) - p.min(axis=0) >= first.least - 1e-9).all() and ring_area(p) >= first.small_mm2 for p in parts
    )


def extents_mm(ring: Ring) -> np.ndarray:
    """Return the extents of a ring along both axes [mm]."""
    result: np.ndarray = ring.max(axis=0) - ring.min(axis=0)
    return result


def mass_kg(forcing: Forcing, ring: Ring, ribs: np.ndarray) -> float:
    """Return the mass of a piece with the ribs' points in it, given by index [kg]."""
    return ring_area(ring) * forcing.skin_kg_per_mm2 + float(forcing.ribs_kg[ribs].sum())


def ribs_inside(forcing: Forcing, ring: Ring, ribs: np.ndarray) -> np.ndarray:
    """Return which of the ribs' points, given by index, lie inside a ring."""
    return ribs[_inside(ring, forcing.ribs[ribs])] if len(ribs) else ribs


def boxes_mm(ring: Ring, longest_mm: float, largest_mm2: float) -> float:
    """Return the length of cuts along and across that the sections' boxes need [mm].

    Parameters
    ----------
    ring : ndarray
        Outline of the piece [mm].
    longest_mm, largest_mm2 : float
        Largest extents [mm] and area [mm2] of a section.

    Notes
    -----
    Measured along the axes, a section of area a in a box of sides u and v is at least 2 (u + v) round, with u v >= a
    and both sides within the limit and within the piece: f(a) = 4 sqrt(a), or 2 (v + a / v) where the largest v is less
    than sqrt(a). All sections together are the piece's outline, measured so, and twice the cuts. f is concave: it is
    least in sum when all sections but one are as large as they may be.
    """
    u, v = sorted(np.minimum(extents_mm(ring), longest_mm).tolist())

    def around(area: float) -> float:
        return 4.0 * sqrt(area) if area <= u * u else 2.0 * (u + area / u)

    area, most = ring_area(ring), min(largest_mm2, u * v)
    count = int(area / most)
    rest = max(0.0, area - count * most)
    outline = float(np.abs(following(ring) - ring).sum())
    return max(0.0, 0.5 * (count * around(most) + around(rest) - outline))


def turns_at(along: np.ndarray) -> np.ndarray:
    """Return where a ring turns back along an axis [mm], sorted: between these its runs neither part nor meet."""
    along = along[along != preceding(along)]
    step = along > preceding(along)
    spots = np.sort(along[step != following(step)])
    result: np.ndarray = spots[spots != preceding(spots)] if len(spots) > 1 else spots
    return result


def rows_mm(ring: Ring, longest_mm: float, rows: int = _ROWS) -> float:
    """Return the length of cuts along and across that the rows and columns of a piece need [mm]: V + H."""
    low, high = ring.min(axis=0), ring.max(axis=0)
    total = 0.0
    for axis in (0, 1):
        if high[1 - axis] - low[1 - axis] > longest_mm:
            # rulers between the places where the outline turns back: a row's length jumps only there
            spots = turns_at(ring[:, axis])
            spots = np.concatenate((spots[:1], spots[1:][spots[1:] - spots[:-1] > 1e-6]))
            bands = spots[1:] - spots[:-1]
            counts = np.ceil(bands / (high[axis] - low[axis]) * rows).astype(int)
            width = np.repeat(bands / counts, counts)
            rulers = low[axis] + np.cumsum(width) - 0.5 * width
            k, a, b = spans_at(ring, axis, rulers)
            total += float((width[k] * np.maximum(np.ceil((b - a) / longest_mm) - 1.0, 0.0)).sum())
    return total


def _inside(ring: Ring, xy: np.ndarray) -> np.ndarray:
    """Which points lie inside a ring, by the number of edges on one side of each."""
    x, y = ring[:, 0], ring[:, 1]
    x2, y2 = following(x), following(y)
    hit = (y[None, :] <= xy[:, 1:2]) != (y2[None, :] <= xy[:, 1:2])
    with np.errstate(divide="ignore", invalid="ignore"):
        at = x[None, :] + (xy[:, 1:2] - y[None, :]) / (y2 - y)[None, :] * (x2 - x)[None, :]
    result: np.ndarray = (hit & (at < xy[:, 0:1])).sum(axis=1) % 2 == 1
    return result
