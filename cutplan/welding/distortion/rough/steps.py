"""Orders followed by the rougher chain, many side by side, as the whole one follows them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.chain.box import settled
from cutplan.welding.distortion.model.condensed import MOVES
from cutplan.welding.distortion.rough.parts import Rough
from cutplan.welding.distortion.search.orders import Flags

#: Springs loaded to this share of their limit may flow together with those beyond it [1].
NEAR = 0.85
#: Rounds in which springs that were not expected to flow are taken in.
TAKEN_IN = 3
#: Excess that is let pass before and after springs flow, as a share of their limit [1].
OVER, OVER_AFTER = 0.005, 0.02
#: Every so many steps a state is kept, for orders that begin alike.
KEPT_EVERY = 8


class State(NamedTuple):
    """Forces in what was laid at the beginning (draws, held), in later springs (draws, later, 4), worst closing (draws,).

    Of several orders together each has one dimension more, first.
    """

    held: Floats
    later: Floats
    closing: Floats

    def of(self, order: int) -> State:
        """A copy of what belongs to one order."""
        return State(*(part[order].copy() for part in self))


@dataclass(frozen=True, slots=True, eq=False)
class RoughLeft:
    """What an order leaves: pad outputs (draws, outputs), worst closing (draws,) [mm], states before every so many steps."""

    outputs: Floats
    closing: Floats
    on_the_way: list[State] = field(default_factory=list)


def follow_roughly(
    rough: Rough, ways: Sequence[Ints], since: Sequence[tuple[int, RoughLeft] | None]
) -> list[RoughLeft]:
    """Return what several orders leave.

    Parameters
    ----------
    rough : Rough
        The joint.
    ways : sequence of ndarray (later,)
        Numbers of later stations in the order in which they are laid.
    since : sequence of (int, RoughLeft) or None
        For each an order whose first steps are the same, and how many of them.
    """
    firsts = [s[0] // KEPT_EVERY if s is not None else 0 for s in since]
    # those that begin first are first, so that those under way at a step are the first ones
    turn = sorted(range(len(ways)), key=lambda i: firsts[i])
    kept = [list(since[i][1].on_the_way[: firsts[i]]) if firsts[i] else [] for i in turn]  # type: ignore[index]
    begun = State(rough.begun, np.zeros((*rough.bears_later.shape,)), rough.begun_closing)
    before = [since[i][1].on_the_way[firsts[i]] if firsts[i] else begun for i in turn]  # type: ignore[index]
    state = State(*(np.array(part) for part in zip(*before, strict=True)))
    sequence = np.array([ways[i] for i in turn])
    laid = np.zeros(sequence.shape, dtype=bool)
    bears = np.repeat(rough.bears[None], len(ways), axis=0)
    start = KEPT_EVERY * np.array([firsts[i] for i in turn])
    for i, first in enumerate(start.tolist()):
        laid[i, sequence[i, :first]] = True
        bears[i] += rough.lifted[:, sequence[i, :first]].sum(axis=1)
    for step in range(int(start.min()), sequence.shape[1]):
        on = int(np.searchsorted(start, step, side="right"))
        if step % KEPT_EVERY == 0:
            for i in range(on):
                kept[i].append(state.of(i))
        _lay(rough, State(*(part[:on] for part in state)), laid[:on], bears[:on], sequence[:on, step])
    forces = np.concatenate([state.held, state.later.reshape(*state.held.shape[:2], -1)], axis=2)
    outputs = rough.measured.outputs_pulled + forces @ rough.measured.outputs
    found = {i: RoughLeft(*one) for i, *one in zip(turn, outputs, state.closing, kept, strict=True)}
    return [found[i] for i in range(len(ways))]


def _lay(rough: Rough, state: State, laid: Flags, bears: Floats, now: Ints) -> None:
    """Lay one station in each order: state, flags of what is laid and what it bears are changed."""
    on, every = len(now), np.arange(len(now))
    draws, size = state.held.shape[1:]
    np.maximum(state.closing, _closing(rough, state, laid, now), out=state.closing)
    laid[every, now] = True
    near = rough.near[now]
    there = np.repeat(laid[every[:, None], near], MOVES, axis=1)
    both = there[:, :, None] & there[:, None, :]
    give = rough.give[now] * both
    springs = np.arange(there.shape[1])
    give[:, springs, springs] += ~there
    stiff: Floats = np.where(both, np.linalg.inv(give), 0.0)
    passed = rough.passed.reshape(-1, MOVES, size)[near].reshape(on, -1, size)
    pulled, wanted, lifted = (a[:, now].swapaxes(0, 1) for a in (rough.pulled, rough.wanted, rough.lifted))
    # (orders, stations, draws, 4) to (orders, draws, e)
    before = state.later[every[:, None], :, near].swapaxes(1, 2).reshape(on, draws, -1)
    limit = np.concatenate([bears, rough.bears_later[:, near].swapaxes(0, 1).reshape(on, draws, -1)], axis=2)
    more = wanted @ stiff
    trial = np.concatenate([state.held + pulled - more @ passed, before + more], axis=2)
    force = _flowing(rough, trial, limit, stiff, passed)
    state.held[:] = force[:, :, :size]
    state.later[every[:, None], :, near] = force[:, :, size:].reshape(on, draws, -1, MOVES).swapaxes(1, 2)
    bears += lifted


def _closing(rough: Rough, state: State, laid: Flags, now: Ints) -> Floats:
    """Closing at the stations that are laid now, (orders, draws) [mm]."""
    on, draws, size = state.held.shape
    across, pulled = rough.measured.closing[now][:, :, None], rough.measured.closing_pulled[:, now].swapaxes(0, 1)
    by_force = state.held @ across[:, :size] + state.later.reshape(on, draws, -1) @ across[:, size:]
    return np.asarray((by_force + pulled[:, :, 1:] @ laid[:, :, None])[:, :, 0] + pulled[:, :, 0])


def _flowing(rough: Rough, trial: Floats, limit: Floats, stiff: Floats, passed: Floats) -> Floats:
    """Forces after what exceeds its limit has flowed, (orders, draws, held + e); ``trial`` is what they would be else.

    Orders that begin alike have much the same springs near their limits: those of all are taken together.
    """
    size = len(rough.held)
    top = np.max(np.abs(trial) / limit, axis=1)
    hot = np.flatnonzero(top.max(axis=1) > 1.0 + OVER)
    if not len(hot):
        return trial
    wanted, bound, stiff, passed = trial[hot], limit[hot], stiff[hot], passed[hot]
    some = np.flatnonzero((top[hot, :size] > NEAR).any(axis=0))
    own = np.arange(size, trial.shape[2])
    for _ in range(TAKEN_IN):
        mine = passed[:, :, some]
        springs = np.concatenate([some, own])
        _, moved = settled(
            _stiffness(rough.held[np.ix_(some, some)], mine, stiff), wanted[:, :, springs], bound[:, :, springs]
        )
        flowed = moved[:, :, : len(some)]
        back = (flowed @ mine.swapaxes(1, 2) - moved[:, :, len(some) :]) @ stiff
        now = wanted.copy()
        now[:, :, :size] -= flowed @ rough.held[some]
        now[:, :, :size] -= back @ passed
        now[:, :, size:] += back
        over = (np.max(np.abs(now) / bound, axis=1) > 1.0 + OVER_AFTER).any(axis=0)
        over[springs] = False
        if not over.any():
            break
        some = np.union1d(some, np.flatnonzero(over))
    trial[hot] = now
    return trial


def _stiffness(held: Floats, passed: Floats, stiff: Floats) -> Floats:
    """Stiffness of some springs laid at the beginning and of the station with those beside it, (orders, n, n)."""
    most, across = len(held), stiff @ passed
    whole = np.empty((len(stiff), most + stiff.shape[1], most + stiff.shape[1]))
    np.matmul(passed.swapaxes(1, 2), across, out=whole[:, :most, :most])
    whole[:, :most, :most] += held
    whole[:, :most, most:], whole[:, most:, :most] = -across.swapaxes(1, 2), -across
    whole[:, most:, most:] = stiff
    # stations beside it that are not laid have none: any will do, they bear nothing
    idle = np.arange(most, whole.shape[1])
    whole[:, idle, idle] += np.where(whole[:, idle, idle] == 0.0, 1.0, 0.0)
    return whole
