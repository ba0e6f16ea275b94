"""An order followed with metal that yields: perfect plasticity at each station, with its history.

Springs are joined stress-free, one station after the other, as in `elastic`. A step's load changes the forces of all
springs joined by then as if nothing flowed; what exceeds a limit flows, and its flow stays. Many orders are followed
step by step together, each with all its draws, so that a step is a handful of operations on arrays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.linalg import cho_solve

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.chain.box import SLACK, flow, settled
from cutplan.welding.distortion.chain.elastic import Chain
from cutplan.welding.distortion.chain.joined import LOADS, closing_of, joined_in_order
from cutplan.welding.distortion.draws import Draws
from cutplan.welding.distortion.model.condensed import MOVES, TENDON

#: Cases, each an order with a draw, that are followed together: few enough for a processor's near memory.
TOGETHER = 96
#: Up to this many springs the factor of an order is kept for others that begin as it does.
KEPT_ROWS = 600
#: Numbers that orders followed together may hold: of a long seam one order fills the memory of many short ones.
ROOM = 6_000_000


@dataclass(frozen=True, slots=True, eq=False)
class Yielded:
    """What an order leaves.

    Parameters
    ----------
    outputs : ndarray (draws, outputs)
        Pad outputs, brace off.
    closing : ndarray (draws, steps)
        Closing at each station just before it is laid [mm].
    forces : ndarray (draws, rows)
        Forces in springs, brace first then stations in the order of welding, brace still on [N], [N mm].
    flowed : ndarray (draws, steps)
        Whether the weld of each step has flowed across at any time.
    history : list of ndarray
        Forces after each step, for orders that begin alike.
    inverse : ndarray (rows, rows) or None
        Inverse of the lower factor of the compliance of its springs, for such orders; None where it is not kept.
    """

    outputs: Floats
    closing: Floats
    forces: Floats
    flowed: np.ndarray
    history: list[Floats] = field(default_factory=list)
    inverse: Floats | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """One order to be followed.

    Parameters
    ----------
    chain : Chain
        The condensed model.
    sequence : ndarray (stations,)
        Stations in the order in which they are laid; fewer than all give the state on the way.
    draws : Draws
        Values of the beads and limits of the metal.
    since : (int, Yielded) or None
        An order followed before in this chain, with its history, whose first steps are the same, and how many of them.
    """

    chain: Chain
    sequence: Ints
    draws: Draws
    since: tuple[int, Yielded] | None = None

    @property
    def first(self) -> int:
        """Number of the first step that is to be followed."""
        return self.since[0] if self.since is not None else 0

    @property
    def rows(self) -> int:
        """Number of springs joined before that step."""
        return self.chain.model.brace_count + MOVES * self.first


def follow_yielding(run: Run, keep: bool = False) -> Yielded:
    """Follow one order with metal that yields; see `follow_together`."""
    return follow_together([run], keep)[0]


def follow_together(runs: Sequence[Run], keep: bool = False) -> list[Yielded]:
    """Follow several orders, each in its own chain and with its own draws; what one leaves does not depend on the others.

    Parameters
    ----------
    runs : sequence of Run
        The orders.
    keep : bool
        Keep their histories.
    """
    alike: dict[tuple[int, int, int], list[int]] = {}
    for number, run in enumerate(runs):
        kind = (len(run.sequence), run.chain.model.brace_count, run.draws.count)
        alike.setdefault(kind, []).append(number)
    found: dict[int, Yielded] = {}
    for numbers in alike.values():
        # those that begin first are first, so that those under way at a step are the first ones
        numbers.sort(key=lambda n: (runs[n].first, n))
        size = at_once(runs[numbers[0]])
        for i in range(0, len(numbers), size):
            some = numbers[i : i + size]
            found.update(zip(some, _followed([runs[n] for n in some], keep), strict=True))
    return [found[n] for n in range(len(runs))]


def at_once(like: Run) -> int:
    """Return how many orders like one are followed together."""
    steps, draws = len(like.sequence), like.draws.count
    rows = like.chain.model.brace_count + MOVES * steps
    return max(1, min(TOGETHER // draws, ROOM // (2 * rows * rows + LOADS * steps * rows)))


def _followed(runs: Sequence[Run], keep: bool) -> list[Yielded]:
    """Orders with the same numbers of steps, brace stretches and draws, sorted by their first steps."""
    joined = joined_in_order(runs)
    model, draws = runs[0].chain.model, runs[0].draws.count
    braced, steps = model.brace_count, len(runs[0].sequence)
    force = np.zeros((len(runs), draws, braced + MOVES * steps))
    flowed = np.zeros((len(runs), draws, steps), dtype=bool)
    closing = joined.loaded.copy()
    history: list[list[Floats]] = [[] for _ in runs]
    for r, run in enumerate(runs):
        if run.since is not None and run.first:
            before = run.since[1]
            history[r] = before.history[: run.first]
            force[r, :, : run.rows] = history[r][-1]
            flowed[r, :, : run.first] = before.flowed[:, : run.first]
            closing[r, :, : run.first] = before.closing[:, : run.first]
    firsts = np.array([r.first for r in runs])
    for step in range(int(firsts.min()), steps):
        on = int(np.searchsorted(firsts, step, side="right"))
        end = braced + MOVES * (step + 1)
        joined.add(step, on)
        closing[:on, :, step] += closing_of(joined, force, step, on)
        trial = force[:on, :, :end] + joined.wishes[:on, :, step] @ joined.responses[:on, step, :, :end]
        now, moved = settled(joined.stiffness, trial, joined.limits[:on, :, :end])
        force[:on, :, :end] = now
        flowed[:on, :, : step + 1] |= moved[:, :, braced::MOVES] != 0.0
        if keep:
            for r in range(on):
                history[r].append(now[r])
    ends = [_outputs(run, f) for run, f in zip(runs, force, strict=True)]
    inverses = joined.inverse if keep and force.shape[2] <= KEPT_ROWS else [None] * len(runs)
    return [Yielded(*one) for one in zip(ends, closing, force, flowed, history, inverses, strict=True)]


def _outputs(run: Run, force: Floats) -> Floats:
    """Pad outputs; with the brace off once all stations are laid, whatever flows when it lets go."""
    chain, sequence, draws = run.chain, run.sequence, run.draws
    model = chain.model
    braced, outputs = model.brace_count, model.output_count
    loaded = draws.wishes[:, TENDON][:, sequence] @ chain.tendon[model.spring_count :][:, sequence].T
    place = chain.places(sequence)
    if not braced or len(sequence) < model.stations.count:
        return np.asarray(loaded[:, :outputs] + force @ chain.to_outputs[:outputs, place].T)
    own = np.empty_like(force)
    own[:, place] = force
    mine, limit = own[:, braced:], draws.limits.reshape(draws.count, -1)
    after = mine + cho_solve(chain.joint, chain.springs[braced:, :braced] @ own[:, :braced].T).T
    some = np.flatnonzero((np.abs(after) / limit).max(axis=0) > 1.0 + SLACK)
    if len(some):
        unit = np.zeros((mine.shape[1], len(some)))
        unit[some, np.arange(len(some))] = 1.0
        columns = cho_solve(chain.joint, unit)
        after = after - flow(columns[some], after[:, some], limit[:, some]) @ columns.T
    return np.asarray(loaded[:, :outputs] + after @ chain.to_outputs[:outputs, braced:].T)
