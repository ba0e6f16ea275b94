"""Orders followed for a search: counted, remembered, and compared by one score."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

import numpy as np

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.chain.elastic import Chain
from cutplan.welding.distortion.chain.yielding import Run, Yielded, follow_together
from cutplan.welding.distortion.draws import Draws
from cutplan.welding.distortion.search.judge import Judge
from cutplan.welding.distortion.search.moves import key_of
from cutplan.welding.distortion.search.orders import Order

#: What an order leaves.
Left = TypeVar("Left")


@dataclass(frozen=True, slots=True, eq=False)
class Followed(Generic[Left]):
    """An order with its stations in the row in which they are laid, what it leaves and its score [mm]."""

    order: Order
    sequence: Ints
    left: Left
    score: float


class Following(ABC, Generic[Left]):
    """Follows orders, counts them and remembers them."""

    def __init__(self, chain: Chain, judge: Judge, draws: Draws, added: Floats | None = None) -> None:
        """Take the model and what was drawn; ``added`` (draws, outputs) is what later welds add to the pads [mm]."""
        self.chain, self.judge, self.draws, self.added = chain, judge, draws, added
        self.count = 0
        self.seen: set[bytes] = set()

    def follow(self, order: Order, like: Followed[Left] | None = None) -> Followed[Left]:
        """Return what an order leaves; steps that it shares with another one's beginning are taken over."""
        return self.follow_all([order], like)[0]

    def follow_all(self, orders: Sequence[Order], like: Followed[Left] | None = None) -> list[Followed[Left]]:
        """Return what several orders leave, as `follow` does."""
        self.count += len(orders)
        self.seen.update(key_of(o) for o in orders)
        sequences = [self.sequence_of(o) for o in orders]
        found = self.leave(
            sequences, [None if like is None else (_alike(s, like.sequence), like.left) for s in sequences]
        )
        return [Followed(o, s, left, self.score_of(left)) for o, s, left in zip(orders, sequences, found, strict=True)]

    def fresh(self, order: Order) -> bool:
        """Whether an order has not been followed yet."""
        return key_of(order) not in self.seen

    def sequence_of(self, order: Order) -> Ints:
        """Return the stations of an order in the row in which they are laid."""
        return order.sequence(self.chain.model.stations)

    @abstractmethod
    def leave(self, sequences: Sequence[Ints], since: Sequence[tuple[int, Left] | None]) -> list[Left]:
        """Return what rows of stations leave, each after so many first steps of another that left what is given."""

    @abstractmethod
    def score_of(self, left: Left) -> float:
        """Return the mean over the draws of out of flat, weighted pitch and closing, after all welds [mm]."""


class Follower(Following[Yielded]):
    """Follows orders by the whole chain, with metal that yields."""

    def leave(self, sequences: Sequence[Ints], since: Sequence[tuple[int, Yielded] | None]) -> list[Yielded]:
        """Return what rows of stations leave; see `Following`."""
        runs = [Run(self.chain, s, self.draws, begun) for s, begun in zip(sequences, since, strict=True)]
        return follow_together(runs, keep=True)

    def score_of(self, left: Yielded) -> float:
        """Return the mean score over the draws [mm]."""
        outputs = left.outputs if self.added is None else left.outputs + self.added
        return float(self.judge.full_score(outputs, left.closing.max(axis=1)).mean())


def _alike(sequence: Ints, other: Ints) -> int:
    """How many first stations two rows share; one fewer than all where they are the same.

    A tack melted later than in the other row changes nothing before the first difference.
    """
    differ = np.flatnonzero(sequence != other)
    return int(differ[0]) if len(differ) else len(sequence) - 1
