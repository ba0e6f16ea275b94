"""Forces held within limits: the closest point of a box in the energy of a compliance, many cases at once."""

from __future__ import annotations

import numpy as np

from cutplan.fem.mesh import Floats

#: Excess over a limit that is let pass, as a share of it [1].
SLACK = 1e-3
#: Rounds after which the last answer stands.
ROUNDS = 25


def flow(stiffness: Floats, trial: Floats, limit: Floats) -> Floats:
    r"""Return how far each spring flows so that no force exceeds its limit [1]_.

    .. math:: f = f_t - K p, \qquad |f_i| \le F_i, \qquad p_i \ne 0 \Rightarrow f_i = F_i\,\mathrm{sign}(p_i)

    Parameters
    ----------
    stiffness : ndarray (n, n)
        Force on each spring per unit of flow of each, positive definite K.
    trial : ndarray (cases, n)
        Forces if nothing flowed f_t.
    limit : ndarray (cases, n)
        Largest force of each F.

    Returns
    -------
    ndarray (cases, n)
        Flow p of each spring; the step of a perfectly plastic law taken backward in time.

    References
    ----------
    .. [1] Closest-point projection, J. C. Simo and T. J. R. Hughes, Computational Inelasticity (1998), chapter 3 (from
       memory); solved with a primal-dual active set.
    """
    active = np.abs(trial) > limit
    sign = np.where(active, np.sign(trial), 0.0)
    flowed = np.zeros_like(trial)
    for turn in range(ROUNDS):
        flowed = _held_at(stiffness, trial, limit, active, sign)
        force = trial - flowed @ stiffness
        wrong = active & (flowed * sign < 0.0)
        over = ~active & (np.abs(force) > limit * (1.0 + SLACK))
        if not wrong.any() and not over.any():
            break
        if turn > ROUNDS // 2:
            # rare cases go round in circles: let one spring change at a time
            wrong, over = _worst(wrong, over, flowed, force, limit)
        sign = np.where(over, np.sign(force), np.where(active & ~wrong, sign, 0.0))
        active = (active & ~wrong) | over
    return flowed


def _held_at(stiffness: Floats, trial: Floats, limit: Floats, active: np.ndarray, sign: Floats) -> Floats:
    """Flow of the active springs that puts each at its limit, case after case."""
    flowed = np.zeros_like(trial)
    excess = trial - sign * limit
    if len(trial) == 1:
        at = np.flatnonzero(active[0])
        flowed[0, at] = np.linalg.solve(stiffness[np.ix_(at, at)], excess[0, at])
        return flowed
    some = np.flatnonzero(active.any(axis=0))
    mine = active[:, some]
    part = stiffness[np.ix_(some, some)] * (mine[:, :, None] & mine[:, None, :])
    at = np.arange(len(some))
    part[:, at, at] = stiffness[some, some]
    right = np.where(mine, excess[:, some], 0.0)
    flowed[:, some] = np.linalg.solve(part, right[:, :, None])[:, :, 0]
    return flowed


def _worst(
    wrong: np.ndarray, over: np.ndarray, flowed: Floats, force: Floats, limit: Floats
) -> tuple[np.ndarray, np.ndarray]:
    """Of each case's changes only the largest."""
    size = np.where(over, np.abs(force) / limit - 1.0, 0.0) + np.where(wrong, 1e-6 + np.abs(flowed), 0.0)
    first = size.argmax(axis=1)[:, None] == np.arange(size.shape[1])
    return wrong & first, over & first
