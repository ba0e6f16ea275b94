"""Scores of orders over a few mixes of the bands.

A choice made at the middle values alone would lean on them too hard.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.chain.elastic import Chain
from cutplan.welding.distortion.chain.follow import WANTED, Followed, Problem, factor, follow
from cutplan.welding.distortion.model.condensed import HIGH, LOW, MIDDLE, MOVES, TENDON
from cutplan.welding.distortion.search.judge import Judge

#: Distance of the mixes from the middle, as a share of half the band: about the scatter of a triangle over it [1].
REACH = 0.41


@dataclass(frozen=True, slots=True, eq=False)
class Scanned:
    """Pad outputs (orders, mixes, outputs), the first mix the middle; closing before each step (orders, steps) [mm]."""

    pads: Floats
    closing: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Scanner:
    """A chain as a problem, with the mixes of levels that count, (mixes, 3)."""

    chain: Chain
    problem: Problem
    mixes: Ints

    def scan(self, sequences: Ints, brace_off: bool = True) -> Scanned:
        """Follow a batch of station sequences.

        Parameters
        ----------
        sequences : ndarray (orders, stations)
            Stations in the order in which they are laid; fewer than all give the state on the way.
        brace_off : bool
            Take the brace off at the end.
        """
        followed = follow(self.problem, factor(self.problem, sequences))
        return self.finished(Followed(followed.outputs + self.loaded(sequences), followed.closing), brace_off)

    def loaded(self, sequences: Ints) -> Floats:
        """Outputs of sheets not joined under all tendons of the sequences, by kind and level."""
        tendon = self.chain.tendon[self.chain.model.spring_count :, sequences]
        result = np.zeros((len(sequences), 3, 3, len(tendon)))
        result[:, TENDON] = np.einsum("onj,njl->nlo", tendon, self.problem.levels[TENDON].T[sequences])
        return result

    def finished(self, followed: Followed, brace_off: bool = True) -> Scanned:
        """Mix the levels and take the brace off."""
        first, second, third = (followed.outputs[:, kind, self.mixes[:, kind]] for kind in range(3))
        mixed = first + second + third
        pads = mixed @ self.chain.release.T if brace_off else mixed[:, :, : self.chain.model.output_count]
        return Scanned(np.asarray(pads), followed.closing)


def make_scanner(chain: Chain) -> Scanner:
    """Prepare a chain for batches."""
    model = chain.model
    low, mid, high = (model.wish[:, level] for level in (LOW, MIDDLE, HIGH))
    levels = np.stack([mid + REACH * (low - mid), mid, mid + REACH * (high - mid)], axis=1)
    mixes = np.array([(MIDDLE, MIDDLE, MIDDLE), *product((LOW, HIGH), repeat=3)], dtype=np.int64)
    pairs = [(t, s) for s, tacks in enumerate(model.stations.melts) for t in tacks]
    wishes = np.zeros((model.spring_count, 2 * len(pairs)))
    for number, (tack, _) in enumerate(pairs):
        for k, (_, move, sign) in enumerate(WANTED):
            wishes[model.brace_count + MOVES * tack + move, 2 * number + k] = -sign
    melter = np.array([s for _, s in pairs], dtype=np.int64)
    tendon = chain.tendon[: model.spring_count]
    problem = Problem(chain.springs, model.brace_count, tendon, chain.to_outputs, wishes, melter, levels)
    return Scanner(chain, problem, mixes)


def scores_of(judge: Judge, scanned: Scanned) -> Floats:
    """Score of each order [mm]: mean over the mixes of out-of-flat and pitch, and a fine for gaps that close."""
    return np.asarray(judge.score(scanned.pads).mean(axis=1) + judge.fine(scanned.closing.max(axis=1)))
