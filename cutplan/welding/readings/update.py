"""Draws moved to where the readings are: importance weights, tempered where they would leave too few draws.

The law is Bayes' rule: a draw counts by the density of the readings given what the model predicts for it. Where that
would leave few draws with most of the weight, the readings are let in bit by bit; after each bit the draws are drawn
anew by weight and moved about, so that they stay many and different (sequential Monte Carlo).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from cutplan.welding.readings.cloud import Cloud, Floats, Ints, Predict, Read
from cutplan.welding.readings.line import Line, fitted_line, moved

#: Share of the draws that must go on counting when a bit of the readings is let in [1].
KEPT = 0.5
#: Rounds of moves after each bit.
MOVES = 4
#: Bits at most; the last one lets in all that is left.
MOST_BITS = 40
#: First size of a move [1], share of moves wanted to succeed, and how fast the size follows.
FIRST_MOVE, WANTED, FOLLOWING = 0.7, 0.3, 1.0
#: Limits of a move's size [1].
MOVE_LIMITS = (0.05, 1.0)


@dataclass(frozen=True, slots=True, eq=False)
class Updated:
    """Draws after the readings.

    Parameters
    ----------
    cloud : Cloud
        The draws, all equally likely.
    before, after : ndarray (draws, readings)
        What was and what is predicted for each reading.
    effective : float
        Effective number of the first draws under the weight of the readings [1]: few means that moves were needed.
    bits : int
        Bits in which the readings were let in; 1 where plain weights were enough.
    """

    cloud: Cloud
    before: Floats
    after: Floats
    effective: float
    bits: int


def updated(prior: Cloud, predict: Predict, read: Read, seed: int, before: Floats | None = None) -> Updated:
    r"""Return the draws given readings [1]_.

    .. math:: w_i \propto \exp\Big(-\tfrac12 (y - h(z_i))^T R^{-1} (y - h(z_i))\Big)

    Parameters
    ----------
    prior : Cloud
        Draws before the readings.
    predict : callable
        Predictions h for each draw.
    read : Read
        Readings y with covariance R of their errors.
    seed : int
        Seed of every random choice.
    before : ndarray (draws, readings) or None
        Predictions for the draws before the readings, where they are known.

    Returns
    -------
    Updated
        Draws, predictions before and after, and how many of the first draws count.

    References
    ----------
    .. [1] P. Del Moral, A. Doucet, A. Jasra, "Sequential Monte Carlo samplers", J. R. Stat. Soc. B 68 (2006) 411-436;
       moves that keep a normal law: S. L. Cotter et al., Statistical Science 28 (2013) 424-446 (both from memory).
    """
    random = np.random.default_rng(seed)
    factor = np.linalg.cholesky(read.covariance)
    before = predict(prior) if before is None else before
    line = fitted_line(prior, before)

    def fit(predicted: Floats) -> Floats:
        return np.asarray(-0.5 * np.square(np.linalg.solve(factor, (read.values - predicted).T)).sum(axis=0))

    likely = fit(before)
    effective = _effective(likely)
    cloud, now, let_in, bits, size = prior, before, 0.0, 0, FIRST_MOVE
    while let_in < 1.0:
        bit = 1.0 - let_in if bits == MOST_BITS - 1 else _next_bit(likely, 1.0 - let_in)
        chosen = _by_weight(likely * bit, random)
        cloud, now, likely = cloud.some(chosen), now[chosen], likely[chosen]
        let_in, bits = (1.0 if let_in + bit > 1.0 - 1e-9 else let_in + bit), bits + 1
        cloud, now, likely, size = _moves(cloud, now, likely, size, line, let_in, predict, fit, read, random)
    return Updated(cloud, before, now, effective, bits)


def _moves(
    cloud: Cloud,
    now: Floats,
    likely: Floats,
    size: float,
    line: Line,
    let_in: float,
    predict: Predict,
    fit: Callable[[Floats], Floats],
    read: Read,
    random: np.random.Generator,
) -> tuple[Cloud, Floats, Floats, float]:
    """Draws moved about under what is let in of the readings, and the size of moves that follows."""
    about = line.given(read, let_in)
    for _ in range(MOVES):
        tried, lean = moved(cloud, about, size, random)
        there = predict(tried)
        better = fit(there)
        taken = np.log(random.random(cloud.count)) < let_in * (better - likely) + lean
        cloud = cloud.replaced(tried, taken)
        now, likely = np.where(taken[:, None], there, now), np.where(taken, better, likely)
        size = float(np.clip(size * np.exp(FOLLOWING * (taken.mean() - WANTED)), *MOVE_LIMITS))
    return cloud, now, likely, size


def _effective(likely: Floats) -> float:
    """Effective number of draws with these logarithms of weights."""
    weight = np.exp(likely - likely.max())
    return float(weight.sum() ** 2 / np.square(weight).sum())


def _next_bit(likely: Floats, most: float) -> float:
    """The largest bit of the readings that leaves enough draws counting."""
    if _effective(likely * most) >= KEPT * len(likely):
        return most
    low, high = 0.0, most
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _effective(likely * middle) >= KEPT * len(likely) else (low, middle)
    return max(low, 1e-6 * most)


def _by_weight(likely: Floats, random: np.random.Generator) -> Ints:
    """Numbers of draws by weight, evenly spread (systematic)."""
    weight = np.exp(likely - likely.max())
    edges = np.cumsum(weight / weight.sum())
    at = (random.random() + np.arange(len(likely))) / len(likely)
    return np.minimum(np.searchsorted(edges, at), len(likely) - 1).astype(np.int64)
