"""Very many lines drawn in no order, strung together where exactly two of them share an end to the last digit."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from cutplan.files.traces import Ints

if TYPE_CHECKING:
    from cutplan.files.dxf.line_runs import LineRun


def strung(runs: list[LineRun]) -> list[LineRun]:
    """Return runs of lines joined into longer ones, in the order in which the first of each was drawn.

    Two runs are joined where nothing else ends and both are of one layer and linetype; what branches, repeats or closes
    by itself stays as it is, to be judged with the whole in view.
    """
    partner = _partners(runs).tolist()
    kinds: dict[tuple[str, str], int] = {}
    kind = [kinds.setdefault((r.layer, r.linetype), len(kinds)) for r in runs]
    seen = [False] * len(runs)
    out: list[tuple[int, LineRun]] = []
    ends = [h for h, other in enumerate(partner) if other < 0 or kind[h >> 1] != kind[other >> 1]]
    for half in (*ends, *range(0, 2 * len(runs), 2)):  # open strings from their ends, then what goes round
        if seen[half >> 1]:
            continue
        order: list[int] = []  # half-edges by which each run is entered
        while half >= 0 and not seen[half >> 1]:
            seen[half >> 1] = True
            order.append(half)
            leaving = half ^ 1
            half = partner[leaving]
            if half >= 0 and kind[half >> 1] != kind[leaving >> 1]:
                break
        first = min(h >> 1 for h in order)
        out.append((first, _one([runs[h >> 1] for h in order], [bool(h & 1) for h in order], runs[first])))
    return [run for _, run in sorted(out, key=lambda pair: pair[0])]


def _partners(runs: list[LineRun]) -> Ints:
    """Return for each end of a run, numbered 2 k and 2 k + 1, the only other end at its place; -1 where there is none."""
    ends = np.array([[r.xy[0], r.xy[-1]] for r in runs]).reshape(-1, 2)
    place = np.unique(ends[:, 0] + 1j * ends[:, 1], return_inverse=True)[1].reshape(-1)
    order = np.argsort(place, kind="stable")
    met = np.bincount(place)
    first = np.cumsum(met) - met
    two = np.flatnonzero(met == 2)
    a, b = order[first[two]], order[first[two] + 1]
    far = (place[a ^ 1] != place[b ^ 1]) & (a >> 1 != b >> 1)  # not one line drawn there and back, and none closed
    partner = np.full(len(ends), -1, dtype=np.int64)
    partner[a[far]], partner[b[far]] = b[far], a[far]
    return partner


def _one(runs: list[LineRun], backwards: list[bool], first: LineRun) -> LineRun:
    if len(runs) == 1:
        return runs[0]
    turned = [r.xy[::-1] if back else r.xy for r, back in zip(runs, backwards, strict=True)]
    xy = np.vstack([turned[0][:1], *[points[1:] for points in turned]])
    return replace(first, xy=xy, count=sum(r.count for r in runs), scattered=True)
