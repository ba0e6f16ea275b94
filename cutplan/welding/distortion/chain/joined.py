"""Orders made ready to be followed together: what each step's load does as if nothing flowed, and the stiffness joined.

With L the factor of the compliance of all springs in the order of welding, the stiffness of the first k of them is
L_k^-T L_k^-1: it grows by the rows of one station a step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.linalg.lapack import dtrtri

from cutplan.fem.mesh import Floats, Ints
from cutplan.fem.solve import add_square, lower_factor
from cutplan.welding.distortion.draws import Draws
from cutplan.welding.distortion.model.condensed import ANGLE, MOVES, SHRINK, TENDON, station_shift

if TYPE_CHECKING:
    from cutplan.welding.distortion.chain.yielding import Run

#: Loads of a step: the pull of its tendon, its closing, its fold.
LOADS = 3


@dataclass(frozen=True, slots=True, eq=False)
class Joined:
    """Orders with the same numbers of steps, brace stretches and draws.

    Parameters
    ----------
    braced : int
        Brace stretches, the first rows.
    inverse : ndarray (runs, rows, rows)
        Inverse of the lower factor of each order's compliance.
    stiffness : ndarray (runs, rows, rows)
        Of the springs joined so far; zero beyond them, grows with :meth:`add`.
    responses : ndarray (runs, steps, loads, rows)
        Forces in the springs joined by a step under one unit of each of its loads.
    wishes : ndarray (runs, draws, steps, loads)
        The loads of each step.
    limits : ndarray (runs, draws, rows)
        What each spring bears; the brace bears all.
    across : ndarray (runs, steps, rows)
        Closing at each step's station under one unit of each force.
    loaded : ndarray (runs, draws, steps)
        Closing at each step's station under the tendons laid before it, the sheets unjoined.
    firsts : ndarray of int (runs,)
        First step of each order that is to be followed.
    twins : ndarray of int (runs,)
        First of the orders that begin as each does: what is joined before their first steps is the same.
    """

    braced: int
    inverse: Floats
    stiffness: Floats
    responses: Floats
    wishes: Floats
    limits: Floats
    across: Floats
    loaded: Floats
    firsts: Ints
    twins: Ints

    def add(self, step: int, on: int) -> None:
        """Join the station of a step in the first orders."""
        end = self.braced + MOVES * (step + 1)
        for r in range(on):
            first = end - MOVES
            if step == self.firsts[r]:
                self._begin(r, first)
            add_square(self.stiffness[r], self.inverse[r, first:end], end)

    def _begin(self, r: int, count: int) -> None:
        """Join what is joined before an order's first step, with all that begin as it does."""
        if self.twins[r] != r or not count:
            return
        rows = self.inverse[r, :count, :count]
        self.stiffness[self.twins == r, :count, :count] = rows.T @ rows


def joined_in_order(runs: Sequence[Run]) -> Joined:
    """Return orders made ready; nothing is joined yet."""
    model = runs[0].chain.model
    braced, steps, draws = model.brace_count, len(runs[0].sequence), runs[0].draws.count
    rows = braced + MOVES * steps
    found = Joined(
        braced,
        np.empty((len(runs), rows, rows)),
        np.zeros((len(runs), rows, rows)),
        np.empty((len(runs), steps, LOADS, rows)),
        np.empty((len(runs), draws, steps, LOADS)),
        np.full((len(runs), draws, rows), np.inf),
        np.empty((len(runs), steps, rows)),
        np.empty((len(runs), draws, steps)),
        np.array([r.first for r in runs]),
        _twins(runs),
    )
    for r, run in enumerate(runs):
        _make_ready(found, r, run)
    return found


def _twins(runs: Sequence[Run]) -> Ints:
    """First of the orders that begin as each does, as far as it is known that they do."""
    like = [(run.first, id(run.since[1] if run.since is not None else run)) for run in runs]
    return np.array([like.index(one) for one in like])


def _make_ready(joined: Joined, r: int, run: Run) -> None:
    """Fill in one order."""
    chain, sequence, draws, first = run.chain, run.sequence, run.draws, run.first
    place, new = chain.places(sequence), slice(first, None)
    closing = place[joined.braced + MOVES * first :: MOVES]
    inverse, joined.across[r, new] = joined.inverse[r], chain.springs[np.ix_(closing, place)]
    known = run.since[1].inverse if run.since is not None else None
    if known is None:
        inverse[:] = _inverse(chain.springs[np.ix_(place, place)])
    else:
        inverse[:] = _extended(known[: run.rows, : run.rows], chain.springs[np.ix_(place[run.rows :], place)])
    joined.responses[r, new] = _responses(run, inverse, inverse @ chain.tendon[np.ix_(place, sequence[new])])
    shift = station_shift_of(draws)[:, sequence]
    pull = draws.wishes[:, TENDON][:, sequence]
    joined.wishes[r] = np.stack([-pull, shift[:, :, 0], shift[:, :, MOVES - 1]], axis=2)
    joined.limits[r, :, joined.braced :] = draws.limits[:, sequence].reshape(draws.count, -1)
    # a tendon is felt by the stations that are laid after it
    joined.loaded[r, :, new] = pull @ np.tril(chain.tendon[np.ix_(closing, sequence)], first - 1).T


def _responses(run: Run, inverse: Floats, pulled: Floats) -> Floats:
    """Forces in the springs joined by each step that is followed under one unit of each of its loads, (steps, loads, rows)."""
    steps, rows = len(run.sequence), len(inverse)
    first, braced = run.first, run.chain.model.brace_count
    at = {int(s): i for i, s in enumerate(run.sequence)}
    driven = np.zeros((steps - first, LOADS, rows))
    for step in range(first, steps):
        end = braced + MOVES * (step + 1)
        mine = driven[step - first, :, :end]
        mine[0] = pulled[:end, step - first]
        # a tack that the stitch melts in wants what the stitch wants
        melted = (at.get(t, step) for t in run.chain.model.stations.melts[int(run.sequence[step])])
        for other in {step, *(m for m in melted if m < step)}:
            row = braced + MOVES * other
            mine[1] += inverse[:end, row]
            mine[2] += inverse[:end, row + MOVES - 1]
    return np.asarray((driven.reshape(-1, rows) @ inverse).reshape(driven.shape))


def closing_of(joined: Joined, force: Floats, step: int, on: int) -> Floats:
    """Return the closing at the station of a step under the forces so far, (orders, draws) [mm]."""
    end = joined.braced + MOVES * step
    return np.asarray((force[:on, :, :end] @ joined.across[:on, step, :end, None])[:, :, 0])


def station_shift_of(draws: Draws) -> Floats:
    """Return the movement that each station wants when its bead cools, (draws, stations, 4)."""
    return np.array([station_shift(w[SHRINK], w[ANGLE]) for w in draws.wishes])


def _extended(known: Floats, more: Floats) -> Floats:
    """Inverse of the lower factor, of whose first rows it is known; ``more`` are the further rows of the compliance."""
    count, size = len(known), more.shape[1]
    if count == size:
        return known
    between = known @ more[:, :count].T
    found = np.zeros((size, size))
    found[:count, :count] = known
    found[count:, count:] = own = _inverse(more[:, count:] - between.T @ between)
    found[count:, :count] = -own @ (between.T @ known)
    return found


def _inverse(springs: Floats) -> Floats:
    """Inverse of the lower factor, lower itself."""
    lower = lower_factor(springs)
    upper, info = dtrtri(lower.T, lower=0, overwrite_c=1)
    if info:
        raise np.linalg.LinAlgError("the factor has a zero on its diagonal")
    return np.asarray(upper.T)
