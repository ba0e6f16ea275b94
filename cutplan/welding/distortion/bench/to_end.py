"""Orders of what is left followed to the end of all welds: sleeves and ribs on the days that the readings leave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.fem.mesh import Floats
from cutplan.welding.distortion.chain.elastic import Chain
from cutplan.welding.distortion.compare import Judged, World, ended
from cutplan.welding.distortion.draws import Draws
from cutplan.welding.distortion.later.end import Rest, added_by, followed_on, later_world
from cutplan.welding.distortion.later.follow import LaterWorld
from cutplan.welding.distortion.later.parts import LaterPlan
from cutplan.welding.distortion.later.plan import Choose, orders_of, plan_later
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
    planned : str
        Name of the order in which they were planned.
    seed : int
        Seed of the scatter of their beads.
    """

    rest: Rest
    chains: tuple[Chain, ...]
    judge: Judge
    planned: str
    seed: int

    @property
    def turn(self) -> tuple[int, ...]:
        """Numbers of the parts in the planned turn."""
        return orders_of(self.chains[0].model, self.rest)[self.planned]

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
        return plan_later(self.rest, self._worlds(cloud, worlds), worlds, self.judge, judged, choose, self.planned)

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
    rest: Rest | None, chains: tuple[Chain, ...], judge: Judge, planned: str | None, seed: int
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
    seed : int
        Seed of the scatter of their beads.
    """
    if rest is None:
        return None
    orders = orders_of(chains[0].model, rest)
    return Later(rest, chains, judge, planned if planned in orders else next(iter(orders)), seed)
