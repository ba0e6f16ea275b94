"""The condensed model made ready for orders: one compliance of all springs, and how loads and outputs feel it.

With C the compliance between all movements of all stations, brace first, and s the give of springs, a chain joins
station after station stress-free at the place where its two sides then are, and (C + s) df = d - du for all that is
joined: d what the bead of a station wants (closing, fold), du the movement of the unjoined sheets under loads (the
tendon of each bead). A tack that a stitch melts in wants what the stitch wants. A brace is a spring that was joined
before the first bead; when it is taken off, its force goes, on the structure as it is then.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_factor, cho_solve

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.model.condensed import MOVES, Model


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """The condensed model made ready for orders.

    Parameters
    ----------
    springs : ndarray
        Compliance of all springs, their give included.
    to_outputs : ndarray
        Compliance from springs to pad outputs.
    tendon : ndarray (springs + pad outputs, stations)
        Movement of the unjoined sheets under one newton in the tendon of each station.
    joint : (ndarray, bool)
        Factor of the compliance of all stations, brace off, for `scipy.linalg.cho_solve`; empty without a brace.
    """

    model: Model
    springs: Floats
    to_outputs: Floats
    tendon: Floats
    joint: tuple[Floats, bool]

    def places(self, sequence: Ints) -> Ints:
        """Rows of brace and stations in the order of welding."""
        braced = self.model.brace_count
        own = braced + MOVES * sequence[:, None] + np.arange(MOVES)
        return np.concatenate([np.arange(braced), own.ravel()])


def make_chain(model: Model) -> Chain:
    """Prepare a condensed model for orders."""
    braced, springs, outputs = model.brace_count, model.spring_count, model.output_count
    both = model.compliance[:springs, :springs].copy()
    both[np.diag_indices(springs)] += model.give
    to_outputs = model.compliance[springs : springs + outputs, :springs]
    tendon = -model.compliance[: springs + outputs, model.tendons]
    joint = cho_factor(both[braced:, braced:]) if braced else (np.empty((0, 0)), False)
    return Chain(model, both, to_outputs, tendon, joint)


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
