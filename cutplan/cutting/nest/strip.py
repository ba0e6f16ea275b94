"""Dense laying on a plain rectangle: the shortest strip that takes all copies."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from cutplan.cutting.nest.grid.shared import Whole
from cutplan.cutting.nest.race import Beside, Order, raced
from cutplan.cutting.nest.search import Search
from cutplan.cutting.nest.tighten import Tight

if TYPE_CHECKING:
    from shapely import Polygon

#: Start value of chance for the first search; the others follow.
SEED = 1
#: How long the library is waited for at a time [s].
_WAIT_S = 1.0


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
    beside: Beside | None = None,
) -> tuple[list[Laid], float]:
    """Return where all copies of shapes lie on a strip from (0, 0) on, and the length of the strip used [mm].

    Shapes that lock into each other leave no play, and a search hardly ever hits a place without any. So the library is
    given shapes a hair too small in a strip a hair too low; each layout that it finds is then made whole: pushed apart
    and together with the true shapes, exactly. Where angles are given, a search of our own on a grid runs beside it, and
    goes on from the library's layouts where they are shorter.

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
        Processors to use.
    first_seed : int
        Start value of chance.
    beside : callable or None
        Starts a work in another process.
    """
    order = Order(shapes, counts, height_mm, turns)
    kinds, tight = raced(order, seconds, workers, first_seed, beside) or _plain(order, seconds, workers, first_seed)
    laid = [Laid(k.shape, k.turn_deg, float(x), float(y)) for k, (x, y) in zip(kinds, tight.places, strict=True)]
    return sorted(laid, key=lambda p: (p.x_mm, p.y_mm, p.shape)), tight.length_mm


def _plain(order: Order, seconds: int, workers: int, seed: int) -> Whole:
    """Return a layout that the library finds with the true shapes."""
    search = Search(order.loose(0.0), seed, max(1, seconds // 2), workers)
    while not search.ended(_WAIT_S):
        pass
    layout = search.found()[0]
    return Whole(layout.kinds, Tight(layout.places, layout.length_mm, 0.0))
