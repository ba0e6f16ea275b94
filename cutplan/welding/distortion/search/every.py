"""All orders of few stitches followed, so that no better one is left to be found."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from math import factorial

import numpy as np

from cutplan.welding.distortion.chain.yielding import Yielded
from cutplan.welding.distortion.search.descent import Progress
from cutplan.welding.distortion.search.follower import Followed, Follower
from cutplan.welding.distortion.search.moves import law_of
from cutplan.welding.distortion.search.orders import Flags, Order

#: Orders followed side by side; in the row that they are made in they differ at their ends.
BESIDE = 16


@dataclass(frozen=True, slots=True, eq=False)
class Every:
    """All orders that begin with the same beads.

    Parameters
    ----------
    start : Order
        One of them.
    kept : int
        Beads at its beginning that all have in common.
    turned : ndarray of bool (beads,)
        Which beads are welded both ways; the others as in ``start``.
    """

    start: Order
    kept: int
    turned: Flags

    @property
    def count(self) -> int:
        """How many there are."""
        last = self.start.beads[self.kept :]
        return factorial(len(last)) << int(self.turned[last].sum())

    def __iter__(self) -> Iterator[Order]:
        ways = dict(zip(self.start.beads.tolist(), self.start.backward.tolist(), strict=True))
        both = {b: (False, True) if self.turned[b] else (w,) for b, w in ways.items()}

        def rows(rest: list[int]) -> Iterator[list[tuple[int, bool]]]:
            if not rest:
                yield []
            for i, bead in enumerate(rest):
                for way in both[bead]:
                    for others in rows(rest[:i] + rest[i + 1 :]):
                        yield [(bead, way), *others]

        begun = self.start.part(0, self.kept)
        for row in rows(self.start.beads[self.kept :].tolist()):
            beads, backward = zip(*row, strict=True) if row else ((), ())
            yield begun.then(Order(np.array(beads, dtype=np.int64), np.array(backward, dtype=bool)))


def best_of_every(follower: Follower, every: Every, progress: Progress | None = None) -> Followed[Yielded]:
    """Return the best of all orders that keep the law of tacks and stitches; of equal ones the first.

    Parameters
    ----------
    follower : Follower
        Follows orders.
    every : Every
        The orders; the one that it starts from is lawful.
    progress : callable or None
        Called with orders followed and orders there are.
    """
    lawful, orders = law_of(follower.chain.model.stations), iter(every)
    best = before = follower.follow(every.start)
    done = 0
    while some := list(islice(orders, BESIDE)):
        done += len(some)
        if progress:
            progress(done, every.count)
        found = follower.follow_all([o for o in some if lawful(o)], before)
        before = found[-1] if found else before
        best = min([best, *found], key=lambda f: f.score)
    return best
