"""A rougher chain of the same joint: what it feels is always the tacks, and the stations next to the one that is laid.

Once it is laid, a stitch hardly bears what is welded far from it otherwise than the tack did that it melted in. So the
springs that a step changes are those laid before all stitches (brace and tacks; a tack that was melted in bears what its
stitch bears), the station itself and those beside it that are laid: few rows on a matrix that never changes, where the
whole chain has a new one for every order. Between far stitches it leaves out what has no tack of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy.linalg import cho_factor, cho_solve

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.chain.elastic import Chain
from cutplan.welding.distortion.chain.joined import station_shift_of
from cutplan.welding.distortion.chain.yielding import Run, follow_yielding
from cutplan.welding.distortion.draws import Draws
from cutplan.welding.distortion.model.condensed import MOVES, TENDON
from cutplan.welding.distortion.search.orders import Order


class Measured(NamedTuple):
    """What is measured under forces and under tendons.

    Closing at each later station under one unit of each force (later, held + 4 later), under the tendons laid at the
    beginning and under that of each later station (draws, later, 1 + later); pad outputs, brace off, under one unit of
    each force (held + 4 later, outputs) and under all tendons (draws, outputs).
    """

    closing: Floats
    closing_pulled: Floats
    outputs: Floats
    outputs_pulled: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Rough:
    """The joint made ready for orders that begin with the same beads.

    Stations laid later are numbered along the joint; e is the number of springs of one with those beside it.

    Parameters
    ----------
    number : ndarray (stations of the model,)
        Number of each station that is laid later; -1 for those laid before.
    near : ndarray (later, 1 + beside)
        Each station and those beside it.
    held : ndarray (held, held)
        Forces in what is laid at the beginning, per unit of movement.
    passed : ndarray (4 later, held)
        Force that leaves each spring laid at the beginning, per unit of force in a later one.
    give : ndarray (later, e, e)
        Compliance of a station and those beside it, on what is laid at the beginning.
    pulled : ndarray (draws, later, held)
        Forces in what is laid at the beginning when a station's bead cools alone.
    wanted : ndarray (draws, later, e)
        Movement that is left then to be taken by the station and those beside it.
    begun, begun_closing : ndarray (draws, held), (draws,)
        Forces and worst closing [mm] before the first later station.
    bears, bears_later : ndarray (draws, held), (draws, later, 4)
        Largest forces.
    lifted : ndarray (draws, later, held)
        What tacks that a station melts in bear more from then on.
    measured : Measured
        Closing and pad outputs.
    """

    number: Ints
    near: Ints
    held: Floats
    passed: Floats
    give: Floats
    pulled: Floats
    wanted: Floats
    begun: Floats
    begun_closing: Floats
    bears: Floats
    bears_later: Floats
    lifted: Floats
    measured: Measured


def make_rough(chain: Chain, draws: Draws, start: Order, kept: int, beside: int) -> Rough:
    """Return a joint made ready for orders that begin with the same beads.

    Parameters
    ----------
    chain : Chain
        The condensed model.
    draws : Draws
        Values of the beads.
    start : Order
        One of the orders.
    kept : int
        Beads at its beginning that all orders have in common.
    beside : int
        Stations to each side of the one that is laid which feel it themselves.
    """
    stations, braced = chain.model.stations, chain.model.brace_count
    first = start.part(0, kept).sequence(stations)
    left = follow_yielding(Run(chain, first, draws))
    later = np.setdiff1d(np.arange(stations.count), first)
    later = later[np.argsort(stations.start_mm[later], kind="stable")]
    number = np.full(stations.count, -1)
    number[later] = np.arange(len(later))
    held_at, later_at = chain.places(first), chain.places(later)[braced:]
    factor = cho_factor(chain.springs[np.ix_(held_at, held_at)])
    between = chain.springs[np.ix_(held_at, later_at)]
    passed = cho_solve(factor, between)
    free = chain.springs[np.ix_(later_at, later_at)] - between.T @ passed
    near = _near(len(later), beside)
    springs = springs_of(near)
    loads, lifted = _loads(chain, draws, first, later)
    pulled = cho_solve(factor, loads.reshape(-1, len(held_at)).T).T.reshape(loads.shape)
    pull = draws.wishes[:, TENDON]
    moved = -pull[:, later, None] * chain.tendon[np.ix_(later_at, later)].T - pulled @ between
    wanted = np.take_along_axis(moved, springs[None], axis=2)
    wanted[:, :, :MOVES] += station_shift_of(draws)[:, later]
    return Rough(
        number=number,
        near=near,
        held=cho_solve(factor, np.eye(len(held_at))),
        passed=np.ascontiguousarray(passed.T),
        give=free[springs[:, :, None], springs[:, None, :]],
        pulled=pulled,
        wanted=wanted,
        begun=left.forces,
        begun_closing=left.closing.max(axis=1, initial=-np.inf),
        bears=np.hstack([np.full((draws.count, braced), np.inf), draws.limits[:, first].reshape(draws.count, -1)]),
        bears_later=draws.limits[:, later],
        lifted=lifted,
        measured=_measured(chain, pull, first, later),
    )


def springs_of(near: Ints) -> Ints:
    """Return the numbers of the springs of some later stations, (n, e)."""
    return np.asarray((MOVES * near[:, :, None] + np.arange(MOVES)).reshape(len(near), -1))


def _near(count: int, beside: int) -> Ints:
    """Each later station, then those beside it, nearest first."""
    away = [sign * j for j in range(1, min(beside, (count - 1) // 2) + 1) for sign in (-1, 1)]
    return np.asarray((np.arange(count)[:, None] + np.array([0, *away])) % count)


def _loads(chain: Chain, draws: Draws, first: Ints, later: Ints) -> tuple[Floats, Floats]:
    """What a later station's bead wants of what is laid at the beginning, and what it lets tacks bear that it melts in."""
    model = chain.model
    held_at = chain.places(first)
    where = {int(s): model.brace_count + MOVES * i for i, s in enumerate(first)}
    shift, pull = station_shift_of(draws), draws.wishes[:, TENDON]
    loads = -pull[:, later, None] * chain.tendon[np.ix_(held_at, later)].T
    lifted = np.zeros_like(loads)
    for i, station in enumerate(later.tolist()):
        for tack in model.stations.melts[station]:
            if tack in where:
                rows = slice(where[tack], where[tack] + MOVES)
                loads[:, i, rows] += shift[:, station]
                lifted[:, i, rows] += draws.limits[:, station]
    return loads, lifted


def _measured(chain: Chain, pull: Floats, first: Ints, later: Ints) -> Measured:
    """Closing and pad outputs under forces and tendons."""
    model = chain.model
    braced, outputs = model.brace_count, model.output_count
    both = np.concatenate([chain.places(first), chain.places(later)[braced:]])
    at = braced + MOVES * later
    to_outputs = chain.to_outputs[:outputs].T.copy()
    if braced:
        # the brace lets go at the end: what that does is as good as linear
        release = cho_solve(chain.joint, chain.springs[braced:, :braced])
        to_outputs[:braced] = release.T @ to_outputs[braced:]
    laid = pull[:, first] @ chain.tendon[np.ix_(at, first)].T
    each = pull[:, None, later] * chain.tendon[np.ix_(at, later)]
    return Measured(
        closing=chain.springs[np.ix_(at, both)],
        closing_pulled=np.concatenate([laid[:, :, None], each], axis=2),
        outputs=to_outputs[both],
        outputs_pulled=pull @ chain.tendon[model.spring_count : model.spring_count + outputs].T,
    )
