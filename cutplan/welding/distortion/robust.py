"""How much of a ranking survives the bands: orders judged again for drawn values."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutplan.fem.mesh import Floats
from cutplan.welding.distortion.chain.influence import Influence
from cutplan.welding.distortion.model.condensed import HIGH, LOW, MIDDLE, Model
from cutplan.welding.distortion.result import Robustness
from cutplan.welding.distortion.search.judge import Judge

#: Scatter from bead to bead, as a share of half the band (a judgement).
BEAD_SCATTER = 0.25
#: An order is close when its score is within this factor of the best.
CLOSE = 1.10
#: Share of samples in which a choice must be best or close for the ranking to hold.
HOLDS = 0.90


def drawn_wishes(model: Model, samples: int, seed: int) -> Floats:
    """Return drawn values of each kind at each station, (samples, 3, stations).

    What all beads share (settings, material, the formula's own error) is drawn once for each kind and sample, from a
    triangle over the band with its top at the middle; each bead then scatters about it.

    Parameters
    ----------
    model : Model
        Holds the bands.
    samples : int
        Number of draws.
    seed : int
        Seed.
    """
    random = np.random.default_rng(seed)
    beads = len(model.beads)
    shared = random.triangular(-1.0, 0.0, 1.0, size=(samples, 3, 1))
    scatter = BEAD_SCATTER * random.standard_normal((samples, 3, beads))
    place = np.clip(shared + scatter, -1.0, 1.0)[:, :, model.stations.bead]
    low, mid, high = (model.wish[:, level] for level in (LOW, MIDDLE, HIGH))
    return np.asarray(mid + np.where(place > 0.0, place * (high - mid), place * (mid - low)))


def sampled_scores(influences: Sequence[Influence], judge: Judge, wishes: Floats) -> Floats:
    """Return the score of each order for each draw, (orders, samples) [mm].

    Parameters
    ----------
    influences : sequence of Influence
        One per order.
    judge : Judge
        What is measured.
    wishes : ndarray (samples, 3, stations)
        Drawn values.
    """
    flat = wishes.reshape(len(wishes), -1)

    def answer(influence: Floats) -> Floats:
        return np.asarray(flat @ influence.transpose(0, 2, 1).reshape(flat.shape[1], -1))

    return np.array([judge.full_score(answer(i.pads), answer(i.closing).max(axis=1)) for i in influences])


def robustness_of(scores: Floats, chosen: int) -> Robustness:
    """Return how often an order is best or close among all.

    Parameters
    ----------
    scores : ndarray (orders, samples)
        Scores [mm].
    chosen : int
        Number of the chosen order.
    """
    share = float((scores[chosen] <= CLOSE * scores.min(axis=0) + 1e-12).mean())
    return Robustness(scores.shape[1], share, share >= HOLDS)
