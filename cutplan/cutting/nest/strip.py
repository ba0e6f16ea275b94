"""Dense laying on a plain rectangle: a packing library lays shapes a little too small, our own step makes them whole."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from cutplan.cutting.nest.outlines import Outlines
from cutplan.cutting.nest.search import Layout, Loose, searched
from cutplan.cutting.nest.tighten import Tight, tightened

if TYPE_CHECKING:
    from shapely import Polygon

#: Start value of the library's chance for the first search; the others follow.
SEED = 1
#: How much is taken off between shapes for the library, as a share of their mean size [1], in one search after the other.
LOOSE = (0.004, 0.001)
#: Searches that share the time: few pieces come to an end early, and another beginning is worth more than a longer one.
_SEARCHES, _FEW_SEARCHES, _FEW = 2, 3, 15
#: Least time for another search [s], and least share of the whole time [1].
_LEAST_S, _AGAIN = 2.0, 0.2
#: Share of the time kept for making layouts whole [1], and its least [s].
_WHOLE, _WHOLE_S = 0.05, 0.4
#: How much longer it may take as long as no layout is whole [1].
_LATE = 4.0


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
    first_seed: int = SEED,
) -> tuple[list[Laid], float]:
    """Return where all copies of shapes lie on a strip from (0, 0) on, and the length of the strip used [mm].

    Shapes that lock into each other leave no play, and a search hardly ever hits a place without any. So the library is
    given shapes a hair too small in a strip a hair too low; each layout that it finds is then made whole: pushed apart
    and together with the true shapes, exactly.

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
        Threads of the library.
    first_seed : int
        Start value of the library's chance.
    """
    outlines, best = Outlines(shapes), None
    looses = [Loose.of(shapes, counts, height_mm, turns, share) for share in LOOSE]
    many = _FEW_SEARCHES if sum(counts) <= _FEW else _SEARCHES
    for number, last in _searches(seconds, many):
        loose = looses[number % len(looses)]
        best = _whole(outlines, searched(loose, first_seed + number, last, workers), height_mm, best, seconds)
    if best is None:
        plain = searched(Loose.of(shapes, counts, height_mm, turns, 0.0), first_seed, max(1, seconds // 2), workers)[0]
        best = plain, Tight(plain.places, plain.length_mm, 0.0)
    layout, tight = best
    laid = [Laid(k.shape, k.turn_deg, float(x), float(y)) for k, (x, y) in zip(layout.kinds, tight.places, strict=True)]
    return sorted(laid, key=lambda p: (p.x_mm, p.y_mm, p.shape)), tight.length_mm


def _searches(seconds: int, many: int) -> Iterator[tuple[int, int]]:
    """Number and time [s] of one search after the other: one that comes to its end early leaves its time to others.

    Measured by processor time, two threads together find more than one or than four on two cores, so there are as many
    threads as cores and no searches side by side.
    """
    until = time.monotonic() + seconds - max(_WHOLE_S, _WHOLE * seconds)
    left, number = until - time.monotonic(), 0
    while number == 0 or left >= max(_LEAST_S, _AGAIN * seconds):
        yield number, max(1, int(left / max(1, many - number)))
        number += 1
        left = until - time.monotonic()


def _whole(
    outlines: Outlines, found: Sequence[Layout], height_mm: float, best: tuple[Layout, Tight] | None, seconds: int
) -> tuple[Layout, Tight] | None:
    """Return the shortest of layouts made whole, the shortest first, as long as the time kept for it lasts."""
    now, lasts = time.monotonic(), max(_WHOLE_S, 0.5 * _WHOLE * seconds)
    until, late = now + lasts, now + _LATE * lasts
    for layout in found:
        if time.monotonic() > (until if best else late) or (best and layout.length_mm >= best[1].length_mm):
            break
        tight = tightened(outlines, layout.kinds, layout.places, height_mm, until if best else late)
        if not tight.overlap_mm and (best is None or tight.length_mm < best[1].length_mm):
            best = layout, tight
    return best
