"""The packing library and searches of our own side by side, until the clock: each layout is made whole."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING

from cutplan.cutting.nest.grid.explore import Explorer
from cutplan.cutting.nest.grid.shared import BEHIND, Shared, Whole
from cutplan.cutting.nest.outlines import Outlines
from cutplan.cutting.nest.search import Layout, Loose, Search
from cutplan.cutting.nest.tighten import tightened

if TYPE_CHECKING:
    from shapely import Polygon

#: How much is taken off between shapes for the library, as a share of their mean size [1], in one search after the other.
LOOSE = (0.004, 0.001)
#: Most pieces that our own search lays: its time for one move grows with them, or with their shapes where these are few,
#: which is at least so many pieces of each in the mean.
_MOST, _MOST_ALIKE, _ALIKE = 80, 200, 10
#: Share of the time for the library where searches of our own use all processors [1].
_BEGIN = 0.3
#: Searches of the library that share the time: few pieces come to an end early, and another beginning is worth more.
_SEARCHES, _FEW_SEARCHES, _FEW = 2, 3, 15
#: Least time for another search [s], and least share of the whole time [1].
_LEAST_S, _AGAIN = 2.0, 0.2
#: Share of the time kept for making layouts whole [1], and its least [s].
_WHOLE, _WHOLE_S = 0.05, 0.4
#: How much longer than the time kept it may take as long as no layout is whole [1].
_LATE = 4.0
#: Step from the start value of one search of our own to the next.
_APART = 1000
#: How often the library is asked what it found when nothing else is to be done [s], and layouts tried each time.
_ASK_S, _TRIED = 0.2, 3


@dataclass(frozen=True, slots=True)
class Order:
    """Shapes [mm], copies of each, the strip's height [mm], and the angles allowed [deg]; None: any."""

    shapes: Sequence[Polygon]
    counts: Sequence[int]
    height_mm: float
    turns: Sequence[float] | None

    def loose(self, share: float) -> Loose:
        """Return the library's form, with a share of the shapes' size taken off [1]."""
        return Loose.of(self.shapes, self.counts, self.height_mm, self.turns, share)

    @property
    def for_the_grid(self) -> bool:
        """Tell whether our own search is of use."""
        pieces, shapes = sum(self.counts), sum(count > 0 for count in self.counts)
        return self.turns is not None and 1 < pieces <= (_MOST_ALIKE if pieces >= _ALIKE * shapes else _MOST)

    def own(self, outlines: Outlines, seed: int) -> Explorer | None:
        """Return our own search, where it is of use."""
        if self.turns is None or not self.for_the_grid:
            return None
        return Explorer.of(outlines, self.counts, self.height_mm, self.turns, seed)


#: Starts a work in a second process, and gives a function that waits for its answer, or the work itself if it cannot.
Beside = Callable[[Callable[[], "Whole | None"], int], Callable[[], "Whole | None"]]


@dataclass(frozen=True, slots=True)
class _Clock:
    """When the library ends, when all ends, and when it ends as long as no layout is whole [s]."""

    library: float
    end: float
    late: float

    @classmethod
    def of(cls, seconds: int, helped: bool) -> _Clock:
        begin, keep = time.monotonic(), max(_WHOLE_S, _WHOLE * seconds)
        library = max(1.0, _BEGIN * seconds) if helped else seconds - keep
        return cls(begin + library, begin + seconds - 0.5 * keep, begin + seconds + (_LATE - 1.0) * keep)


@dataclass(slots=True)
class _Library:
    """Searches of the library, one after the other: one that comes to its end early leaves its time to others.

    Two threads of one search together find more than two searches side by side, so there are as many threads as workers.
    """

    order: Order
    seconds: int
    workers: int
    seed: int
    _number: int = 0
    _search: Search | None = None
    _looses: list[Loose] = field(default_factory=list)

    def found(self, clock: _Clock, wait_s: float) -> list[Layout] | None:
        """Return the layouts of the search that runs, the shortest first; None when none runs and none begins."""
        if self._search is None and not self.begun(clock):
            return None
        assert self._search is not None
        over, found = self._search.ended(wait_s), self._search.found()
        self._search = None if over else self._search
        return found

    def begun(self, clock: _Clock) -> bool:
        """Begin another search if there is time for it, and tell whether there was."""
        left = clock.library - time.monotonic()
        if self._number and left < max(_LEAST_S, _AGAIN * self.seconds):
            return False
        many = _FEW_SEARCHES if sum(self.order.counts) <= _FEW else _SEARCHES
        if len(self._looses) < len(LOOSE):
            self._looses.append(self.order.loose(LOOSE[self._number]))
        loose = self._looses[self._number % len(LOOSE)]
        part = max(1, int(left / max(1, many - self._number)))
        self._search = Search(loose, self.seed + self._number, part, self.workers)
        self._number += 1
        return True


def raced(order: Order, seconds: int, workers: int, seed: int, beside: Beside | None = None) -> Whole | None:
    """Return the shortest layout that all searches find, made whole.

    Parameters
    ----------
    order : Order
        What is to be laid.
    seconds : int
        Time [s].
    workers : int
        Processors to use.
    seed : int
        Start value of chance.
    beside : callable or None
        Starts a search of our own in another process; None: the library uses the other processors.
    """
    others: list[Callable[[], Whole | None]] = []
    shared = Shared(workers, sum(order.counts))
    if beside and order.for_the_grid:
        works = [partial(_alone, order, seed, k, _Clock.of(seconds, True), shared) for k in range(1, workers)]
        begun = [(beside(work, workers), work) for work in works]
        others = [wait for wait, work in begun if wait is not work]
    clock = _Clock.of(seconds, bool(others))
    spare = 1 if others else max(1, workers - 1) if order.for_the_grid else workers
    best = _together(order, _Library(order, seconds, spare, seed), seed, clock, shared)
    found = [whole for whole in (best, *(wait() for wait in others)) if whole]
    return min(found, key=lambda whole: whole.tight.length_mm, default=None)


def _alone(order: Order, seed: int, which: int, clock: _Clock, shared: Shared) -> Whole | None:
    """Return the shortest layout that our own search finds, on from another's where it is far behind."""
    own, best = order.own(Outlines(order.shapes), seed + _APART * which), None
    while own and time.monotonic() < clock.end:
        best = _further(own, which, clock.end, shared) or best
    return best


def _further(own: Explorer, which: int, until: float, shared: Shared) -> Whole | None:
    """Return a shorter layout, if one step of our own search finds it, or another's that it then goes on from."""
    step = own.step(until)
    if step:
        shared.tell(which, Whole(*step))
        return Whole(*step)
    other = shared.shorter((1.0 - BEHIND) * own.best_mm)
    if other:
        own.go_on(*other)
    return other


def _together(order: Order, library: _Library, seed: int, clock: _Clock, shared: Shared) -> Whole | None:
    """Return the shortest layout of the library and our own search, which goes on from the library's."""
    running, outlines, best = library.begun(clock), Outlines(order.shapes), None
    own = order.own(outlines, seed)
    while running or (own and time.monotonic() < (clock.end if best else clock.late)):
        until = clock.end if best else clock.late
        found = library.found(clock, 0.0 if own and time.monotonic() < clock.end else _ASK_S)
        running = found is not None
        shorter = _whole(outlines, found or (), order.height_mm, best, until)
        if shorter:
            best = shorter
            shared.tell(0, best)
            if own:
                own.go_on(*best)
        elif own and time.monotonic() < until:
            best = _further(own, 0, until, shared) or best
    return best


def _whole(
    outlines: Outlines, found: Sequence[Layout], height_mm: float, best: Whole | None, until: float
) -> Whole | None:
    """Return the first of the shortest layouts that is shorter than the best when made whole."""
    for layout in found[:_TRIED]:
        if best and layout.length_mm >= best.tight.length_mm:
            break
        tight = tightened(outlines, layout.kinds, layout.places, height_mm, until)
        if not tight.overlap_mm and (best is None or tight.length_mm < best.tight.length_mm):
            return Whole(layout.kinds, tight)
    return None
