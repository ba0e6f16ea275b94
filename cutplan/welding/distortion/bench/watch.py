"""What the model predicts for readings taken on the way: gaps that are still open, and heights on the pads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.errors import JobError
from cutplan.fem.mesh import Floats, Ints
from cutplan.fem.outline import lengths_along
from cutplan.texts import name, say
from cutplan.welding.distortion.bench.to_end import Later
from cutplan.welding.distortion.chain.elastic import Chain
from cutplan.welding.distortion.chain.yielding import Run, Yielded, follow_yielding
from cutplan.welding.distortion.draws import Draws, draws_of
from cutplan.welding.distortion.model.condensed import MOVES, TENDON, Model
from cutplan.welding.distortion.search.orders import Order
from cutplan.welding.distortion.task import Point2
from cutplan.welding.readings.cloud import Cloud, Predict, Read

#: What the model itself may be off by, as a share of the spread of its draws [1] (our judgement).
MODEL_SHARE = 0.1
#: A dial's stand may have been set up anew, higher and tilted, before each round of readings: how far [mm] (our own; far
#: more than the pads move, so that only what is out of a plane counts).
STAND_MM = 5.0


@dataclass(frozen=True, slots=True)
class OpenGap:
    """A gap measured where no stitch is yet.

    Parameters
    ----------
    laid : int
        Beads laid by then.
    at_mm : float
        Length along the joint path [mm].
    value_mm, error_mm : float
        How far it has closed since before the first tack, and the standard error of that [mm].
    """

    laid: int
    at_mm: float
    value_mm: float
    error_mm: float


@dataclass(frozen=True, slots=True)
class PadHeight:
    """A dial reading on a pad.

    Parameters
    ----------
    laid : int
        Beads laid by then; past the last stitch each sleeve and each rib counts as one.
    pad : str
        Name of the pad.
    at_mm : (float, float)
        Where [mm].
    value_mm, error_mm : float
        How far it has risen towards the torch since before the first tack, and the standard error of that [mm].
    """

    laid: int
    pad: str
    at_mm: Point2
    value_mm: float
    error_mm: float


Watched = OpenGap | PadHeight


def predictor(chains: Sequence[Chain], order: Order, watched: Sequence[Watched], later: Later | None = None) -> Predict:
    """Return what predicts the readings for draws.

    Parameters
    ----------
    chains : sequence of Chain
        One for each state of box and joint.
    order : Order
        Beads laid so far.
    watched : sequence of Watched
        The readings.
    later : Later or None
        Sleeves and ribs, some of which may be welded.

    Raises
    ------
    JobError
        For a gap that a stitch has filled, or a pad that is not there.
    """
    model = chains[0].model
    sequence = order.sequence(model.stations)
    rows = [_row(model, order, w) for w in watched]
    ends = np.cumsum([len(model.stations.of(int(b), False)) for b in order.beads])
    count = len(order.beads)
    # past the last stitch: minus the number of the sleeve or rib, from one
    steps = [int(ends[w.laid - 1]) if w.laid <= count else count - w.laid for w in watched]

    def predict(cloud: Cloud) -> Floats:
        found = np.empty((cloud.count, len(watched)))
        for state in range(len(chains)):
            mine = np.flatnonzero(cloud.state == state)
            if len(mine):
                draws = draws_of(chains[state].model, cloud.latent[mine])
                left = follow_yielding(Run(chains[state], sequence, draws), keep=True)
                stood = []
                if later is not None and any(s < 0 for s in steps):
                    stood = later.standing(chains[state], draws, cloud.latent[mine], sequence, left)
                columns = zip(rows, steps, strict=True)
                found[mine] = np.column_stack(
                    [
                        _seen(chains[state], sequence, draws, left, r, s) if s > 0 else stood[-s - 1][:, r[0]] @ r[1]
                        for r, s in columns
                    ]
                )
        return found

    return predict


#: Weights of rows of the compliance, springs or outputs.
_Row = tuple[Ints, Floats, bool]


def _row(model: Model, order: Order, w: Watched) -> _Row:
    if isinstance(w, OpenGap):
        station = station_at(model, order, w.at_mm, w.laid)
        return np.array([model.brace_count + MOVES * station]), np.ones(1), True
    number = pad_number(model, w.pad)
    first = sum(model.pads.sizes[:number])
    own = np.arange(first, first + model.pads.sizes[number])
    return own, _between(model.pads.place[own], np.array(w.at_mm)), False


def pad_number(model: Model, pad: str) -> int:
    """Return the number of a pad by its name.

    Raises
    ------
    JobError
        When no pad is called so.
    """
    if pad not in model.pads.names:
        raise JobError(say("no pad is called {pad}", pad=name(pad)), "dial")
    return model.pads.names.index(pad)


def station_at(model: Model, order: Order, at_mm: float, laid: int) -> int:
    """Return the station of a stitch, not yet laid, that holds a place of the joint.

    Parameters
    ----------
    model : Model
        Stations.
    order : Order
        Beads laid so far.
    at_mm : float
        Length along the joint path [mm].
    laid : int
        How many of them were laid by then.

    Raises
    ------
    JobError
        When a stitch has been welded there, or none will be.
    """
    whole = float(lengths_along(model.task.path, True)[-1])
    before = set(order.beads[:laid].tolist())
    for s, bead in enumerate(model.stations.bead.tolist()):
        long = model.stations.end_mm[s] - model.stations.start_mm[s]
        if model.beads[bead].kind == "stitch" and (at_mm - model.stations.start_mm[s]) % whole < long:
            if bead in before:
                raise JobError(
                    say("the gap is filled by stitch {stitch}", stitch=name(model.beads[bead].name)),
                    "gap",
                    say("measure gaps where nothing is welded yet"),
                )
            return s
    raise JobError(say("no stitch will pass there"), "gap", say("measure gaps where a stitch is planned"))


def _between(ring: Floats, at: Floats) -> Floats:
    """Weights of the heights on a ring of points that give the height within: a plane, saddles where they can be told."""
    middle = ring.mean(axis=0)
    reach = max(float(np.abs(ring - middle).max()), 1e-9)

    def basis(points: Floats) -> Floats:
        x, y = ((points - middle) / reach).T
        columns = [np.ones(len(x)), x, y, x * x - y * y, x * y]
        return np.column_stack(columns[: 5 if len(ring) >= 6 else 3])

    return np.asarray(basis(at[None, :])[0] @ np.linalg.pinv(basis(ring), rcond=1e-6))


def _seen(chain: Chain, sequence: Ints, draws: Draws, left: Yielded, row: _Row, steps: int) -> Floats:
    """One reading for all draws of one state after some steps, brace on."""
    at, weight, spring = row
    force, laid = left.history[steps - 1], sequence[:steps]
    place = chain.places(laid)
    pull = draws.wishes[:, TENDON][:, laid]
    if spring:
        return np.asarray(pull @ chain.tendon[at[0], laid] + force @ chain.springs[place, at[0]])
    springs = chain.model.spring_count
    loads = weight @ chain.tendon[springs + at][:, laid]
    return np.asarray(pull @ loads + force @ (weight @ chain.to_outputs[at][:, place]))


def read_of(watched: Sequence[Watched], predicted: Floats) -> Read:
    """Return the readings with the covariance of their errors.

    Own error of each, what the model itself may be off by, and for the dial a stand that may have moved from round to
    round.

    Parameters
    ----------
    watched : sequence of Watched
        The readings.
    predicted : ndarray (draws, readings)
        What the draws predict [mm].
    """
    values = np.array([w.value_mm for w in watched])
    covariance = np.diag([w.error_mm**2 for w in watched] + np.square(MODEL_SHARE * predicted.std(axis=0)))
    for laid in sorted({w.laid for w in watched}):
        mine = [i for i, w in enumerate(watched) if isinstance(w, PadHeight) and w.laid == laid]
        if mine:
            at = np.array([watched[i].at_mm for i in mine])
            at = (at - at.mean(axis=0)) / max(float(np.abs(at - at.mean(axis=0)).max()), 1.0)
            stand = STAND_MM * np.column_stack([np.ones(len(mine)), at])
            covariance[np.ix_(mine, mine)] += stand @ stand.T
    return Read(values, covariance)
