"""The way from a label to what it names: straight where that is clear, else round by one bend, and short of the edge."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import pi

import numpy as np

from cutplan.drawing.layout import arrow
from cutplan.drawing.model import Pen, Stroke, line
from cutplan.drawing.placer.ground import Bools, Floats, Ground
from cutplan.drawing.placer.steps import even_steps
from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_array
from cutplan.geometry.vector import Point

#: Places looked at along one leg of a leader.
_STEPS = 64
#: Of these every so manieth is looked at first, and all of them last.
_EVERY = (6, 1)
#: Directions and distances from the edge, in font sizes, at which a leader may bend.
_BENDS, _BEND_REACH = 16, (1.0, 2.2, 4.0, 6.5)


@dataclass(frozen=True, slots=True)
class Target:
    """What a leader points to: a round thing, or the nearest place of a contour; it ends ``clear_mm`` before the edge [mm]."""

    at: Point
    radius_mm: float = 0.0
    contour: Contour | None = None
    clear_mm: float = 1.0

    def edge(self) -> Floats | None:
        """Return points (n, 2) of a contour that is not round [mm]; None of any other thing."""
        return flatten_array(self.contour, 0.1) if self.contour is not None and not self.radius_mm else None

    def ends(self, starts: Floats, edge: Floats | None) -> Floats:
        """Return where leaders from points (n, 2) end [mm]; ``edge`` is what :meth:`edge` gave."""
        middle = np.broadcast_to(np.array(self.at), starts.shape)
        if edge is not None:
            a, b = edge, np.roll(edge, -1, axis=0)
            run = b - a
            square = np.maximum((run**2).sum(axis=1), 1e-12)
            t = np.clip(((starts[:, None, :] - a) * run).sum(axis=2) / square, 0.0, 1.0)
            feet = a + t[:, :, None] * run
            middle = feet[np.arange(len(starts)), ((feet - starts[:, None, :]) ** 2).sum(axis=2).argmin(axis=1)]
        way = starts - middle
        far = np.hypot(way[:, 0], way[:, 1])[:, None]
        ends: Floats = middle + way / np.maximum(far, 1e-9) * np.minimum(self.radius_mm + self.clear_mm, far)
        return ends


@dataclass(frozen=True, slots=True)
class Ways:
    """Leaders to one target over one ground; the bends that lead to it are found once."""

    target: Target
    ground: Ground
    edge: Floats | None
    bends: Floats
    bent_ends: Floats

    def straight(self, starts: Floats) -> tuple[Floats, Bools]:
        """Return where straight leaders from points (n, 2) end (n, 2) [mm], and which of them are clear (n)."""
        ends = self.target.ends(starts, self.edge)
        return ends, _clear(self.ground, starts, ends, self._near_mm)

    def bent(self, middles: Floats, half: Floats, longest_mm: Floats) -> Bent:
        """Return the leaders with one bend from boxes about middles (n, 2) with half sides (2), up to lengths (n) [mm]."""
        starts = np.clip(self.bends, (middles - half)[:, None, :], (middles + half)[:, None, :])
        first, second = self.bends - starts, self.bent_ends - self.bends
        step = np.hypot(first[:, :, 0], first[:, :, 1])
        long = step + np.hypot(second[:, 0], second[:, 1])
        ahead = ((first * second).sum(axis=2) > 0.0) & (step > 0.5) & (long <= longest_mm[:, None])
        box, bend = np.nonzero(ahead)
        ahead[box, bend] = _clear(self.ground, starts[box, bend], self.bends[bend], 0.0)
        return Bent(self, starts, np.where(ahead, long, np.inf))

    @property
    def _near_mm(self) -> float:
        return near_mm(self.ground)


@dataclass(frozen=True, slots=True)
class Bent:
    """Leaders with one bend from several boxes: where each leaves its box (n, bends, 2) and its length (n, bends) [mm].

    The length is infinite where a leader turns back, is too long, or is barred.
    """

    ways: Ways
    starts: Floats
    long_mm: Floats

    def shortest(self, box: int, longest_mm: float) -> tuple[Floats, float] | None:
        """Return the shortest clear leader of a box by its number, as (3, 2), and its length [mm].

        None where there is none up to a length [mm].
        """
        k = int(self.long_mm[box].argmin()) if self.long_mm.shape[1] else -1
        if k < 0 or self.long_mm[box, k] > longest_mm:
            return None
        ways = self.ways
        return np.array([self.starts[box, k], ways.bends[k], ways.bent_ends[k]]), float(self.long_mm[box, k])


def near_mm(ground: Ground) -> float:
    """Return how near to its end a leader may meet the edge of its own thing on a raster [mm]."""
    return 1.5 * ground.cell_mm + 0.5


def ways_to(target: Target, ground: Ground, height_mm: float) -> Ways:
    """Return the leaders to a target for letters of a height [mm]."""
    angle = 2.0 * pi * np.arange(_BENDS) / _BENDS
    reach = target.radius_mm + target.clear_mm + height_mm * np.array(_BEND_REACH)
    out = np.column_stack((np.cos(angle), np.sin(angle)))
    bends: Floats = (np.array(target.at) + reach[:, None, None] * out).reshape(-1, 2)
    edge = target.edge()
    ends = target.ends(bends, edge)
    clear = _clear(ground, bends, ends, near_mm(ground))
    return Ways(target, ground, edge, bends[clear], ends[clear])


def _clear(ground: Ground, starts: Floats, ends: Floats, near_end_mm: float) -> Bools:
    """Which straight legs pass nothing that bars them; the last bit before the end is not asked."""
    run = ends - starts
    long = np.maximum(np.hypot(run[:, 0], run[:, 1]), 1e-9)
    part = np.clip(1.0 - near_end_mm / long, 0.0, 1.0)
    clear: Bools = np.ones(len(run), dtype=bool)
    left = np.arange(len(run))
    # most ways are barred, and seen to be at a few of their places
    for every in _EVERY:
        steps = even_steps(_STEPS)[None, ::every] * part[left, None]
        x, y = (starts[left, k, None] + steps * run[left, k, None] for k in (0, 1))
        clear[left] = ground.clear(x, y)
        left = np.flatnonzero(clear)
        if not len(left):
            break
    return clear


def way_points(way: tuple[Point, ...], step_mm: float = 0.5) -> Floats:
    """Return points (n, 2) along a leader [mm]."""
    rows = []
    for a, b in pairwise(way):
        t = even_steps(2 + int(a.distance(b) / step_mm))[:, None]
        rows.append(np.array(a) + t * (np.array(b) - np.array(a)))
    return np.concatenate(rows)


def leader_strokes(way: tuple[Point, ...], pen: Pen, head_mm: float = 0.0) -> list[Stroke]:
    """Return a leader as thin strokes, with an arrow head of a length [mm] or none."""
    strokes = [line(a, b, pen, "leader") for a, b in pairwise(way)]
    long = way[-2].distance(way[-1])
    if head_mm and long > 0.5:
        strokes[-1:] = arrow(way[-2], way[-1], pen, min(head_mm, 0.6 * long), "leader")
    return strokes
