"""An order of beads as a chain: one triangular factor per order, nothing of the meshes left.

With C the compliance between all movements of all stations, brace first, and s the give of springs, a chain joins
station after station stress-free at the place where its two sides then are. Written in the order of welding,

    C + s = L L^T
    y_k = -L_kk^-1 d_k + sum over j >= k of (L^-1 g_j)_k
    pads = g_pads - (L^-1 c_pads)^T y

where d_k is what the bead of station k wants (closing, fold), and g_j the movement of the unjoined sheets under loads
that come at step j (the tendon of bead j, a tack that shrinks with the stitch melting it in). The place at which a
station is joined drops out of y: that is what stress-free means. A brace is a spring that was joined before the first
bead; when it is taken off, its force goes, on the structure as it is then, which no order can change.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_factor, cho_solve

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.model.condensed import ANGLE, MOVES, SHRINK, TENDON, Model, station_shift


@dataclass(frozen=True, slots=True, eq=False)
class Loads:
    """What beads do: ``shift`` (stations, 4) when laid, ``later`` (rows, stations) on what is joined then."""

    shift: Floats
    later: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """The condensed model made ready for orders.

    Parameters
    ----------
    springs : ndarray
        Compliance of all springs, their give included.
    to_outputs : ndarray
        Compliance from springs to pad outputs and brace stretches.
    tendon : ndarray (springs + pad outputs + brace stretches, stations)
        Movement of the unjoined sheets under one newton in the tendon of each station.
    release : ndarray
        From pad outputs and brace stretches, brace on, to pad outputs with the brace off.
    joint : (ndarray, bool)
        Factor of the compliance of all stations, brace off, for `scipy.linalg.cho_solve`.
    """

    model: Model
    springs: Floats
    to_outputs: Floats
    tendon: Floats
    release: Floats
    joint: tuple[Floats, bool]

    def places(self, sequence: Ints) -> Ints:
        """Rows of brace and stations in the order of welding."""
        braced = self.model.brace_count
        own = braced + MOVES * sequence[:, None] + np.arange(MOVES)
        return np.concatenate([np.arange(braced), own.ravel()])


def joined_mask(braced: int, stations: int) -> Floats:
    """Return 1 where a spring (column) is joined when the load of a step (row) comes, else 0."""
    reach = np.concatenate([np.full(braced, -1), np.repeat(np.arange(stations), MOVES)])
    return np.asarray(np.arange(stations)[:, None] >= reach[None, :], dtype=float)


def make_chain(model: Model) -> Chain:
    """Prepare a condensed model for orders."""
    braced, springs, outputs = model.brace_count, model.spring_count, model.output_count
    both = model.compliance[:springs, :springs] + np.diag(model.give)
    watched = np.concatenate([np.arange(springs, springs + outputs), np.arange(braced)])
    to_outputs = model.compliance[np.ix_(watched, np.arange(springs))]
    tendon = -model.compliance[np.concatenate([np.arange(springs), watched]), model.tendons]
    joint = cho_factor(both[braced:, braced:])
    return Chain(model, both, to_outputs, tendon, _release(model, joint, watched), joint)


def _release(model: Model, joint: tuple[Floats, bool], watched: Ints) -> Floats:
    """From outputs and brace stretches, brace on, to outputs with the brace off."""
    braced, outputs = model.brace_count, model.output_count
    keep = np.eye(outputs)
    if not braced:
        return keep
    freed = model.compliance[watched[:outputs]] @ brace_release(model, joint, np.diag(1.0 / model.give[:braced]))
    return np.hstack([keep, freed])


def brace_release(model: Model, joint: tuple[Floats, bool], force_N: Floats) -> Floats:
    """Return the forces on all rows when the brace lets go, all stations joined [N].

    Parameters
    ----------
    model : Model
        The condensed model.
    joint : (ndarray, bool)
        Factor of the compliance of all stations, brace off.
    force_N : ndarray (brace stretches,) or (brace stretches, n)
        Force in each stretch before [N].
    """
    braced, springs = model.brace_count, model.spring_count
    stations = slice(braced, springs)
    forces = np.zeros((len(model.compliance), *np.shape(force_N)[1:]))
    forces[:braced] = force_N
    forces[stations] = -cho_solve(joint, model.compliance[stations, :braced] @ force_N)
    return forces


def make_loads(model: Model, shrink_mm: Floats, tendon_N: Floats, angle_rad: Floats) -> Loads:
    """Return what beads do, from values at each station.

    Parameters
    ----------
    model : Model
        The condensed model.
    shrink_mm, tendon_N, angle_rad : ndarray (stations,)
        Shrinkage [mm], tendon force [N], angle [rad].
    """
    braced, springs, outputs = model.brace_count, model.spring_count, model.output_count
    rows = np.concatenate([np.arange(springs + outputs), np.arange(braced)])
    later = -model.compliance[rows, model.tendons] * tendon_N
    shift = station_shift(shrink_mm, angle_rad)
    for station, tacks in enumerate(model.stations.melts):
        for tack in tacks:
            at = slice(braced + MOVES * tack, braced + MOVES * (tack + 1))
            later[at, station] -= shift[station]
    return Loads(shift, later)


def unit_loads(model: Model, kind: int) -> Loads:
    """Return the loads of one kind, one unit at every station."""
    values = np.zeros((3, model.stations.count))
    values[kind] = 1.0
    return make_loads(model, values[SHRINK], values[TENDON], values[ANGLE])
