"""Outlines with gaps in more than one place: open chains whose ends meet one after the other, all the way round."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.files.outline.joining import Chain
from cutplan.files.outline.strokes import direction, lengths
from cutplan.files.traces import Floats
from cutplan.tolerance import JOIN_MM

#: Widest gap between two ends that is called a gap and not a missing side [mm], and as a share of the shorter piece.
WIDEST_MM, WIDEST_SHARE = 6.0, 0.25
#: Gaps up to this width may be this share of the shorter piece: a small hole drawn in pieces [mm, -].
_SMALL_MM, _SMALL_SHARE = 1.2, 0.4
#: Share with which pieces might still be a ring: enough to not take them for anything else [-].
LOOSE_SHARE = 0.7
#: Gaps up to this width count whatever the directions of the two pieces [mm].
_ANY_WAY_MM = 0.35
#: Cosine of the angle between two pieces that leave a gap the same way: side by side, not end to end.
_SIDE_BY_SIDE = 0.9
#: Most of a way round that may be gaps [-].
_MOSTLY_DRAWN = 0.3
#: Rings thinner than this, twice the area by the length, go round nothing [mm].
_THIN_MM = 0.5
#: Nearest ends that each end is held against, itself included.
_NEIGHBOURS = 9
#: Most open chains among which rings are looked for.
_CHAINS = 20_000


@dataclass(frozen=True, slots=True)
class Gap:
    """A place where two ends do not meet: both ends [mm] and the way between them [mm]."""

    a: tuple[float, float]
    b: tuple[float, float]
    width: float


@dataclass(frozen=True, slots=True)
class Ring:
    """Chains that go round with gaps: (index of the chain, whether it runs backwards) in order, and the gaps."""

    order: tuple[tuple[int, bool], ...]
    gaps: tuple[Gap, ...]


def broken_rings(chains: list[Chain], share: float = WIDEST_SHARE) -> list[Ring]:
    """Return the rings that open chains make, each chain in at most one of them.

    Ends are paired nearest first, within a reach that grows with the pieces. A ring counts when every end in it is
    paired, little of it is gap, and it goes round more than a sliver.

    Parameters
    ----------
    chains : list of Chain
        Open chains [mm].
    share : float
        Widest gap as a share of the shorter piece [1].
    """
    if not chains or len(chains) > _CHAINS:
        return []
    runs = np.array([float(lengths(c.xy, c.bulge).sum()) for c in chains])
    ends = np.array([[c.xy[0], c.xy[-1]] for c in chains], dtype=np.float64).reshape(-1, 2)
    pair = _paired(chains, runs, ends, share)
    rings: list[Ring] = []
    seen: set[int] = set()
    for first in range(len(chains)):
        if first in seen:
            continue
        order = _round(first, pair)
        if order is None:
            continue
        seen.update(i for i, _ in order)
        ring = _ring(order, chains, runs, ends, max(share, _MOSTLY_DRAWN))
        if ring is not None:
            rings.append(ring)
    return rings


def _paired(chains: list[Chain], runs: Floats, ends: Floats, share: float) -> dict[int, int]:
    """Return for each end (2 i start, 2 i + 1 end of chain i) the end it goes with."""
    from scipy.spatial import cKDTree

    widest = min(WIDEST_MM, max(share, _SMALL_SHARE) * float(runs.max(initial=0.0)))
    if widest <= 0.0:
        return {}
    count = min(_NEIGHBOURS, len(ends))
    _, index = cKDTree(ends).query(ends, k=count, distance_upper_bound=widest)
    first = np.repeat(np.arange(len(ends)), count)
    second = np.asarray(index).ravel()
    pick = (second < len(ends)) & (first != second)
    near = np.unique(np.sort(np.column_stack([first[pick], second[pick]]), axis=1), axis=0)
    if not len(near):
        return {}
    owner = near // 2
    wide = np.hypot(*(ends[near[:, 0]] - ends[near[:, 1]]).T)
    allowed = np.where(wide <= _SMALL_MM, max(share, _SMALL_SHARE), share)
    fits = wide <= allowed * np.minimum(runs[owner[:, 0]], runs[owner[:, 1]])
    near, wide = near[fits], wide[fits]
    pair: dict[int, int] = {}
    for k in np.argsort(wide, kind="stable").tolist():
        a, b = int(near[k, 0]), int(near[k, 1])
        if a not in pair and b not in pair and (wide[k] <= _ANY_WAY_MM or not _beside(chains, a, b)):
            pair[a], pair[b] = b, a
    return pair


def _beside(chains: list[Chain], a: int, b: int) -> bool:
    """Return whether two ends belong to pieces that leave side by side, as the lines of a hatch do."""
    (ax, ay), (bx, by) = (direction(chains[e // 2].xy, chains[e // 2].bulge, at_end=bool(e % 2)) for e in (a, b))
    return ax * bx + ay * by > _SIDE_BY_SIDE


def _round(first: int, pair: dict[int, int]) -> list[tuple[int, bool]] | None:
    """Return the chains met on the way round from one, or None where the way ends."""
    order: list[tuple[int, bool]] = []
    start = end = 2 * first
    while True:
        order.append((end // 2, bool(end % 2)))
        leave = end ^ 1
        if leave not in pair:
            return None
        end = pair[leave]
        if end == start:
            return order
        if len(order) > len(pair):
            return None


def _ring(order: list[tuple[int, bool]], chains: list[Chain], runs: Floats, ends: Floats, most: float) -> Ring | None:
    gaps: list[Gap] = []
    for k, (i, backwards) in enumerate(order):
        j, turned = order[(k + 1) % len(order)]
        a, b = ends[2 * i + (0 if backwards else 1)], ends[2 * j + (1 if turned else 0)]
        gaps.append(Gap((float(a[0]), float(a[1])), (float(b[0]), float(b[1])), float(np.hypot(*(b - a)))))
    run = float(sum(runs[i] for i, _ in order))
    if sum(g.width for g in gaps) > most * run or max(g.width for g in gaps) <= JOIN_MM:
        return None  # pieces without any gap are what a tangle has left over
    around = np.vstack([_points(chains[i])[:: -1 if backwards else 1] for i, backwards in order])
    x, y = (around - around[0]).T
    area = 0.5 * abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)))
    if 2.0 * area <= _THIN_MM * run:
        return None
    return Ring(tuple(order), tuple(gaps))


def _points(chain: Chain) -> Floats:
    """Return the corners of a chain with three points on each arc: enough to tell what it goes round."""
    from cutplan.files.outline.strokes import middles

    if not chain.bulge.any():
        return chain.xy
    out = np.empty((2 * len(chain.bulge) + 1, 2))
    out[0::2], out[1::2] = chain.xy, middles(chain.xy, chain.bulge)
    return out
