"""An order followed with metal that yields: perfect plasticity at each station, with its history.

Springs are joined stress-free, one station after the other, as in `elastic`. A step's load changes the forces of all
springs joined by then as if nothing flowed; what exceeds a limit flows, and its flow stays. With L the factor of the
compliance in the order of welding, forces of the first k rows are L_k^-T y, so that one triangular inverse per order
serves all steps and all draws.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from scipy.linalg import cho_solve
from scipy.linalg.lapack import dtrtri

from cutplan.fem.mesh import Floats, Ints
from cutplan.fem.solve import lower_factor
from cutplan.welding.distortion.chain.box import SLACK, flow
from cutplan.welding.distortion.chain.elastic import Chain
from cutplan.welding.distortion.draws import Draws
from cutplan.welding.distortion.model.condensed import ANGLE, MOVES, SHRINK, TENDON, station_shift

#: Springs loaded to this share of their limit may flow together with those beyond it [1].
NEAR = 0.85
#: Rounds in which springs that were not expected to flow are taken in.
TAKEN_IN = 5


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
    left : ndarray (draws, rows)
        Forces in the stations' movements in their own order, brace off; of an unfinished order as `forces` [N], [N mm].
    history : list of ndarray
        Forces after each step, for orders that begin alike.
    """

    outputs: Floats
    closing: Floats
    forces: Floats
    flowed: np.ndarray
    left: Floats
    history: list[Floats] = field(default_factory=list)


def follow_yielding(
    chain: Chain, sequence: Ints, draws: Draws, since: tuple[int, Yielded] | None = None, keep: bool = False
) -> Yielded:
    """Follow one order with metal that yields.

    Parameters
    ----------
    chain : Chain
        The condensed model.
    sequence : ndarray (stations,)
        Stations in the order in which they are laid; fewer than all give the state on the way.
    draws : Draws
        Values of the beads and limits of the metal.
    since : (int, Yielded) or None
        An order followed before, with its history, whose first steps are the same, and how many of them.
    keep : bool
        Keep the history.
    """
    model = chain.model
    braced, steps = model.brace_count, len(sequence)
    place = chain.places(sequence)
    inverse = _inverse(chain.springs[np.ix_(place, place)])
    first = since[0] if since is not None else 0
    pulled = inverse @ chain.tendon[: model.spring_count][np.ix_(place, sequence[first:])]
    shift = station_shift_of(draws)
    limit = np.full((draws.count, len(place)), np.inf)
    limit[:, braced:] = draws.limits[:, sequence].reshape(draws.count, -1)
    at = np.full(model.stations.count, -1)
    at[sequence] = np.arange(steps)
    force = np.zeros((draws.count, len(place)))
    history: list[Floats] = []
    flowed = np.zeros((draws.count, steps), dtype=bool)
    closing = np.zeros((draws.count, steps))
    free = chain.tendon[: model.spring_count][np.ix_(place[braced::MOVES], sequence)]
    across = chain.springs[np.ix_(place, place[braced::MOVES])]
    if since is not None:
        before = since[1]
        history = before.history[:first]
        if first:
            force[:, : history[-1].shape[1]] = history[-1]
            flowed[:, :first] = before.flowed[:, :first]
            closing[:, :first] = before.closing[:, :first]
    pull = draws.wishes[:, TENDON]
    for step in range(first, steps):
        station = int(sequence[step])
        end = braced + MOVES * (step + 1)
        closing[:, step] = (
            pull[:, sequence[:step]] @ free[step, :step] + force[:, : end - MOVES] @ across[: end - MOVES, step]
        )
        lower = inverse[:end, :end]
        load = -pull[:, station, None] * pulled[:end, step - first]
        load[:, end - MOVES :] += shift[:, station] @ lower[end - MOVES :, end - MOVES :].T
        for tack in model.stations.melts[station]:
            if 0 <= at[tack] < step:
                row = braced + MOVES * int(at[tack])
                load += shift[:, station] @ lower[:, row : row + MOVES].T
        now, moved = _flowing(lower, force[:, :end] + load @ lower, limit[:, :end])
        force[:, :end] = now
        if moved is not None:
            flowed[:, : step + 1] |= moved[:, braced::MOVES]
        if keep:
            history.append(force[:, :end].copy())
    outputs, left = _outputs(chain, sequence, draws, force)
    return Yielded(outputs, closing, force, flowed, left, history)


def station_shift_of(draws: Draws) -> Floats:
    """Return the movement that each station wants when its bead cools, (draws, stations, 4)."""
    return np.array([station_shift(w[SHRINK], w[ANGLE]) for w in draws.wishes])


def _inverse(springs: Floats) -> Floats:
    """Inverse of the lower factor, lower itself."""
    lower = lower_factor(springs)
    upper, info = dtrtri(lower.T, lower=0, overwrite_c=1)
    if info:
        raise np.linalg.LinAlgError("the factor has a zero on its diagonal")
    return np.asarray(upper.T)


def _flowing(lower: Floats, trial: Floats, limit: Floats) -> tuple[Floats, np.ndarray | None]:
    """Forces after flow, and which springs flowed; None where none did."""
    use = (np.abs(trial) / limit).max(axis=0)
    if use.max() <= 1.0 + SLACK:
        return trial, None
    some = np.flatnonzero(use > NEAR)
    force, moved = trial, np.zeros(trial.shape, dtype=bool)
    for _ in range(TAKEN_IN):
        columns = lower[:, some]
        flowed = flow(columns.T @ columns, trial[:, some], limit[:, some])
        force = trial - (flowed @ columns.T) @ lower
        over = np.flatnonzero((np.abs(force) / limit).max(axis=0) > 1.0 + 3.0 * SLACK)
        new = np.setdiff1d(over, some)
        moved[:, some] = flowed != 0.0
        if not len(new):
            break
        some = np.union1d(some, new)
    return force, moved


def _outputs(chain: Chain, sequence: Ints, draws: Draws, force: Floats) -> tuple[Floats, Floats]:
    """Pad outputs and forces left; with the brace off once all stations are laid, whatever flows when it lets go."""
    model = chain.model
    braced, outputs = model.brace_count, model.output_count
    loaded = draws.wishes[:, TENDON][:, sequence] @ chain.tendon[model.spring_count :][:, sequence].T
    place = chain.places(sequence)
    if len(sequence) < model.stations.count:
        return np.asarray(loaded[:, :outputs] + force @ chain.to_outputs[:outputs, place].T), force
    own = np.empty_like(force)
    own[:, place] = force
    if not braced:
        return np.asarray(loaded[:, :outputs] + own @ chain.to_outputs[:outputs].T), own
    mine, limit = own[:, braced:], draws.limits.reshape(draws.count, -1)
    after = mine + cho_solve(chain.joint, chain.springs[braced:, :braced] @ own[:, :braced].T).T
    some = np.flatnonzero((np.abs(after) / limit).max(axis=0) > 1.0 + SLACK)
    if len(some):
        unit = np.zeros((mine.shape[1], len(some)))
        unit[some, np.arange(len(some))] = 1.0
        columns = cho_solve(chain.joint, unit)
        after = after - flow(columns[some], after[:, some], limit[:, some]) @ columns.T
    return np.asarray(loaded[:, :outputs] + after @ chain.to_outputs[:outputs, braced:].T), after
