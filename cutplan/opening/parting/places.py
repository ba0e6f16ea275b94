"""Places for a cut across: the chords there, what a bad place costs, and what lies between two places."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from typing import TYPE_CHECKING

import numpy as np

from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point

if TYPE_CHECKING:
    from shapely import Polygon

Chord = tuple[Point, Point]

#: What a bad place costs, in millimetres of extra cut that it is worth to avoid it.
_NEAR_CORNER_MM = 100.0
#: The same for each millimetre of a rib that runs under the cut.
_ON_RIB = 5.0
#: A cut nearer to the border than this runs beside it [mm].
_BORDER_MM = 6.0


@dataclass(frozen=True, slots=True)
class Limits:
    """What a section may be: extents along and across the opening's axes [mm], mass [kg] and what gives mass.

    ``avoid`` are (centre, radius) of corner holes, ``avoid_mm`` the room that the end of a cut keeps from them.
    ``worth`` scales what it is worth to keep clear of corners and ribs [1].
    ``skin_kg_per_mm2`` is the skin's mass per area; ``ribs`` are (path, kg per mm) behind it.
    """

    longest_mm: float
    heaviest_kg: float
    skin_kg_per_mm2: float
    ribs: tuple[tuple[tuple[Point, ...], float], ...] = ()
    avoid: tuple[tuple[Point, float], ...] = ()
    avoid_mm: float = 16.0
    rib_clear_mm: float = 8.0
    worth: float = 1.0


def place_costs(poly: Polygon, limits: Limits, axis: int, places: np.ndarray, chords: list[list[Chord]]) -> np.ndarray:
    """Return what a cut at each place (n,) costs [mm]: its length, and what it is worth to avoid a bad place."""
    cost = np.array(
        [sum(chord_cost(c, limits, axis, float(p)) for c in cuts) for cuts, p in zip(chords, places, strict=True)]
    )
    total: np.ndarray = cost + along_border(poly, axis, places, chords)
    return total


def along_border(poly: Polygon, axis: int, places: np.ndarray, chords: list[list[Chord]]) -> np.ndarray:
    """Return what it is worth to avoid cuts beside the border: as much as lies near it [mm], for each place (n,)."""
    inner = poly.buffer(-_BORDER_MM, quad_segs=4)
    deep = chords_at(inner, axis, places, poly.bounds)
    near = np.array(
        [
            sum(a.distance(b) for a, b in c) - sum(a.distance(b) for a, b in d) - 4.0 * _BORDER_MM * len(c)
            for c, d in zip(chords, deep, strict=True)
        ]
    )
    worth: np.ndarray = np.maximum(near, 0.0)
    return worth


def strip_costs(chords: list[list[Chord]], limits: Limits, axis: int, spots: np.ndarray) -> np.ndarray:
    """Return what the cuts the other way will about cost in the strip between two places [mm]: entry [j, i] for i < j of (n, n).

    The strip's extent across, from the chords in it, needs so many cuts, each about as long as the strip is wide.
    """
    ends = [[p[1 - axis] for chord in c for p in chord] for c in chords]
    tops = np.array([-np.inf, *(max(e, default=-np.inf) for e in ends), -np.inf])
    lows = np.array([np.inf, *(min(e, default=np.inf) for e in ends), np.inf])
    n = len(spots)
    out = np.zeros((n, n))
    for i in range(n - 1):
        high = np.maximum.accumulate(tops[i:])[1:]
        low = np.minimum.accumulate(lows[i:])[1:]
        extent = np.where(np.isfinite(high - low), high - low, 0.0)
        cuts = np.maximum(np.ceil(extent / limits.longest_mm * (1.0 - 1e-9)) - 1.0, 0.0)
        out[i + 1 :, i] = cuts * (spots[i + 1 :] - spots[i])
    return out


def chord_cost(chord: Chord, limits: Limits, axis: int, place: float) -> float:
    """Return what one cut across costs [mm]: its length, and what it is worth to avoid corners and ribs."""
    a, b = chord
    total = a.distance(b)
    for corner, radius in limits.avoid:
        at_end = min(corner.distance(a), corner.distance(b)) < radius + limits.avoid_mm
        if at_end or 0.5 * radius < Line(a, b).nearest(corner)[1] < radius + 5.0:
            total += limits.worth * _NEAR_CORNER_MM
    lo, hi = (a[1 - axis], b[1 - axis]) if a[1 - axis] <= b[1 - axis] else (b[1 - axis], a[1 - axis])
    for path, _ in limits.ribs:
        for p, q in pairwise(path):
            total += limits.worth * _ON_RIB * _under(p, q, axis, place, lo, hi, limits.rib_clear_mm)
    return total


def _under(p: Point, q: Point, axis: int, place: float, lo: float, hi: float, clear_mm: float) -> float:
    """How much of a rib's length lies under a cut, in units worth avoiding; 0 for a rib that only crosses."""
    u0, u1, v0, v1 = p[axis] - place, q[axis] - place, p[1 - axis], q[1 - axis]
    du, dv = u1 - u0, v1 - v0
    length = hypot(du, dv)
    if length == 0.0 or abs(dv) < 0.7 * length:
        return 0.0
    t0, t1 = 0.0, 1.0
    if abs(du) > 1e-12:
        edges = sorted(((-clear_mm - u0) / du, (clear_mm - u0) / du))
        t0, t1 = max(t0, edges[0]), min(t1, edges[1])
    elif abs(u0) > clear_mm:
        return 0.0
    edges = sorted(((lo - v0) / dv, (hi - v0) / dv))
    t0, t1 = max(t0, edges[0]), min(t1, edges[1])
    return max(0.0, t1 - t0) * length


def heaped_area(poly: Polygon, axis: int, spots: np.ndarray, chords: list[list[Chord]]) -> np.ndarray:
    """Return the area of the piece below each place (n,) [mm2]: widths summed by the trapezoid rule."""
    width = np.array([0.0, *(sum(a.distance(b) for a, b in c) for c in chords), 0.0])
    # true widths at the two ends, a hair inside
    ends = chords_at(poly, axis, np.array([spots[0] + 1e-4, spots[-1] - 1e-4]), poly.bounds)
    width[0], width[-1] = (sum(a.distance(b) for a, b in c) for c in ends)
    area = np.concatenate(([0.0], np.cumsum(0.5 * (width[1:] + width[:-1]) * np.diff(spots))))
    result: np.ndarray = area * (poly.area / max(area[-1], 1e-9))
    return result


def heaped_mass(poly: Polygon, limits: Limits, axis: int, spots: np.ndarray, area: np.ndarray) -> np.ndarray:
    """Return the mass of the piece below each place (n,) [kg]: skin, and ribs by clipping."""
    mass = area * limits.skin_kg_per_mm2
    from shapely import LineString, get_parts

    for path, per_mm in limits.ribs:
        for part in get_parts(LineString(path).intersection(poly)):
            if part.geom_type != "LineString" or per_mm == 0.0:
                continue
            xy = np.asarray(part.coords)[:, axis]
            steps = np.hypot(*np.diff(np.asarray(part.coords), axis=0).T)
            for u, v, s in zip(xy[:-1], xy[1:], steps, strict=True):
                lo, hi = min(u, v), max(u, v)
                share = (spots >= lo).astype(float) if hi - lo < 1e-9 else np.clip((spots - lo) / (hi - lo), 0.0, 1.0)
                mass = mass + share * s * per_mm
    return np.asarray(mass)


def chords_at(poly: Polygon, axis: int, places: np.ndarray, bounds: tuple[float, ...]) -> list[list[Chord]]:
    """Return the chords of a polygon along the rulers at each place (n,) [mm], within bounds [mm]."""
    from shapely import get_coordinates, get_parts, get_type_id, intersection, is_empty, linestrings

    across = np.array([bounds[1 - axis] - 1.0, bounds[3 - axis] + 1.0])
    ends = np.empty((len(places), 2, 2))
    ends[:, :, axis] = places[:, None]
    ends[:, :, 1 - axis] = across
    parts, owner = get_parts(intersection(poly, linestrings(ends)), return_index=True)
    out: list[list[Chord]] = [[] for _ in places]
    lines = (get_type_id(parts) == 1) & ~is_empty(parts)
    xy, which = get_coordinates(parts[lines], return_index=True)
    first = np.flatnonzero(np.diff(which, prepend=-1))
    last = np.flatnonzero(np.diff(which, append=-1))
    for k, a, b in zip(owner[lines].tolist(), xy[first].tolist(), xy[last].tolist(), strict=True):
        p, q = Point(*a), Point(*b)
        if p.distance(q) > 1e-3:
            out[k].append((p, q))
    return out
