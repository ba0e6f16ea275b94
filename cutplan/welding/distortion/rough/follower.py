"""Orders followed roughly for a search: what the whole chain says of one order more is put on all."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutplan.fem.mesh import Ints
from cutplan.welding.distortion.chain.yielding import Yielded
from cutplan.welding.distortion.draws import Draws
from cutplan.welding.distortion.model.stations import Stations
from cutplan.welding.distortion.rough.parts import make_rough
from cutplan.welding.distortion.rough.steps import RoughLeft, follow_roughly
from cutplan.welding.distortion.search.follower import Followed, Follower, Following
from cutplan.welding.distortion.search.orders import Order

#: Stations to each side of the one that is laid which feel it themselves, at least; and stitches.
STATIONS, STITCHES = 4, 3


class RoughFollower(Following[RoughLeft]):
    """Follows orders that begin as one that the whole chain has followed; of that one both say the same."""

    def __init__(self, whole: Follower, like: Followed[Yielded], kept: int, draws: int) -> None:
        """Take what follows orders whole, an order that it followed, its beads that stay, and how many draws are seen."""
        added = None if whole.added is None else whole.added[:draws]
        super().__init__(whole.chain, whole.judge, Draws(whole.draws.wishes[:draws], whole.draws.limits[:draws]), added)
        self.rough = make_rough(whole.chain, self.draws, like.order, kept, beside_of(whole.chain.model.stations))
        (mine,) = self.leave([self.sequence_of(like.order)], [None])
        self.outputs_more = like.left.outputs[:draws] - mine.outputs
        self.closing_more = like.left.closing[:draws].max(axis=1) - mine.closing

    def sequence_of(self, order: Order) -> Ints:
        """Return the later stations of an order, by their numbers, in the row in which they are laid."""
        number = self.rough.number[order.sequence(self.chain.model.stations)]
        return np.asarray(number[number >= 0])

    def leave(self, sequences: Sequence[Ints], since: Sequence[tuple[int, RoughLeft] | None]) -> list[RoughLeft]:
        """Return what rows of stations leave; see `Following`."""
        return follow_roughly(self.rough, sequences, since)

    def score_of(self, left: RoughLeft) -> float:
        """Return the mean score over the draws [mm]."""
        outputs = left.outputs + self.outputs_more
        outputs = outputs if self.added is None else outputs + self.added
        return float(self.judge.full_score(outputs, left.closing + self.closing_more).mean())


def beside_of(stations: Stations) -> int:
    """Return how many stations to each side feel one that is laid."""
    return max(STATIONS, STITCHES * int(stations.counts.max()))
