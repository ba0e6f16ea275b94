"""The waste split by straight cuts into sections within a length and a mass, with the least cutting."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import ceil, cos, hypot, pi, sin
from typing import TYPE_CHECKING

import numpy as np

from cutplan.errors import GeometryError
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

Chord = tuple[Point, Point]

#: Most candidate places for a cut across one piece.
_PLACES = 160
#: What a bad place costs, in millimetres of extra cut that it is worth to avoid it.
_NEAR_CORNER_MM = 250.0
_ON_RIB_MM = 5000.0
_PER_CUT_MM = 4.0
_BORDER_MM = 6.0
#: Least extent of a section [mm], unless the piece itself is smaller.
LEAST_MM = 25.0
#: Least area of a section [mm2], unless the piece itself is small.
LEAST_MM2 = 1500.0


@dataclass(frozen=True, slots=True)
class Limits:
    """What a section may be: extents along and across the opening's axes [mm], mass [kg] and what gives mass.

    ``avoid`` are (centre, radius) of corner holes, ``avoid_mm`` the room that the end of a cut keeps from them.
    ``skin_kg_per_mm2`` is the skin's mass per area; ``ribs`` are (path, kg per mm) behind it.
    """

    longest_mm: float
    heaviest_kg: float
    skin_kg_per_mm2: float
    ribs: tuple[tuple[tuple[Point, ...], float], ...] = ()
    avoid: tuple[tuple[Point, float], ...] = ()
    avoid_mm: float = 16.0
    rib_clear_mm: float = 8.0


def as_polygon(shape: Geometry) -> Polygon:
    """Return a GEOS shape that is known to be one polygon as such; anything else raises GeometryError."""
    from shapely import Polygon as GeosPolygon

    if isinstance(shape, GeosPolygon) and not shape.is_empty:
        return shape
    raise GeometryError("the waste is no single area", hint="look at the outline with: cutplan check")


def axis_rad(poly: Polygon) -> float:
    """Return the direction of the waste's own long axis [rad], 0 where it is nearly along x or y or has none.

    The axis is the long side of the smallest rectangle round the shape, in (-pi/4, pi/4].
    """
    box = np.asarray(as_polygon(poly.minimum_rotated_rectangle).exterior.coords)
    side = box[1] - box[0]
    angle = float(np.arctan2(side[1], side[0]))
    angle = (angle + 0.25 * pi) % (0.5 * pi) - 0.25 * pi
    xmin, ymin, xmax, ymax = poly.bounds
    rectangle = hypot(*(box[1] - box[0])) * hypot(*(box[2] - box[1]))
    return 0.0 if abs(angle) < 0.035 or (xmax - xmin) * (ymax - ymin) < 1.05 * rectangle else angle


def piece_mass_kg(poly: Polygon, limits: Limits) -> float:
    """Return the mass of a piece of skin with the ribs behind it [kg]."""
    from shapely import LineString

    mass = float(poly.area) * limits.skin_kg_per_mm2
    for path, per_mm in limits.ribs:
        if per_mm > 0.0:
            mass += float(LineString(path).intersection(poly).length) * per_mm
    return mass


def turned_poly(poly: Polygon, angle_rad: float) -> Polygon:
    """Return a polygon turned counter-clockwise about the origin [rad]."""
    from shapely import transform

    c, s = cos(angle_rad), sin(angle_rad)
    turn = np.array([[c, s], [-s, c]])
    result: Polygon = transform(poly, lambda xy: xy @ turn)
    return result


def split(poly: Polygon, limits: Limits, angle_rad: float) -> tuple[list[Polygon], list[Chord]]:
    """Return the pieces and the straight cuts that part a polygon within limits.

    Parameters
    ----------
    poly : shapely.Polygon
        Waste inside the kerf's path [mm].
    limits : Limits
        Largest section and what to stay clear of.
    angle_rad : float
        Direction of the opening's own axis [rad]; cuts run along and across it.

    Returns
    -------
    (pieces, chords)
        Chords in the order they were made: each ends on the path or on an earlier chord.

    Notes
    -----
    Both orders (across first, along first) are tried and the shorter total kept. Places are chosen by dynamic
    programming over the length of the chord, with penalties for a corner near its end and for a rib under it.
    """
    turned = turned_poly(poly, -angle_rad)
    local = Limits(
        limits.longest_mm, limits.heaviest_kg, limits.skin_kg_per_mm2,
        tuple((tuple(p.turned(-angle_rad) for p in path), m) for path, m in limits.ribs),
        tuple((p.turned(-angle_rad), r) for p, r in limits.avoid), limits.avoid_mm, limits.rib_clear_mm,
    )
    best: tuple[float, list[Polygon], list[Chord]] | None = None
    for first in (0, 1):
        pieces, chords = _split(turned, local, first, 0)
        total = sum(a.distance(b) for a, b in chords) + _PER_CUT_MM * len(chords)
        if best is None or total < best[0] - 1e-6:
            best = (total, pieces, chords)
    assert best is not None
    return (
        [turned_poly(p, angle_rad) for p in best[1]],
        [(a.turned(angle_rad), b.turned(angle_rad)) for a, b in best[2]],
    )


def _split(poly: Polygon, limits: Limits, first: int, depth: int) -> tuple[list[Polygon], list[Chord]]:
    xmin, ymin, xmax, ymax = poly.bounds
    extent = (xmax - xmin, ymax - ymin)
    mass = piece_mass_kg(poly, limits)
    over = [extent[k] > limits.longest_mm * (1.0 + 1e-9) for k in (0, 1)]
    heavy = mass > limits.heaviest_kg * (1.0 + 1e-9)
    if not (any(over) or heavy) or depth > 12 or min(extent) < 1.0:
        return [poly], []
    if all(over):
        axis = first
    elif any(over):
        axis = over.index(True)
    else:
        axis = 0 if extent[0] >= extent[1] else 1
    by_mass = heavy and not any(over)
    chords = _cuts(poly, limits, axis, mass if by_mass else 0.0)
    parts = parted(poly, chords)
    if len(parts) < 2:
        return [poly], []
    pieces: list[Polygon] = []
    all_chords = list(chords)
    for part in parts:
        more, made = _split(part, limits, first, depth + 1)
        pieces.extend(more)
        all_chords.extend(made)
    return pieces, all_chords


def parted(poly: Polygon, chords: list[Chord]) -> list[Polygon]:
    """Return the pieces of a polygon parted along chords that reach from border to border."""
    from shapely import LineString, get_parts, polygonize, unary_union

    lines: list[LineString] = [poly.exterior]
    for a, b in chords:
        reach = b.minus(a).unit().times(1e-6)
        lines.append(LineString([a.minus(reach), b.plus(reach)]))
    cells = get_parts(polygonize(get_parts(unary_union(lines))))
    inside = [c for c in cells if c.area > 1e-3 and poly.contains(c.representative_point())]
    return sorted(inside, key=lambda c: (round(c.bounds[0], 3), round(c.bounds[1], 3)))


def _cuts(poly: Polygon, limits: Limits, axis: int, mass_kg: float) -> list[Chord]:
    """Choose places along an axis by dynamic programming; return the chords there."""
    bounds = poly.bounds
    low, high = bounds[axis], bounds[axis + 2]
    extent = high - low
    gap_most = limits.longest_mm if mass_kg == 0.0 else extent
    least_cuts = ceil(extent / limits.longest_mm * (1.0 - 1e-9)) - 1 if mass_kg == 0.0 else (
        ceil(mass_kg / limits.heaviest_kg * (1.0 - 1e-9)) - 1)
    n_even = max(1, least_cuts) + 1
    even = extent / n_even
    tight = [limits.longest_mm * (1.0 - 1e-9) * i for i in range(1, n_even)]
    places = np.unique(np.concatenate((
        np.linspace(low, high, min(_PLACES, max(24, ceil(extent / 2.0))) + 1)[1:-1],
        low + even * np.arange(1, n_even), low + np.array(tight), high - np.array(tight),
    )))
    places = places[(places > low + 0.5) & (places < high - 0.5)]
    chords = _chords_at(poly, axis, places, bounds)
    cost = np.array([_cost(c, limits, axis, float(p)) for c, p in zip(chords, places, strict=True)])
    cost += _along_border(poly, axis, places, chords)
    spots = np.concatenate(([low], places, [high]))
    price = np.concatenate(([0.0], cost, [0.0]))
    across = _across(chords, limits, axis, spots)
    area = _heaped_area(poly, axis, spots, chords)
    small = min(LEAST_MM2, 0.2 * poly.area)
    heaped = _heaped_mass(poly, limits, axis, spots, area) if mass_kg > 0.0 else None
    least_gap = min(LEAST_MM, 0.5 * even)
    best = np.full(len(spots), np.inf)
    back = np.full(len(spots), -1)
    best[0] = 0.0
    for j in range(1, len(spots)):
        gaps = spots[j] - spots[:j]
        ok = (gaps <= gap_most * (1.0 + 1e-12)) & (gaps >= least_gap) & (area[j] - area[:j] >= small)
        if j == len(spots) - 1:
            ok[0] = False  # at least one cut
        if heaped is not None:
            ok &= (heaped[j] - heaped[:j]) <= 0.985 * limits.heaviest_kg
        total = np.where(ok, best[:j] + price[j] + _PER_CUT_MM + 0.05 * np.abs(gaps - even) + across[j, :j], np.inf)
        k = int(np.argmin(total))
        if np.isfinite(total[k]):
            best[j], back[j] = total[k], k
    if back[-1] < 0:  # no choice keeps all limits: even spacing, the pieces are split again
        picked = [int(np.argmin(np.abs(places - (low + even * i)))) for i in range(1, n_even)]
    else:
        picked, j = [], int(back[-1])
        while j > 0:
            picked.append(j - 1)
            j = int(back[j])
    return [c for i in sorted(set(picked)) for c in chords[i]]


def _along_border(poly: Polygon, axis: int, places: np.ndarray, chords: list[list[Chord]]) -> np.ndarray:
    """What it is worth to avoid cuts that run beside the border: three times the length that lies near it [mm]."""
    inner = poly.buffer(-_BORDER_MM, quad_segs=4)
    deep = _chords_at(inner, axis, places, poly.bounds)
    near = np.array([sum(a.distance(b) for a, b in c) - sum(a.distance(b) for a, b in d) - 4.0 * _BORDER_MM * len(c)
                     for c, d in zip(chords, deep, strict=True)])
    worth: np.ndarray = 3.0 * np.maximum(near, 0.0)
    return worth


def _across(chords: list[list[Chord]], limits: Limits, axis: int, spots: np.ndarray) -> np.ndarray:
    """What the cuts the other way will about cost in the strip between two places [mm]: entry [j, i] for i < j.

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
        out[i + 1:, i] = cuts * (spots[i + 1:] - spots[i])
    return out


def _chords_at(poly: Polygon, axis: int, places: np.ndarray, bounds: tuple[float, ...]) -> list[list[Chord]]:
    """Chords of a polygon along the rulers at each place."""
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
    last = np.append(first[1:], len(which)) - 1
    for k, a, b in zip(owner[lines].tolist(), xy[first].tolist(), xy[last].tolist(), strict=True):
        p, q = Point(*a), Point(*b)
        if p.distance(q) > 1e-3:
            out[k].append((p, q))
    return out


def _cost(chords: list[Chord], limits: Limits, axis: int, place: float) -> float:
    total = 0.0
    for a, b in chords:
        total += a.distance(b)
        for corner, radius in limits.avoid:
            at_end = min(corner.distance(a), corner.distance(b)) < radius + limits.avoid_mm
            if at_end or 0.5 * radius < Line(a, b).nearest(corner)[1] < radius + 5.0:
                total += _NEAR_CORNER_MM
        lo, hi = (a[1 - axis], b[1 - axis]) if a[1 - axis] <= b[1 - axis] else (b[1 - axis], a[1 - axis])
        for path, _ in limits.ribs:
            for p, q in pairwise(path):
                total += _ON_RIB_MM / 1000.0 * _under(p, q, axis, place, lo, hi, limits.rib_clear_mm)
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


def _heaped_area(poly: Polygon, axis: int, spots: np.ndarray, chords: list[list[Chord]]) -> np.ndarray:
    """Area of the piece below each place [mm2]: widths summed by the trapezoid rule."""
    width = np.array([0.0, *(sum(a.distance(b) for a, b in c) for c in chords), 0.0])
    # true widths at the two ends, a hair inside
    ends = _chords_at(poly, axis, np.array([spots[0] + 1e-4, spots[-1] - 1e-4]), poly.bounds)
    width[0], width[-1] = (sum(a.distance(b) for a, b in c) for c in ends)
    area = np.concatenate(([0.0], np.cumsum(0.5 * (width[1:] + width[:-1]) * np.diff(spots))))
    result: np.ndarray = area * (poly.area / max(area[-1], 1e-9))
    return result


def _heaped_mass(poly: Polygon, limits: Limits, axis: int, spots: np.ndarray, area: np.ndarray) -> np.ndarray:
    """Mass of the piece below each place [kg]: skin, and ribs by clipping."""
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
