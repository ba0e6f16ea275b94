"""The same order by solving the whole assembled system again at every step: slow, and the judge of the chain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import sparse

from cutplan.fem.mesh import Floats
from cutplan.fem.solve import factored
from cutplan.welding.distortion.model.condensed import ANGLE, MIDDLE, MOVES, SHRINK, TENDON, Model, station_shift


@dataclass(frozen=True, slots=True, eq=False)
class StepState:
    """State after a step: pad outputs, closing at the stations of the step before it was laid [mm], stations joined."""

    outputs: Floats
    closing: float


def resolve_order(model: Model, sequence: Sequence[int]) -> list[StepState]:
    """Return the state after each station and, last, after the brace is off.

    Parameters
    ----------
    model : Model
        Bodies, rows and loads; its condensed compliance is not used.
    sequence : sequence of int
        Stations in the order in which they are laid.
    """
    braced, springs = model.brace_count, model.spring_count
    parts = [m for b in model.bodies for m in (b.membrane, b.bending)]
    whole = sparse.csc_matrix(sparse.block_diag(parts))
    rows = sparse.csr_matrix(sparse.hstack(model.rows))
    stiff = 1.0 / model.give
    middle = model.wish[:, MIDDLE]
    wishes = station_shift(middle[SHRINK], middle[ANGLE]).ravel()
    joined = list(range(braced))
    moved = np.zeros(whole.shape[0])
    states = []
    for station in sequence:
        own = np.arange(braced + MOVES * station, braced + MOVES * (station + 1))
        closing = float((rows[own[0]] @ moved)[0])
        joined += list(own)
        wish = np.zeros(springs)
        wish[own] = wishes[own - braced]
        for tack in model.stations.melts[station]:
            wish[braced + MOVES * tack : braced + MOVES * (tack + 1)] += wishes[own - braced]
        tendon = rows[model.tendons.start + station].toarray().ravel()
        load = rows[:springs].T @ (stiff * wish) - middle[TENDON, station] * tendon
        moved = moved + factored(_coupled(whole, rows, stiff, joined))(load)
        states.append(StepState(rows[model.outputs] @ moved, closing))
    if braced:
        force = rows[:braced].T @ (stiff[:braced] * (rows[:braced] @ moved))
        moved = moved + factored(_coupled(whole, rows, stiff, joined[braced:]))(force)
        states.append(StepState(rows[model.outputs] @ moved, 0.0))
    return states


def _coupled(whole: sparse.csc_matrix, rows: sparse.csr_matrix, stiff: Floats, joined: list[int]) -> sparse.csc_matrix:
    some = rows[joined]
    return sparse.csc_matrix(whole + some.T @ sparse.diags(stiff[joined]) @ some)
