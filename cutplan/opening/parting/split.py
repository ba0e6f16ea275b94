"""The waste split by straight cuts into sections within a length and a mass, with the least cutting."""

from __future__ import annotations

from dataclasses import replace
from math import ceil, cos, hypot, pi, sin
from typing import TYPE_CHECKING

import numpy as np

from cutplan.errors import GeometryError
from cutplan.opening.parting.places import (
    Chord,
    Limits,
    chords_at,
    heaped_area,
    heaped_mass,
    place_costs,
    strip_costs,
)

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

#: Most candidate places for a cut across one piece.
_PLACES = 160
#: What each cut costs besides its length [mm].
_PER_CUT_MM = 4.0
#: Least extent of a section [mm], unless the piece itself is smaller.
LEAST_MM = 12.0
#: Least area of a section [mm2], unless the piece itself is small.
LEAST_MM2 = 500.0


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


def axes_rad(poly: Polygon, longest_mm: float) -> list[float]:
    """Return the directions worth trying as the axis [rad]: its own, and one along which it is no longer than a limit.

    The second only where the shape is longer than the limit along its own axis.
    """
    own = axis_rad(poly)
    hull = np.asarray(as_polygon(poly.convex_hull).exterior.coords)
    angles = own + np.linspace(-0.25 * pi, 0.25 * pi, 91)
    spans = [np.ptp(hull @ np.array([np.cos(a + q), np.sin(a + q)]), axis=-1) for q in (0.0, 0.5 * pi) for a in angles]
    widest = np.maximum(np.array(spans[:91]), np.array(spans[91:]))
    best = int(np.argmin(np.round(widest, 6)))
    if widest[45] > longest_mm >= widest[best]:
        return [float(angles[best]), own]
    return [own]


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


def splits(poly: Polygon, limits: Limits, angle_rad: float) -> list[list[Chord]]:
    """Return the straight cuts that part a polygon within limits, in two ways: across first, and along first.

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
    list of list of (Point, Point)
        Chords in the order they were made: each ends on the path or on an earlier chord.

    Notes
    -----
    Places are chosen by dynamic programming over the length of the chord, with penalties for a corner near its end and
    for a rib under it.
    """
    turned, local = turned_poly(poly, -angle_rad), turned_limits(limits, -angle_rad)
    made = [_split(turned, local, first, 0)[1] for first in (0, 1)]
    return [turned_chords(c, angle_rad) for c in (made if made[0] != made[1] else made[:1])]


def turned_chords(chords: list[Chord], angle_rad: float) -> list[Chord]:
    """Return cuts turned counter-clockwise about the origin [rad]."""
    return [(a.turned(angle_rad), b.turned(angle_rad)) for a, b in chords]


def turned_limits(limits: Limits, angle_rad: float) -> Limits:
    """Return limits with all places turned counter-clockwise about the origin [rad]."""
    return replace(
        limits,
        ribs=tuple((tuple(p.turned(angle_rad) for p in path), m) for path, m in limits.ribs),
        avoid=tuple((p.turned(angle_rad), r) for p, r in limits.avoid),
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
    least_cuts = (
        ceil(extent / limits.longest_mm * (1.0 - 1e-9)) - 1
        if mass_kg == 0.0
        else (ceil(mass_kg / limits.heaviest_kg * (1.0 - 1e-9)) - 1)
    )
    n_even = max(1, least_cuts) + 1
    even = extent / n_even
    tight = [limits.longest_mm * (1.0 - 1e-9) * i for i in range(1, n_even)]
    places = np.unique(
        np.concatenate(
            (
                np.linspace(low, high, min(_PLACES, max(24, ceil(extent / 2.0))) + 1)[1:-1],
                low + even * np.arange(1, n_even),
                low + np.array(tight),
                high - np.array(tight),
            )
        )
    )
    places = places[(places > low + 0.5) & (places < high - 0.5)]
    chords = chords_at(poly, axis, places, bounds)
    cost = place_costs(poly, limits, axis, places, chords)
    spots = np.concatenate(([low], places, [high]))
    price = np.concatenate(([0.0], cost, [0.0]))
    across = strip_costs(chords, limits, axis, spots)
    area = heaped_area(poly, axis, spots, chords)
    small = min(LEAST_MM2, 0.2 * poly.area)
    heaped = heaped_mass(poly, limits, axis, spots, area) if mass_kg > 0.0 else None
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
