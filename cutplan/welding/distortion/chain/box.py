"""Forces held within limits: the closest point of a box in the energy of a compliance, many cases at once."""

from __future__ import annotations

from math import sqrt

import numpy as np

from cutplan.fem.mesh import Floats, Ints

#: Excess over a limit that is let pass, as a share of it [1].
SLACK = 1e-3
#: Rounds after which the last answer stands.
ROUNDS = 25
#: Steps of the first guess [1]: one costs about a thirtieth of a round.
GUESSES = 24
#: What a number of a whole stiffness costs to be multiplied with, over one of rows that are fetched for each case [1].
FETCHED = 0.05

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
    guess = _guess(stiffness, trial, limit).reshape(-1, size)
    trial, limit = trial.reshape(-1, size), limit.reshape(-1, size)
    flowed = np.zeros_like(trial)
    left = np.flatnonzero((np.abs(trial) > limit).any(axis=1))
    mine, bound, sign = trial[left], limit[left], np.sign(guess[left])
    for turn in range(ROUNDS if len(left) else 0):
        moved, force = _held_at(stiffness, left, cases, mine, bound, sign)
        flowed[left] = moved
        wrong = moved * sign < 0.0
        over = (np.abs(force) > bound * (1.0 + SLACK)) & (sign == 0.0)
        more = np.flatnonzero((wrong | over).any(axis=1))
        if not len(more):
            break
        if turn > ROUNDS // 2:
            # rare cases go round in circles: let one spring change at a time
            wrong, over = _worst(wrong, over, moved, force, bound)
        sign = np.where(over, np.sign(force), np.where(wrong, 0.0, sign))[more]
        left, mine, bound = left[more], mine[more], bound[more]
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


def _held_at(
    stiffness: Floats, which: Ints, cases: int, trial: Floats, limit: Floats, sign: Floats
) -> tuple[Floats, Floats]:
    """Flow of the springs with a sign that puts each at its limit, and the force that is left, case after case.

    ``which`` numbers the cases, so many to a group.
    """
    groups, size = len(stiffness), trial.shape[1]
    group, active = which // cases, sign != 0.0
    case, spring = np.nonzero(active)
    counts = active.sum(axis=1)
    # as many places in each case as the fullest needs, those that flow first
    count = int(counts.max())
    place = np.arange(len(case)) - np.repeat(np.cumsum(counts) - counts, counts)
    at = np.zeros((len(trial), count), dtype=np.intp)
    at[case, place] = spring
    start = group * (size * size)
    part = stiffness.reshape(-1).take((start[:, None] + at * size)[:, :, None] + at[:, None, :])
    idle_case, idle = np.nonzero(np.arange(count) >= counts[:, None])
    part[idle_case, idle] = 0.0
    part[idle_case, :, idle] = 0.0
    part[idle_case, idle, idle] = 1.0
    excess = np.zeros((len(trial), count))
    excess[case, place] = trial[case, spring] - sign[case, spring] * limit[case, spring]
    moved = np.linalg.solve(part, excess[:, :, None])[:, :, 0]
    flowed = np.zeros_like(trial)
    flowed[case, spring] = moved[case, place]
    if FETCHED * groups * cases * size < len(trial) * count:
        whole = np.zeros((groups * cases, size))
        whole[which] = flowed
        return flowed, trial - (whole.reshape(groups, cases, size) @ stiffness).reshape(-1, size)[which]
    return flowed, trial - (moved[:, None, :] @ stiffness[group[:, None], at])[:, 0]


def _worst(wrong: Flags, over: Flags, flowed: Floats, force: Floats, limit: Floats) -> tuple[Flags, Flags]:
    """Of each case's changes only the largest."""
    size = np.where(over, np.abs(force) / limit - 1.0, 0.0) + np.where(wrong, 1e-6 + np.abs(flowed), 0.0)
    first = size.argmax(axis=1)[:, None] == np.arange(size.shape[1])
    return wrong & first, over & first
