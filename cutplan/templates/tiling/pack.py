"""Several small templates on one sheet: rectangles packed into free corners of as few sheets as can be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from cutplan.geometry.vector import Box

#: Free paper between two templates on one sheet [mm].
GAP_MM = 6.0


@dataclass(frozen=True, slots=True)
class Put:
    """Where one rectangle landed: its index, sheet, lower left corner [mm] and whether it was turned a quarter."""

    index: int
    sheet: int
    x: float
    y: float
    turned: bool


#: What to prefer among free rectangles, each tried: the snuggest, unturned ones first, the lowest and leftmost.
_PREFER: tuple[Callable[[Box, float, bool], tuple[float, ...]], ...] = (
    lambda room, spare, turned: (spare, turned),
    lambda room, spare, turned: (turned, spare),
    lambda room, spare, turned: (turned, room.ymin, room.xmin),
    lambda room, spare, turned: (room.ymin, room.xmin, turned),
)


@dataclass(slots=True)
class _Bin:
    form: int
    free: list[Box] = field(default_factory=list)


def pack(sizes: list[tuple[float, float]], rooms: tuple[tuple[float, float], ...]) -> tuple[list[Put], list[int]]:
    """Return where each rectangle goes, and the form of each sheet used.

    Parameters
    ----------
    sizes : list of (width, height)
        Rectangles [mm]; each fits at least one room, upright or turned.
    rooms : tuple of (width, height)
        Room of a sheet in each orientation [mm].

    Returns
    -------
    (puts, forms)
        The best of several orders: fewest sheets, then the fewest turned.
    """
    orders = [
        sorted(range(len(sizes)), key=lambda i: (-sizes[i][0] * sizes[i][1], i)),
        sorted(range(len(sizes)), key=lambda i: (-max(sizes[i]), i)),
        sorted(range(len(sizes)), key=lambda i: (-min(sizes[i]), i)),
        list(range(len(sizes))),
    ]
    tries = [
        _filled(order, sizes, rooms, first, prefer)
        for prefer in _PREFER
        for order in orders
        for first in range(len(rooms))
    ]
    return min(tries, key=lambda t: (len(t[1]), sum(p.turned for p in t[0])))


def _filled(
    order: list[int],
    sizes: list[tuple[float, float]],
    rooms: tuple[tuple[float, float], ...],
    first: int,
    prefer: Callable[[Box, float, bool], tuple[float, ...]],
) -> tuple[list[Put], list[int]]:
    bins: list[_Bin] = []
    puts: list[Put] = []
    forms = [first, *(k for k in range(len(rooms)) if k != first)]
    for index in order:
        spot = _spot(bins, sizes[index], prefer)
        for form in forms:
            if spot is not None:
                break
            width, height = rooms[form]
            fresh = _Bin(form, [Box(0.0, 0.0, width + GAP_MM, height + GAP_MM)])
            inside = _spot([fresh], sizes[index], prefer)
            if inside is not None:
                bins.append(fresh)
                spot = (len(bins) - 1, *inside[1:])
        assert spot is not None, "every rectangle fits a room"
        sheet, room, turned = spot
        w, h = sizes[index][::-1] if turned else sizes[index]
        puts.append(Put(index, sheet, room.xmin, room.ymin, turned))
        taken = Box(room.xmin, room.ymin, room.xmin + w + GAP_MM, room.ymin + h + GAP_MM)
        bins[sheet].free = _less(bins[sheet].free, taken)
    return puts, [b.form for b in bins]


def _spot(
    bins: list[_Bin], size: tuple[float, float], prefer: Callable[[Box, float, bool], tuple[float, ...]]
) -> tuple[int, Box, bool] | None:
    """The preferred free rectangle that is large enough; earlier sheets first."""
    best: tuple[tuple[float, ...], tuple[int, Box, bool]] | None = None
    for k, b in enumerate(bins):
        for room in b.free:
            for turned in (False, True):
                w, h = (size[1], size[0]) if turned else size
                spare = min(room.width - w - GAP_MM, room.height - h - GAP_MM)
                if spare < -1e-9:
                    continue
                key = (k, *prefer(room, spare, turned))
                if best is None or key < best[0]:
                    best = (key, (k, room, turned))
    return best[1] if best else None


def _less(free: list[Box], taken: Box) -> list[Box]:
    """The largest free rectangles that remain, those inside another left out."""
    rest: list[Box] = []
    for b in free:
        if taken.xmax <= b.xmin or taken.xmin >= b.xmax or taken.ymax <= b.ymin or taken.ymin >= b.ymax:
            rest.append(b)
            continue
        if taken.xmin > b.xmin:
            rest.append(Box(b.xmin, b.ymin, taken.xmin, b.ymax))
        if taken.xmax < b.xmax:
            rest.append(Box(taken.xmax, b.ymin, b.xmax, b.ymax))
        if taken.ymin > b.ymin:
            rest.append(Box(b.xmin, b.ymin, b.xmax, taken.ymin))
        if taken.ymax < b.ymax:
            rest.append(Box(b.xmin, taken.ymax, b.xmax, b.ymax))
    rest = list(dict.fromkeys(rest))
    return [b for b in rest if not any(b != o and _within(b, o) for o in rest)]


def _within(b: Box, o: Box) -> bool:
    return b.xmin >= o.xmin and b.ymin >= o.ymin and b.xmax <= o.xmax and b.ymax <= o.ymax
