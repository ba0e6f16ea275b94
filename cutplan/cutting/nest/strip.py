"""Dense laying on a plain rectangle by a packing library: a strip of fixed height made as short as it can."""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    import spyrrow
    from shapely import Polygon

#: Start value of the library's chance for the first search; the others follow.
SEED = 1
#: Least time for another search [s], and least share of the whole time [-].
_LEAST_S, _AGAIN = 2.0, 0.2


class Laid(NamedTuple):
    """One shape on the strip: its number, turned about the origin [deg], then moved [mm]."""

    shape: int
    turn_deg: float
    x_mm: float
    y_mm: float


def strip(
    shapes: Sequence[Polygon],
    counts: Sequence[int],
    height_mm: float,
    turns: Sequence[float] | None,
    seconds: int,
    workers: int = 1,
) -> tuple[list[Laid], float]:
    """Return where all copies of shapes lie on a strip from (0, 0) on, and the length of the strip used [mm].

    Parameters
    ----------
    shapes : sequence of Polygon
        Shapes about their own origin [mm].
    counts : sequence of int
        Copies of each.
    height_mm : float
        Height of the strip [mm].
    turns : sequence of float or None
        Angles allowed [deg]; None: any.
    seconds : int
        Time for the search, which stops by the clock [s]: what it found must be kept to get the same again.
    workers : int
        Threads.
    """
    import spyrrow

    items = [
        spyrrow.Item(
            str(k), [(x, y) for x, y, *_ in shape.exterior.coords], count, None if turns is None else list(turns)
        )
        for k, (shape, count) in enumerate(zip(shapes, counts, strict=True))
        if count
    ]
    instance = spyrrow.StripPackingInstance("sheet", height_mm, items)
    found = _shortest(instance, seconds, workers)
    laid = [Laid(int(p.id), p.rotation % 360.0, *p.translation) for p in found.placed_items]
    return sorted(laid, key=lambda p: (p.x_mm, p.y_mm, p.shape)), found.width


def _shortest(instance: spyrrow.StripPackingInstance, seconds: int, workers: int) -> spyrrow.StripPackingSolution:
    """Return the shortest of searches one after the other, each with a start value of its own, until the time is over.

    A search that comes to its end early is begun again elsewhere. Measured by processor time, two threads together find
    more than one or than four on two cores, so there are as many threads as cores and no searches side by side.
    """
    import spyrrow

    until = time.monotonic() + seconds
    best, seed, left = None, SEED, float(seconds)
    while best is None or left >= max(_LEAST_S, _AGAIN * seconds):
        config = spyrrow.StripPackingConfig(
            early_termination=True, total_computation_time=max(1, round(left)), num_workers=workers, seed=seed
        )
        found = instance.solve(config)
        if best is None or found.width < best.width:
            best = found
        seed += 1
        left = until - time.monotonic()
    return best
