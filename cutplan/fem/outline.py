"""Nodes along an outline: spaced to a wanted size, finer where it curves, corners kept; inside test; nearest place."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import pi

import numpy as np

from cutplan.fem.mesh import Floats

#: Turning at a vertex above which it is a corner and keeps its node [rad].
CORNER_RAD = pi / 7.0
#: Turning that one mesh edge may span on a curve [rad].
TURN_PER_EDGE_RAD = pi / 9.0
#: Finest spacing on a curve as a share of the wanted size [1].
FINEST = 0.2
#: Nodes closer than this share of the finest spacing are one [1].
_CRUMB = 0.4


def turning(line: Floats, closed: bool) -> Floats:
    """Return the turning angle at each of (n, 2) vertices [rad], positive to the left; zero at the ends of an open line."""
    step = np.diff(np.vstack([line, line[:1]]) if closed else line, axis=0)
    heading = np.arctan2(step[:, 1], step[:, 0])
    if closed:
        return np.asarray((heading - np.roll(heading, 1) + pi) % (2.0 * pi) - pi)
    inner = (np.diff(heading) + pi) % (2.0 * pi) - pi
    return np.concatenate([[0.0], inner, [0.0]])


def resample(line: Floats, closed: bool, size_mm: float) -> Floats:
    """Return nodes on a polyline about `size_mm` apart [mm], closer on curves, with its corners and ends kept.

    Parameters
    ----------
    line : ndarray (n, 2)
        Vertices [mm], first not repeated when closed.
    closed : bool
        The last vertex joins the first.
    size_mm : float
        Wanted spacing [mm].
    """
    bend = np.abs(turning(line, closed))
    corner = bend > CORNER_RAD
    if closed:
        shift = int(np.argmax(corner)) if corner.any() else 0
        line = np.roll(line, -shift, axis=0)
        bend, corner = np.roll(bend, -shift), np.roll(corner, -shift)
        line = np.vstack([line, line[:1]])
        bend, corner = np.append(bend, bend[0]), np.append(corner, corner[0])
    smooth = np.where(corner, 0.0, bend)
    length = np.hypot(*np.diff(line, axis=0).T)
    curve = 0.5 * (smooth[:-1] + smooth[1:]) / np.maximum(length, 1e-12) / TURN_PER_EDGE_RAD
    density = np.clip(curve, 1.0 / size_mm, 1.0 / (FINEST * size_mm))
    stops = np.unique(np.concatenate([[0], np.flatnonzero(corner), [len(line) - 1]]))
    count = np.concatenate([[0.0], np.cumsum(density * length)])
    nodes = []
    for first, last in pairwise(stops):
        whole = count[last] - count[first]
        least = 8 if closed and len(stops) == 2 else 1
        pieces = max(least, int(np.ceil(whole - 0.2)))
        wanted = count[first] + whole * np.arange(pieces) / pieces
        nodes.append(np.column_stack([np.interp(wanted, count, line[:, axis]) for axis in (0, 1)]))
    if not closed:
        nodes.append(line[-1:])
    return _without_crumbs(np.vstack(nodes), closed, _CRUMB * FINEST * size_mm)


def _without_crumbs(nodes: Floats, closed: bool, least_mm: float) -> Floats:
    """Nodes with those left out that follow another too closely; a loop keeps at least six."""
    keep = [0]
    for i in range(1, len(nodes)):
        if np.hypot(*(nodes[i] - nodes[keep[-1]])) >= least_mm:
            keep.append(i)
    if not closed and keep[-1] != len(nodes) - 1:
        keep[-1 if len(keep) > 1 else len(keep) :] = [len(nodes) - 1]
    if closed and len(keep) > 1 and np.hypot(*(nodes[keep[-1]] - nodes[0])) < least_mm:
        keep.pop()
    return nodes[keep] if not closed or len(keep) >= 6 or len(keep) == len(nodes) else nodes


def inside(places: Floats, loops: list[Floats]) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Return for each of (n, 2) places whether it lies inside an odd number of loops (crossing count)."""
    result = np.zeros(len(places), dtype=bool)
    x, y = places.T
    for loop in loops:
        (x0, y0), (x1, y1) = loop.T, np.roll(loop, -1, axis=0).T
        above = y0 > y[:, None]
        # few edges reach over a place's height: only where they cross it is worked out
        place, edge = np.nonzero(above != np.roll(above, -1, axis=1))
        cross = x0[edge] + (y[place] - y0[edge]) * (x1[edge] - x0[edge]) / (y1[edge] - y0[edge])
        result ^= np.bincount(place[x[place] < cross], minlength=len(places)) % 2 == 1
    return result


def lengths_along(line: Floats, closed: bool) -> Floats:
    """Return the length from the first of (n, 2) vertices to each, and to the closing point when closed [mm]."""
    ring = np.vstack([line, line[:1]]) if closed else line
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(ring, axis=0).T))])


def place_at(line: Floats, closed: bool, lengths_mm: Floats) -> Floats:
    """Return the (k, 2) places at (k,) lengths along a polyline [mm]; lengths wrap round a closed one."""
    along = lengths_along(line, closed)
    ring = np.vstack([line, line[:1]]) if closed else line
    wanted = np.mod(lengths_mm, along[-1]) if closed else lengths_mm
    return np.column_stack([np.interp(wanted, along, ring[:, axis]) for axis in (0, 1)])


def length_at(line: Floats, closed: bool, places: Floats) -> Floats:
    """Return the length along a polyline of the point on it nearest to each of (k, 2) places [mm]."""
    ring = np.vstack([line, line[:1]]) if closed else line
    along = lengths_along(line, closed)
    start, step = ring[:-1], np.diff(ring, axis=0)
    square = np.maximum((step**2).sum(axis=1), 1e-18)
    offset = places[:, None, :] - start[None, :, :]
    part = np.clip((offset * step).sum(axis=2) / square, 0.0, 1.0)
    miss = ((offset - part[:, :, None] * step) ** 2).sum(axis=2)
    best = np.argmin(miss, axis=1)
    chosen = part[np.arange(len(places)), best]
    return np.asarray(along[best] + chosen * (along[best + 1] - along[best]))


def clipped(line: Floats, loops: list[Floats], clear_mm: float, others: Sequence[Floats] = ()) -> list[Floats]:
    """Return the pieces of an open polyline that lie inside the loops and clear of them [mm].

    Parameters
    ----------
    line : ndarray (n, 2)
        Polyline [mm].
    loops : list of ndarray
        Outer boundary and holes [mm].
    clear_mm : float
        Distance to keep from every loop [mm]; pieces shorter than it are dropped.
    others : sequence of ndarray
        Closed lines to keep clear of as well, on either side [mm].
    """
    along = lengths_along(line, False)
    count = max(2, int(np.ceil(along[-1] / (0.25 * clear_mm))) + 1)
    stations = np.unique(np.concatenate([along, np.linspace(0.0, along[-1], count)]))
    places = place_at(line, False, stations)
    keep = inside(places, loops)
    for loop in (*loops, *others):
        foot = place_at(loop, True, length_at(loop, True, places))
        keep &= np.hypot(*(places - foot).T) >= clear_mm
    edges = np.flatnonzero(np.diff(np.concatenate([[False], keep, [False]]).astype(int)))
    runs = [(a, b - 1) for a, b in zip(edges[::2], edges[1::2], strict=True)]
    pieces = []
    for a, b in runs:
        if stations[b] - stations[a] >= clear_mm:
            inner = along[(along > stations[a] + 1e-9) & (along < stations[b] - 1e-9)]
            pieces.append(place_at(line, False, np.concatenate([[stations[a]], inner, [stations[b]]])))
    return pieces
