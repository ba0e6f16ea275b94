"""All that one order does, as a linear answer to the bead of each station: pads, closing, forces, shape.

Search needs pads at the middle of the bands only; what is reported needs everything, for any values inside the bands.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_solve, solve_triangular

from cutplan.fem.mesh import Floats, Ints
from cutplan.fem.solve import factored, lower_factor
from cutplan.welding.distortion.chain.elastic import Chain, Loads, brace_release, joined_mask, make_loads, unit_loads
from cutplan.welding.distortion.model.condensed import ANGLE, MIDDLE, MOVES, SHRINK, TENDON


@dataclass(frozen=True, slots=True, eq=False)
class Influence:
    """Answers per unit at each station, first axis the kind (shrinkage, tendon, angle), last axis the station.

    Parameters
    ----------
    pads : ndarray (3, outputs, stations)
        Pad outputs at the end, brace off.
    closing : ndarray (3, stations, stations)
        Closing at a station just before it is laid [mm].
    pull, slide : ndarray (3, stations, stations)
        Tension across and force along the weld of a station at the end, brace off [N].
    """

    pads: Floats
    closing: Floats
    pull: Floats
    slide: Floats


def influence_of(chain: Chain, sequence: Ints) -> Influence:
    """Return the influence of every station's bead for one order.

    Parameters
    ----------
    chain : Chain
        The condensed model.
    sequence : ndarray (stations,)
        Stations in the order in which they are laid.
    """
    model = chain.model
    braced, springs, stations = model.brace_count, model.spring_count, model.stations.count
    place = chain.places(sequence)
    lower = lower_factor(chain.springs[np.ix_(place, place)])
    to_outputs = solve_triangular(lower, chain.to_outputs[:, place].T, lower=True).T
    pads, closing, pull, slide = [], [], [], []
    for kind in (SHRINK, TENDON, ANGLE):
        loads = unit_loads(model, kind)
        y = _answers(lower, loads, sequence, place, braced)
        # what each station's load, when it comes, has done to outputs and to the sides of every station
        moved = loads.later[springs:, sequence] - to_outputs @ y
        pads.append(_sorted_back(chain.release @ moved, sequence))
        free = loads.later[place][:, sequence]
        own = np.zeros((springs, stations))
        own[braced:] = _own_shift(loads, sequence)
        met = _before(free - lower @ y, braced, stations)
        closing.append(_sorted_back(_by_station(met[braced:], sequence)[0::MOVES], sequence))
        force = -cho_solve(chain.joint, _by_station((free - met - own)[braced:], sequence))
        pull.append(_sorted_back(force[0::MOVES], sequence))
        slide.append(_sorted_back(force[1::MOVES], sequence))
    return Influence(np.array(pads), np.array(closing), np.array(pull), np.array(slide))


def _own_shift(loads: Loads, sequence: Ints) -> Floats:
    """What each station wants, (4 stations in welding order, stations in welding order)."""
    count = len(sequence)
    own = np.zeros((count, MOVES, count))
    own[np.arange(count), :, np.arange(count)] = loads.shift[sequence]
    return own.reshape(MOVES * count, count)


def _answers(lower: Floats, loads: Loads, sequence: Ints, place: Ints, braced: int) -> Floats:
    """y of each station's own load, (springs, stations in welding order)."""
    count = len(sequence)
    y = solve_triangular(lower, loads.later[place][:, sequence], lower=True) * joined_mask(braced, count).T
    at = braced + MOVES * np.arange(count)[:, None] + np.arange(MOVES)
    own = lower[at[:, :, None], at[:, None, :]]
    y[at, np.arange(count)[:, None]] -= np.linalg.solve(own, loads.shift[sequence][:, :, None])[:, :, 0]
    return y


def _before(moved: Floats, braced: int, stations: int) -> Floats:
    """Keep at each station only what came before it was laid."""
    step = np.concatenate([np.full(braced, -1), np.repeat(np.arange(stations), MOVES)])
    return np.where(np.arange(stations)[None, :] < step[:, None], moved, 0.0)


def _by_station(rows: Floats, sequence: Ints) -> Floats:
    """Rows of stations in welding order, put back in station order."""
    count = len(sequence)
    result = np.empty((count, MOVES, rows.shape[1]))
    result[sequence] = rows.reshape(count, MOVES, -1)
    return result.reshape(MOVES * count, -1)


def _sorted_back(columns: Floats, sequence: Ints) -> Floats:
    """Columns in welding order, put back in station order."""
    result = np.empty_like(columns)
    result[:, sequence] = columns
    return result


def lift_after_steps(chain: Chain, sequence: Ints, steps: Sequence[int]) -> Floats:
    """Return heights of all vertices, plate then skin, after some steps (middle values), (steps, vertices) [mm].

    Parameters
    ----------
    chain : Chain
        A condensed model.
    sequence : ndarray (stations,)
        Stations in the order in which they are laid.
    steps : sequence of int
        Steps wanted: 0 the start, k after k stations, one more than the stations: with the brace off.
    """
    model = chain.model
    braced, springs = model.brace_count, model.spring_count
    middle = model.wish[:, MIDDLE]
    loads = make_loads(model, middle[SHRINK], middle[TENDON], middle[ANGLE])
    place = chain.places(sequence)
    lower = lower_factor(chain.springs[np.ix_(place, place)])
    y = _answers(lower, loads, sequence, place, braced)
    # forces on the model's rows: of the joint, of the tendons, and last of the brace that lets go
    count = len(sequence)
    forces = np.zeros((len(model.compliance), count + 2))
    forces[place, 1:-1] = -solve_triangular(lower, y, lower=True, trans=1)
    forces[model.tendons.start + sequence, 1 + np.arange(count)] = -middle[TENDON, sequence]
    if braced:
        to_brace = solve_triangular(lower, chain.to_outputs[model.output_count :, place].T, lower=True).T
        stretch = loads.later[springs + model.output_count :].sum(axis=1) - to_brace @ y.sum(axis=1)
        forces[:, -1] = brace_release(model, chain.joint, stretch / model.give[:braced])
    loaded = np.cumsum(forces, axis=1)[:, list(steps)]
    heights = [
        factored(body.bending)(rows.T @ loaded)[0::3] for body, rows in zip(model.bodies, model.rows[1::2], strict=True)
    ]
    return np.vstack(heights).T
