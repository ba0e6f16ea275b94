"""Orders of what is left followed to the end of all welds: sleeves and ribs on the days that the readings leave.

Of those that are welded already the dials may have been read after each, the brace still on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.chain.elastic import Chain
from cutplan.welding.distortion.chain.yielding import Yielded
from cutplan.welding.distortion.compare import Judged, World, ended
from cutplan.welding.distortion.draws import Draws
from cutplan.welding.distortion.later.drawn import later_drawn
from cutplan.welding.distortion.later.end import Rest, added_by, followed_on, later_world, stitched_by
from cutplan.welding.distortion.later.follow import LaterWorld, follow_later
from cutplan.welding.distortion.later.parts import LaterPlan
from cutplan.welding.distortion.later.plan import Choose, orders_of, plan_later
from cutplan.welding.distortion.later.world import LaterChain, later_chain
from cutplan.welding.distortion.search.judge import Judge
from cutplan.welding.distortion.search.orders import Order
from cutplan.welding.readings.cloud import Cloud


@dataclass(frozen=True, slots=True, eq=False)
class Later:
    """Sleeves and ribs of a job at the bench.

    Parameters
    ----------
    rest : Rest
        Sleeves and ribs on the plate.
    chains : tuple of Chain
        The model in each state of the box.
    judge : Judge
        What is measured.
    orders : dict of str to tuple of int
        Orders of them by name, the planned one first, as numbers of parts in turn; all begin with those that are welded.
    welded : tuple of int
        Those that are welded, in turn.
    seed : int
        Seed of the scatter of their beads.
    kept : dict
        States of the box with sleeves and ribs, by their chain.
    """

    rest: Rest
    chains: tuple[Chain, ...]
    judge: Judge
    orders: dict[str, tuple[int, ...]]
    welded: tuple[int, ...]
    seed: int
    kept: dict[int, LaterChain] = field(default_factory=dict)

    @property
    def planned(self) -> str:
        """Name of the planned order."""
        return next(iter(self.orders))

    @property
    def turn(self) -> tuple[int, ...]:
        """Numbers of the parts in the planned turn."""
        return self.orders[self.planned]

    def standing(self, chain: Chain, draws: Draws, days: Floats, sequence: Ints, left: Yielded) -> list[Floats]:
        """Return the pad outputs after each part that is welded, brace on, (draws, outputs) [mm].

        The scatter from bead to bead is left out: a draw has none of its own for these beads.

        Parameters
        ----------
        chain : Chain
            The stitched part in one state.
        draws : Draws
            Draws of that state.
        days : ndarray (draws, variates)
            What they were drawn from [1].
        sequence : ndarray of int (stations,)
            All stations in turn.
        left : Yielded
            What they left.
        """
        if not self.welded:
            return []
        rows, moved = self.rest.on_plate(chain.model.size)
        at = self.chains.index(chain)
        if at not in self.kept:
            self.kept[at] = later_chain(chain, moved)
        mine = LaterWorld(self.kept[at], rows, later_drawn(chain.model, rows, days, draws.limits, None))
        steps = follow_later([mine], self.welded, [[stitched_by(chain, draws, sequence, left)]])
        return [np.asarray(step.held()[0]) for step in steps]

    def as_planned(self, cloud: Cloud, worlds: Sequence[World], judged: Sequence[Judged]) -> list[Judged]:
        """Return orders of stitches as they end after sleeves and ribs in the planned turn.

        Parameters
        ----------
        cloud : Cloud
            Draws.
        worlds : sequence of World
            The states that draws are in.
        judged : sequence of Judged
            The orders after the last stitch.
        """
        outputs = followed_on(self._worlds(cloud, worlds), self.turn, worlds, judged)[-1].outputs()
        model = self.chains[0].model
        return [ended(model, self.judge, one, left) for one, left in zip(judged, outputs, strict=True)]

    def planned_with(
        self, cloud: Cloud, worlds: Sequence[World], judged: Sequence[Judged], choose: Choose
    ) -> tuple[list[Judged], int, LaterPlan]:
        """Return the same, the number of the order to weld, and what comes after it: the planned turn unless another is better.

        Parameters
        ----------
        cloud : Cloud
            Draws.
        worlds : sequence of World
            The states that draws are in.
        judged : sequence of Judged
            The orders after the last stitch.
        choose : callable
            Number of the order to weld, from all as they end.
        """
        return plan_later(self.rest, self._worlds(cloud, worlds), worlds, self.judge, judged, choose, self.orders)

    def added(self, chain: Chain, draws: Draws, days: Floats, order: Order) -> Floats:
        """Return what sleeves and ribs add to the pad outputs of an order, (draws, outputs) [mm].

        Parameters
        ----------
        chain : Chain
            The model that the search follows.
        draws : Draws
            Its draws.
        days : ndarray (draws, variates)
            What they were drawn from [1].
        order : Order
            An order of all stitches.
        """
        return added_by(later_world(self.rest, chain, draws, days, self.seed), self.turn, chain, draws, order)

    def _worlds(self, cloud: Cloud, worlds: Sequence[World]) -> list[LaterWorld]:
        """The states with sleeves and ribs, each on the days of its own draws."""
        states = [s for s in range(len(self.chains)) if np.any(cloud.state == s)]
        return [
            later_world(self.rest, w.chain, w.draws, cloud.latent[cloud.state == s], self.seed + s)
            for s, w in zip(states, worlds, strict=True)
        ]


def later_at_bench(
    rest: Rest | None, chains: tuple[Chain, ...], judge: Judge, planned: str | None, welded: Sequence[str], seed: int
) -> Later | None:
    """Return sleeves and ribs of a job at the bench; None where there are none.

    Parameters
    ----------
    rest : Rest or None
        Sleeves and ribs on the plate.
    chains : tuple of Chain
        The model in each state of the box.
    judge : Judge
        What is measured.
    planned : str or None
        Name of the order in which they were planned; None: the usual one.
    welded : sequence of str
        Those that are welded, in turn.
    seed : int
        Seed of the scatter of their beads.
    """
    if rest is None:
        return None
    names, orders = [p.name for p in rest.parts], orders_of(chains[0].model, rest)
    done = tuple(names.index(n) for n in welded)
    found: dict[str, tuple[int, ...]] = {}
    for key in sorted(orders, key=lambda k: k != planned):
        turn = (*done, *(i for i in orders[key] if i not in done))
        if turn not in found.values():
            found[key] = turn
    return Later(rest, chains, judge, found, done, seed)
