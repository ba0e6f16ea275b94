"""A search of the packing library, with shapes a hair too small, and the layouts that it goes by."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from cutplan.cutting.nest.halo import turned
from cutplan.cutting.nest.outlines import Kind

if TYPE_CHECKING:
    import spyrrow
    from shapely import Polygon

#: Layouts looked at each time, the last and shortest ones.
KEPT = 80
#: Share of the play in height that is taken back, so that layers do not end up too high [1].
_LAYERS = 0.9


class Layout(NamedTuple):
    """Shapes and turns of all copies, where they lie, shape (n, 2) [mm], and the length that the library found [mm]."""

    kinds: tuple[Kind, ...]
    places: np.ndarray
    length_mm: float


@dataclass(frozen=True, slots=True)
class Loose:
    """What the library is asked to lay: shapes that were drawn in, in a strip that was lowered.

    Parameters
    ----------
    instance : StripPackingInstance
        The library's own form of it.
    turns : tuple of float or None
        Angles allowed [deg]; None: any.
    play_mm : float
        What was taken off between two shapes [mm].
    """

    instance: spyrrow.StripPackingInstance
    turns: tuple[float, ...] | None
    play_mm: float

    @classmethod
    def of(
        cls,
        shapes: Sequence[Polygon],
        counts: Sequence[int],
        height_mm: float,
        turns: Sequence[float] | None,
        share: float,
    ) -> Loose:
        """Return shapes drawn in by a share of their mean size [1]."""
        import spyrrow

        wanted = [(k, shape, n) for k, (shape, n) in enumerate(zip(shapes, counts, strict=True)) if n]
        size = sqrt(sum(s.area * n for _, s, n in wanted) / sum(n for *_, n in wanted))
        play = share * size
        small = [_drawn_in(shape, 0.5 * play) for _, shape, _ in wanted]
        tallest = max(_least_height(s, turns) for s in small)
        low = max(height_mm - max(play, _LAYERS * share * height_mm), min(tallest * (1.0 + 1e-5), height_mm))
        items = [
            spyrrow.Item(str(k), [(x, y) for x, y, *_ in s.exterior.coords], n, None if turns is None else list(turns))
            for (k, _, n), s in zip(wanted, small, strict=True)
        ]
        return cls(spyrrow.StripPackingInstance("sheet", low, items), None if turns is None else tuple(turns), play)

    def layout(self, found: spyrrow.StripPackingSolution) -> Layout:
        """Return a layout of the library as one of the true shapes, which may overlap a little."""
        kinds = tuple(Kind(int(p.id), self._turn(p.rotation % 360.0)) for p in found.placed_items)
        places = np.array([p.translation for p in found.placed_items], float).reshape(-1, 2) + 0.5 * self.play_mm
        return Layout(kinds, places, found.width + self.play_mm)

    def _turn(self, turn_deg: float) -> float:
        if self.turns is None:
            return turn_deg
        return min(self.turns, key=lambda t: abs((t - turn_deg + 180.0) % 360.0 - 180.0))


class Search:
    """A search of the library that runs beside whatever else is done."""

    def __init__(self, loose: Loose, seed: int, seconds: int, workers: int) -> None:
        import spyrrow

        config = spyrrow.StripPackingConfig(
            early_termination=True, total_computation_time=seconds, num_workers=workers, seed=seed
        )
        self._loose, self._queue = loose, spyrrow.ProgressQueue()
        self._wanted = (spyrrow.ReportType.ExplFeas, spyrrow.ReportType.CmprFeas, spyrrow.ReportType.Final)
        self._ended: list[spyrrow.StripPackingSolution | BaseException] = []

        def solve() -> None:
            try:
                self._ended.append(loose.instance.solve(config, self._queue))
            except BaseException as error:
                self._ended.append(error)

        self._thread = threading.Thread(target=solve, daemon=True)
        self._thread.start()

    def ended(self, wait_s: float = 0.0) -> bool:
        """Wait for the end for some time [s], and tell whether it came."""
        self._thread.join(wait_s)
        return not self._thread.is_alive()

    def found(self) -> list[Layout]:
        """Return the layouts found since this was asked last, the shortest first."""
        ended = self.ended()
        found = [solution for kind, solution in self._queue.drain() if kind in self._wanted][-KEPT:]
        if ended:
            if isinstance(self._ended[0], BaseException):
                raise self._ended[0]
            found.append(self._ended[0])
        return sorted(map(self._loose.layout, found), key=lambda layout: layout.length_mm)


def _drawn_in(shape: Polygon, by_mm: float) -> Polygon:
    """Return a shape drawn in on all sides; unchanged where it would fall apart."""
    from shapely import Polygon as Shape

    small = shape.buffer(-by_mm, join_style="mitre") if by_mm else shape
    return small if isinstance(small, Shape) and not small.is_empty else shape


def _least_height(shape: Polygon, turns: Sequence[float] | None) -> float:
    tries = range(0, 180, 5) if turns is None else turns
    return min((b[3] - b[1] for b in (turned(shape, t).bounds for t in tries)), default=0.0)
