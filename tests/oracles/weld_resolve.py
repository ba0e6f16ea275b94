"""The same order by solving the whole assembled system again at every step, metal yielding spring by spring.

Nothing is condensed, and flow is found the other way round: each spring is clipped by itself at the movement of the
sheets, and the movement is found by Newton's method on the whole plate. Slow, and the judge of the chain.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import sparse

from cutplan.fem.mesh import Floats
from cutplan.fem.solve import factored
from cutplan.welding.distortion.model.condensed import ANGLE, MIDDLE, MOVES, SHRINK, TENDON, Model, station_shift
from cutplan.welding.distortion.model.fields import box_of


@dataclass(frozen=True, slots=True, eq=False)
class StepState:
    """State after a step: pad outputs, closing at the station of the step before it was laid [mm], all spring forces."""

    outputs: Floats
    closing: float
    forces: Floats


class Plate:
    """Both sheets as one system of springs and freedoms."""

    def __init__(self, model: Model, limits: Floats) -> None:
        self.model = model
        parts = [m for b in model.sheets.bodies for m in (b.membrane, b.bending)]
        self.whole = sparse.csc_matrix(sparse.block_diag(parts))
        self.rows = sparse.csr_matrix(sparse.hstack(model.sheets.rows))
        edge = self.rows[len(model.compliance) :]
        self.whole = sparse.csc_matrix(self.whole + edge.T @ sparse.csc_matrix(box_of(model.sheets.bodies[1])) @ edge)
        self.stiff = 1.0 / model.give
        self.limit = np.concatenate([np.full(model.brace_count, np.inf), limits.ravel()])
        self.force = np.zeros(model.spring_count)
        self.moved = np.zeros(self.whole.shape[0])

    def step(self, joined: list[int], wish: Floats, load: Floats) -> None:
        """Add wishes of joined springs and a load on the sheets: Newton with a line search on the convex potential."""
        rows, stiff = self.rows[joined], self.stiff[joined]
        before, limit = self.force[joined], self.limit[joined]
        change = np.zeros(self.whole.shape[0])

        def trial_of(moved: Floats) -> Floats:
            return np.asarray(before + stiff * (wish[joined] - rows @ moved))

        def potential(moved: Floats) -> float:
            trial = np.abs(trial_of(moved))
            held = np.where(trial <= limit, 0.5 * trial**2, np.where(np.isinf(limit), 0.0, limit) * trial)
            held = np.where(trial <= limit, held, held - 0.5 * np.where(np.isinf(limit), 0.0, limit) ** 2)
            own = 0.5 * moved @ (self.whole @ moved) - load @ moved + before @ (rows @ moved)
            return float(own + (held / stiff).sum())

        force = before
        for _ in range(80):
            trial = trial_of(change)
            force = np.clip(trial, -limit, limit)
            rest = load + rows.T @ (force - before) - self.whole @ change
            some = rows[np.abs(trial) <= limit]
            coupled = self.whole + some.T @ sparse.diags(stiff[np.abs(trial) <= limit]) @ some
            way = factored(sparse.csc_matrix(coupled))(rest)
            slope, now, step = float(rest @ way), potential(change), 1.0
            if slope <= 1e-12 * max(1.0, abs(now)):
                break
            while potential(change + step * way) > now - 1e-4 * step * slope and step > 1e-6:
                step *= 0.5
            change = change + step * way
        else:
            raise AssertionError("Newton's method did not settle")
        self.force[joined] = np.clip(trial_of(change), -limit, limit)
        self.moved = self.moved + change

    def let_go(self, braced: int) -> None:
        """Take the brace off: its forces vanish, the rest follows."""
        model = self.model
        load = -(self.rows[:braced].T @ self.force[:braced])
        self.force[:braced] = 0.0
        stations = list(range(braced, model.spring_count))
        self.step(stations, np.zeros(model.spring_count), load)


def resolve_order(
    model: Model, sequence: Sequence[int], wishes: Floats | None = None, limits: Floats | None = None
) -> list[StepState]:
    """Return the state after each station and, last, after the brace is off.

    Parameters
    ----------
    model : Model
        Bodies, rows and loads; its condensed compliance is not used.
    sequence : sequence of int
        Stations in the order in which they are laid.
    wishes : ndarray (3, stations) or None
        Values of the beads; None takes the middle of their bands.
    limits : ndarray (stations, 4) or None
        What each movement bears; None takes metal that never yields.
    """
    braced = model.brace_count
    values = model.wish[:, MIDDLE] if wishes is None else wishes
    shift = station_shift(values[SHRINK], values[ANGLE]).ravel()
    plate = Plate(model, np.full((model.stations.count, MOVES), np.inf) if limits is None else limits)
    joined = list(range(braced))
    states = []
    for station in sequence:
        own = np.arange(braced + MOVES * station, braced + MOVES * (station + 1))
        closing = float((plate.rows[own[0]] @ plate.moved)[0])
        joined += list(own)
        wish = np.zeros(model.spring_count)
        wish[own] = shift[own - braced]
        for tack in model.stations.melts[station]:
            wish[braced + MOVES * tack : braced + MOVES * (tack + 1)] += shift[own - braced]
        tendon = plate.rows[model.tendons.start + station].toarray().ravel()
        plate.step(joined, wish, -values[TENDON, station] * tendon)
        states.append(StepState(plate.rows[model.outputs] @ plate.moved, closing, plate.force.copy()))
    if braced:
        plate.let_go(braced)
        states.append(StepState(plate.rows[model.outputs] @ plate.moved, 0.0, plate.force.copy()))
    return states
