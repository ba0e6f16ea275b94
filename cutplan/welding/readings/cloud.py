"""Draws of what is uncertain, and readings with their errors."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Cloud:
    """Draws, all equally likely.

    Parameters
    ----------
    latent : ndarray (draws, dimensions)
        Standard normal variates [1].
    state : ndarray of int (draws,)
        Which of some equally likely states each draw is in.
    states : int
        How many states there are.
    lead : int
        Leading dimensions, which matter to all readings.
    """

    latent: Floats
    state: Ints
    states: int = 1
    lead: int = 0

    @property
    def count(self) -> int:
        """Number of draws."""
        return len(self.latent)

    def some(self, which: Ints) -> Cloud:
        """Return some of the draws."""
        return Cloud(self.latent[which], self.state[which], self.states, self.lead)

    def replaced(self, other: Cloud, where: NDArray[np.bool_]) -> Cloud:
        """Return these draws with those of another in some places."""
        latent = np.where(where[:, None], other.latent, self.latent)
        return Cloud(latent, np.where(where, other.state, self.state), self.states, self.lead)


#: What the model predicts for each reading, (draws, readings).
Predict = Callable[[Cloud], Floats]


@dataclass(frozen=True, slots=True, eq=False)
class Read:
    """Readings with their error: values (readings,) and covariance (readings, readings) in one unit squared."""

    values: Floats
    covariance: Floats
