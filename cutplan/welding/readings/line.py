"""The straight line through predictions, and moves of draws about the normal law that it gives with the readings.

The line only says where to move; what is taken is weighed by the model itself, so a crooked model costs moves, not truth.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from cutplan.welding.readings.cloud import Cloud, Floats, Read

#: How much more freely the leading dimensions may slope than the others [1], and the share of what they leave that is
#: taken for noise [1]; both only steer the moves.
FREER, NOISE = 10.0, 0.1
#: Share of moves that also try another state [1].
OTHER_STATE = 0.5


@dataclass(frozen=True, slots=True, eq=False)
class Around:
    """The normal law that moves keep: middle of each state (states, dimensions), and root of its covariance."""

    middle: Floats
    root: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """Predictions as straight lines.

    Parameters
    ----------
    start : ndarray (states, readings)
        Prediction of each state at zero.
    slope : ndarray (dimensions, readings)
        Slopes.
    rest : ndarray (readings, readings)
        Covariance of what the line leaves.
    """

    start: Floats
    slope: Floats
    rest: Floats

    def given(self, read: Read, let_in: float) -> Around:
        """Return the normal law of the draws given a share of the readings [1], as far as the line goes."""
        error = read.covariance / let_in + self.rest
        gain = np.linalg.solve(error, self.slope.T).T
        precise = np.eye(len(self.slope)) + gain @ self.slope.T
        spread = np.linalg.inv(precise)
        middle = (read.values - self.start) @ gain.T @ spread
        return Around(middle, np.asarray(np.linalg.cholesky(0.5 * (spread + spread.T))))


def fitted_line(cloud: Cloud, predicted: Floats) -> Line:
    """Return the straight line through predictions, with steps between states; few draws are held back by ridges.

    Parameters
    ----------
    cloud : Cloud
        Draws.
    predicted : ndarray (draws, readings)
        What is predicted for them.
    """
    size = cloud.latent.shape[1]
    scale = np.ones(size)
    scale[: cloud.lead] = FREER
    member = (cloud.state[:, None] == np.arange(cloud.states)).astype(float)
    often = np.maximum(member.sum(axis=0), 1.0)

    def centred(values: Floats) -> Floats:
        return np.asarray(values - member @ ((member.T @ values) / often[:, None]))

    x, y = centred(cloud.latent * scale), centred(predicted)
    ridge = NOISE * max(size - cloud.lead, 1)
    slope = np.asarray(scale[:, None] * np.linalg.solve(x.T @ x + ridge * np.eye(size), x.T @ y))
    left = predicted - cloud.latent @ slope
    start = (member.T @ left) / often[:, None]
    rest = np.cov(left - member @ start, rowvar=False).reshape(y.shape[1], y.shape[1])
    return Line(start, slope, rest)


def moved(cloud: Cloud, about: Around, size: float, random: np.random.Generator) -> tuple[Cloud, Floats]:
    """Return draws moved about a normal law, and what makes each move fair: its logarithm, shape (draws,).

    Parameters
    ----------
    cloud : Cloud
        Draws.
    about : Around
        The law that the moves leave as it is.
    size : float
        1 draws anew from the law, 0 stays [1].
    random : Generator
        Source of chance.
    """
    state = cloud.state
    if cloud.states > 1:
        other = random.integers(cloud.states, size=cloud.count)
        state = np.where(random.random(cloud.count) < OTHER_STATE, other, state)
    own = np.asarray(np.linalg.solve(about.root, (cloud.latent - about.middle[cloud.state]).T).T)
    new = sqrt(1.0 - size * size) * own + size * random.standard_normal(own.shape)
    latent = about.middle[state] + new @ about.root.T

    def squared(rows: Floats) -> Floats:
        return np.asarray(np.square(rows).sum(axis=1))

    lean = 0.5 * (squared(new) - squared(own)) - 0.5 * (squared(latent) - squared(cloud.latent))
    return Cloud(latent, state, cloud.states, cloud.lead), lean
