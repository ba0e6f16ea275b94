"""An order of beads as a chain: one triangular factor per order, nothing of the meshes left.

With C the compliance between all movements of all stations, brace first, and s the give of springs, a chain joins
station after station stress-free at the place where its two sides then are. Written in the order of welding,

    C + s = L L^T ,    y_k = -d_k / L_kk + sum over j >= k of (L^-1 g_j)_k ,    pads = g_pads - (L^-1 c_pads)^T y

where d_k is what the bead of station k wants (closing, fold), and g_j the movement of the unjoined sheets under loads that
come at step j (the tendon of bead j, a tack that shrinks with the stitch melting it in). The place at which a station is
joined drops out of y: that is what stress-free means. A brace is a spring that was joined before the first bead; when it
is taken off, its force goes, on the structure as it is then, which no order can change.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.linalg.lapack import dtrtrs

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.model import MOVES, Model


@dataclass(frozen=True, slots=True, eq=False)
class Loads:
    """What beads do: ``shift`` (4 stations,) when they are laid, ``later`` (springs + outputs, stations) on what is joined."""

    shift: Floats
    later: Floats

    def plus(self, other: Loads, factor: float = 1.0) -> Loads:
        return Loads(self.shift + factor * other.shift, self.later + factor * other.later)


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """The condensed model made ready for orders."""

    model: Model
    springs: Floats
    to_outputs: Floats
    release: Floats
    kinds: dict[str, Loads]

    @property
    def middle(self) -> Loads:
        """All three kinds together."""
        total = self.kinds["shrink"]
        return total.plus(self.kinds["tendon"]).plus(self.kinds["angle"])

    def places(self, sequences: Ints) -> Ints:
        """Rows of brace and stations in the order of welding, (orders, springs)."""
        braced = self.model.brace_count
        own = braced + MOVES * sequences[:, :, None] + np.arange(MOVES)
        front = np.broadcast_to(np.arange(braced), (len(sequences), braced))
        return np.concatenate([front, own.reshape(len(sequences), -1)], axis=1)

    def pads_after(self, sequences: Ints, loads: Loads) -> Floats:
        """Return pad outputs at the end, brace off, for a batch of station sequences.

        Parameters
        ----------
        sequences : ndarray (orders, stations)
            Stations in the order in which they are laid.
        loads : Loads
            What the beads do.
        """
        count, stations = sequences.shape
        braced, springs = self.model.brace_count, self.model.spring_count
        places = self.places(sequences)
        lower = np.linalg.cholesky(self.springs[places[:, :, None], places[:, None, :]])
        drive, outputs = loads.later, self.to_outputs.shape[0]
        right = np.empty((count, stations + outputs, springs))
        right[:, :stations] = drive[places[:, None, :], sequences[:, :, None]]
        right[:, stations:] = self.to_outputs[np.arange(outputs)[None, :, None], places[:, None, :]]
        for i in range(count):
            right[i] = dtrtrs(lower[i].T, right[i].T, lower=0, trans=1)[0].T
        reach = np.concatenate([np.full(braced, -1), np.repeat(np.arange(stations), MOVES)])
        counts = np.arange(stations)[:, None] >= reach[None, :]
        y = np.einsum("njs,js->ns", right[:, :stations], counts.astype(float))
        y[:, braced:] -= self._laid(lower, loads.shift[MOVES * sequences[:, :, None] + np.arange(MOVES)])
        result = loads.later[springs:].sum(axis=1) - np.matmul(right[:, stations:], y[:, :, None])[:, :, 0]
        return np.asarray(result @ self.release.T)

    def _laid(self, lower: Floats, shift: Floats) -> Floats:
        """Solve each station's own triangle for what its bead wants."""
        count, stations, _ = shift.shape
        at = self.model.brace_count + MOVES * np.arange(stations)[:, None] + np.arange(MOVES)
        own = lower[:, at[:, :, None], at[:, None, :]]
        result = np.empty_like(shift)
        for i in range(MOVES):
            done = np.einsum("nsk,nsk->ns", own[:, :, i, :i], result[:, :, :i])
            result[:, :, i] = (shift[:, :, i] - done) / own[:, :, i, i]
        return result.reshape(count, -1)


def make_chain(model: Model) -> Chain:
    """Prepare a condensed model for orders."""
    braced, springs, outputs = model.brace_count, model.spring_count, model.output_count
    compliance = model.compliance
    both = compliance[:springs, :springs] + np.diag(model.give)
    watched = np.concatenate([np.arange(springs, springs + outputs), np.arange(braced)])
    return Chain(model, both, compliance[np.ix_(watched, np.arange(springs))], release_of(model, watched), _kinds(model, watched))


def release_of(model: Model, watched: Ints) -> Floats:
    """Matrix from outputs and brace stretches, brace on, to outputs with the brace off."""
    braced, springs, outputs = model.brace_count, model.spring_count, model.output_count
    keep = np.eye(outputs)
    if not braced:
        return keep
    stations = np.arange(braced, springs)
    joint = cho_factor(model.compliance[np.ix_(stations, stations)] + np.diag(model.give[braced:]))
    to_pads = model.compliance[np.ix_(watched[:outputs], np.arange(springs))]
    to_brace = model.compliance[:springs, :braced]
    free = to_pads[:, :braced] - to_pads[:, braced:] @ cho_solve(joint, to_brace[braced:])
    return np.hstack([keep, free / model.give[:braced]])


def _kinds(model: Model, watched: Ints) -> dict[str, Loads]:
    braced, springs, stations = model.brace_count, model.spring_count, model.stations.count
    rows = np.concatenate([np.arange(springs), watched])
    none = np.zeros((len(rows), stations))
    tendon = -model.compliance[rows, model.tendons] * model.tendon_N
    kinds = {"tendon": Loads(np.zeros(MOVES * stations), tendon)}
    for kind, shift in model.shift.items():
        later = none.copy()
        for station, tacks in enumerate(model.stations.melts):
            for tack in tacks:
                at = slice(braced + MOVES * tack, braced + MOVES * (tack + 1))
                later[at, station] -= shift[MOVES * station : MOVES * (station + 1)]
        kinds[kind] = Loads(shift, later)
    return kinds
