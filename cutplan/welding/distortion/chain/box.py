"""Forces held within limits: the closest point of a box in the energy of a compliance, many cases at once."""

from __future__ import annotations

from itertools import pairwise
from math import sqrt

import numpy as np

from cutplan.fem.mesh import Floats, Ints

#: Excess over a limit that is let pass, as a share of it [1].
SLACK = 1e-3
#: Rounds after which the last answer stands.
ROUNDS = 25
#: Steps of the first guess [1]: one costs about a tenth of a round.
GUESSES = 12

Flags = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]


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
    return np.asarray(flow_all(stiffness[None], trial[None], limit[None])[0])


def flow_all(stiffness: Floats, trial: Floats, limit: Floats) -> Floats:
    """Return how far each spring flows in cases of several groups, each with a stiffness of its own; see :func:`flow`.

    Parameters
    ----------
    stiffness : ndarray (groups, n, n)
        Force on each spring per unit of flow of each, positive definite.
    trial, limit : ndarray (groups, cases, n)
        Forces if nothing flowed, and the largest force of each.
    """
    groups, cases, size = trial.shape
    group = np.repeat(np.arange(groups), cases)
    sign = np.sign(_guess(stiffness, trial, limit)).reshape(-1, size)
    trial, limit = trial.reshape(-1, size), limit.reshape(-1, size)
    flowed = np.zeros_like(trial)
    left = np.flatnonzero((np.abs(trial) > limit).any(axis=1))
    for turn in range(ROUNDS if len(left) else 0):
        mine, bound, signs = trial[left], limit[left], sign[left]
        moved, force = _held_at(stiffness, group[left], mine, bound, signs)
        flowed[left] = moved
        wrong = moved * signs < 0.0
        over = (np.abs(force) > bound * (1.0 + SLACK)) & (signs == 0.0)
        more = (wrong | over).any(axis=1)
        if not more.any():
            break
        if turn > ROUNDS // 2:
            # rare cases go round in circles: let one spring change at a time
            wrong, over = _worst(wrong, over, moved, force, bound)
        sign[left] = np.where(over, np.sign(force), np.where(wrong, 0.0, signs))
        left = left[more]
    return flowed.reshape(groups, cases, size)


def _guess(stiffness: Floats, trial: Floats, limit: Floats) -> Floats:
    """Steps towards the answer, spring by spring, with momentum: which flow, and which way, is nearly right.

    Each gives way as much as all its neighbours together could ask of it, so that no step goes too far (proximal
    gradient of A. Beck and M. Teboulle, 2009, from memory). Half the digits do: the answer comes from where it ends, and
    is the same wherever that is.
    """
    stiff, wanted = stiffness.astype(np.float32), trial.astype(np.float32)
    give = 1.0 / np.abs(stiff).sum(axis=2)[:, None, :]
    room = give * limit.astype(np.float32)
    least = -room
    before = ahead = np.zeros_like(wanted)
    pace = 1.0
    for _ in range(GUESSES):
        moved = wanted - ahead @ stiff
        moved *= give
        moved += ahead
        moved -= np.minimum(np.maximum(moved, least), room)
        faster = 0.5 * (1.0 + sqrt(1.0 + 4.0 * pace * pace))
        ahead = moved - before
        ahead *= (pace - 1.0) / faster
        ahead += moved
        before, pace = moved, faster
    return np.asarray(before, dtype=float)


def _held_at(stiffness: Floats, group: Ints, trial: Floats, limit: Floats, sign: Floats) -> tuple[Floats, Floats]:
    """Flow of the springs with a sign that puts each at its limit, and the force that is left, case after case."""
    active = sign != 0.0
    count = int(active.sum(axis=1).max())
    # those that flow first, as many places in each case as the fullest needs
    at = np.argsort(~active, axis=1, kind="stable")[:, :count]
    case = np.arange(len(trial))[:, None]
    idle = ~active[case, at]
    size = trial.shape[1]
    part = stiffness.take(((group[:, None] * size + at) * size)[:, :, None] + at[:, None, :])
    group_, place = np.nonzero(idle)
    part[group_, place] = 0.0
    part[group_, :, place] = 0.0
    part[group_, place, place] = 1.0
    signs = sign[case, at]
    excess = trial[case, at] - signs * np.where(idle, 0.0, limit[case, at])
    excess[idle] = 0.0
    moved = np.linalg.solve(part, excess[:, :, None])[:, :, 0]
    flowed = np.zeros_like(trial)
    flowed[case, at] = moved
    force = trial.copy()
    # cases of a group lie together: one product for each, without a copy of its stiffness for every case
    for number, (start, end) in enumerate(pairwise(np.searchsorted(group, np.arange(len(stiffness) + 1)))):
        force[start:end] -= flowed[start:end] @ stiffness[number]
    return flowed, force


def _worst(wrong: Flags, over: Flags, flowed: Floats, force: Floats, limit: Floats) -> tuple[Flags, Flags]:
    """Of each case's changes only the largest."""
    size = np.where(over, np.abs(force) / limit - 1.0, 0.0) + np.where(wrong, 1e-6 + np.abs(flowed), 0.0)
    first = size.argmax(axis=1)[:, None] == np.arange(size.shape[1])
    return wrong & first, over & first
