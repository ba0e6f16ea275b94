"""A few neighbouring steps of an order, rearranged without following the rest again.

When only the steps from i to j of an order change places, the factor's columns before i stay, and so do those after j.
What the window adds to an output is that of a small problem: the compliance that its stations have when their turn
comes, L_w L_w^T, with loads and outputs reduced in the same way. Loads that come after the window find all its stations
joined, so they act alike whatever its order. Exact, and its cost does not grow with the length of the order.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.chain.follow import Factor, Followed, Problem, factor, follow
from cutplan.welding.distortion.chain.scan import Scanned, Scanner
from cutplan.welding.distortion.model.condensed import MIDDLE, MOVES


@dataclass(frozen=True, slots=True, eq=False)
class State:
    """One order followed from end to end, its factor kept."""

    scanner: Scanner
    sequence: Ints
    made: Factor
    followed: Followed


def make_state(scanner: Scanner, sequence: Ints) -> State:
    """Follow one station sequence and keep its factor."""
    one = sequence[None, :]
    made = factor(scanner.problem, one)
    followed = follow(scanner.problem, made)
    return State(scanner, sequence, made, Followed(followed.outputs + scanner.loaded(one), followed.closing))


@dataclass(frozen=True, slots=True, eq=False)
class Window:
    """Steps `first` to `last` (not included) of a state as a small problem, and what the rest of the order gives."""

    state: State
    first: int
    last: int
    problem: Problem
    outputs: Floats
    inside: Floats
    after: Floats

    def scan(self, sequences: Ints) -> Scanned:
        """Follow the order with the window's steps rearranged.

        Parameters
        ----------
        sequences : ndarray (orders, window)
            Stations of the window in their new order.
        """
        place = np.full(int(self.state.sequence.max()) + 1, -1)
        place[self.state.sequence[self.first : self.last]] = np.arange(self.last - self.first)
        local = place[sequences]
        followed = follow(self.problem, factor(self.problem, local))
        count = self.outputs.shape[-1]
        closing = np.empty((len(local), len(self.state.sequence)))
        closing[:, : self.first] = self.state.followed.closing[0, : self.first]
        closing[:, self.first : self.last] = self.inside[local] + followed.closing
        closing[:, self.last :] = self.after + followed.outputs[:, :, MIDDLE, count:].sum(axis=1)
        return self.state.scanner.finished(Followed(followed.outputs[..., :count] + self.outputs, closing))


def make_window(state: State, first: int, last: int) -> Window:
    """Cut the steps from `first` to before `last` out of a state.

    Parameters
    ----------
    state : State
        The order followed.
    first, last : int
        Steps.
    """
    whole, made = state.scanner.problem, state.made
    start, stop = whole.braced + MOVES * first, whole.braced + MOVES * last
    lower = made.lower[0, start:stop, start:stop]
    later = made.lower[0, stop::MOVES, start:stop]
    own = state.sequence[first:last]
    melts = np.flatnonzero((made.when[0] >= first) & (made.when[0] < last))
    columns = (2 * melts[:, None] + np.arange(2)).ravel()
    small = Problem(
        lower @ lower.T,
        0,
        lower @ made.pulled[0, first:last, start:stop].T,
        np.vstack([made.to_outputs[0, :, start:stop], later]) @ lower.T,
        lower @ made.wished[0, columns, start:stop].T,
        made.when[0, melts] - first,
        whole.levels[:, :, own],
    )
    here = follow(small, factor(small, np.arange(last - first)[None, :]))
    count = made.to_outputs.shape[1]
    closing = state.followed.closing[0]
    return Window(
        state,
        first,
        last,
        small,
        state.followed.outputs[0] - here.outputs[0, ..., :count],
        closing[first:last] - here.closing[0],
        closing[last:] - here.outputs[0, :, MIDDLE, count:].sum(axis=0),
    )
