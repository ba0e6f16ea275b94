"""An order laid down bead by bead, each time the one after which the pads are flattest: a start for the search.

Only the steps of the bead that is tried are followed, so a whole order costs about as many steps as there are pairs of
beads. It is short-sighted; what it finds is as good as what people do, and different, which a search thrives on.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from cutplan.fem.mesh import Floats
from cutplan.welding.distortion.chain.elastic import Chain
from cutplan.welding.distortion.chain.yielding import Run, Yielded, follow_together, follow_yielding
from cutplan.welding.distortion.draws import Draws
from cutplan.welding.distortion.search.orders import Order


def laid_flattest(chain: Chain, draws: Draws, measure: Callable[[Floats], Floats], start: Order, kept: int) -> Order:
    """Return an order whose first beads are given and whose others follow one by one, each time the best.

    Parameters
    ----------
    chain : Chain
        The condensed model.
    draws : Draws
        Values of the beads; one or few.
    measure : callable
        From (draws, outputs) pad outputs to what each row is worth, (draws,), less being better.
    start : Order
        An order of all beads; those not kept are laid anew, each in the direction that it has there.
    kept : int
        Beads at its beginning that stay.
    """
    stations = chain.model.stations
    ways = dict(zip(start.beads.tolist(), start.backward.tolist(), strict=True))
    beads = start.beads[:kept].tolist()
    rest = start.beads[kept:].tolist()
    left = follow_yielding(Run(chain, start.part(0, kept).sequence(stations), draws), keep=True) if kept else None
    while rest:
        best, left = _next(chain, draws, measure, (beads, rest, ways), left)
        beads.append(best)
        rest.remove(best)
    return Order(np.array(beads, dtype=np.int64), np.array([ways[b] for b in beads], dtype=bool))


def _next(
    chain: Chain,
    draws: Draws,
    measure: Callable[[Floats], Floats],
    state: tuple[Sequence[int], Sequence[int], dict[int, bool]],
    left: Yielded | None,
) -> tuple[int, Yielded]:
    """The bead to lay next and what it leaves."""
    beads, rest, ways = state
    stations = chain.model.stations
    done = [s for b in beads for s in stations.of(b, ways[b])]
    since = (len(done), left) if left is not None else None
    runs = [
        Run(chain, np.array([*done, *stations.of(bead, ways[bead])], dtype=np.int64), draws, since) for bead in rest
    ]
    found = follow_together(runs, keep=True)
    best = int(np.argmin([measure(after.outputs).mean() for after in found]))
    return rest[best], found[best]
