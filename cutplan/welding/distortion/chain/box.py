"""Forces held within limits: the closest point of a box in the energy of a compliance, many cases at once."""

from __future__ import annotations

from math import sqrt

import numpy as np

from cutplan.fem.mesh import Floats, Ints

#: Excess over a limit that is let pass, as a share of it [1].
SLACK = 1e-3
#: Springs loaded to this share of their limit may flow together with those beyond it [1].
NEAR = 0.85
#: Rounds after which the last answer stands.
ROUNDS = 25
#: Steps of the first guess [1]: one costs about a thirtieth of a round.
GUESSES = 24
#: Length of its steps over the longest that is sure not to go too far [1]; with momentum, up to 4/3 is stable.
STRIDE = 1.25
#: Stiffness that stands for a spring that does not flow: its flow drowns in rounding [N/mm], [N mm].
RIGID = 1e30

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
    return np.asarray(settled(stiffness[None], trial[None], limit[None])[1][0])


def settled(stiffness: Floats, trial: Floats, limit: Floats) -> tuple[Floats, Floats]:
    """Return forces within their limits and how far each spring flows, in cases of several groups; see :func:`flow`.

    Parameters
    ----------
    stiffness : ndarray (groups, m, m)
        Of each group's springs, positive definite; those past the first n are not looked at.
    trial, limit : ndarray (groups, cases, n)
        Forces if nothing flowed, and the largest force of each.
    """
    cases, size = trial.shape[1:]
    use = np.abs(trial)
    use /= limit
    top = use.max(axis=1)
    hot = np.flatnonzero(top.max(axis=1) > 1.0 + SLACK)
    if not len(hot):
        return trial, np.zeros_like(trial)
    whole = len(hot) == len(trial)
    some = _nearly(top[hot] > NEAR)
    start, bound = (trial, limit) if whole else (trial[hot], limit[hot])
    rows = stiffness[hot[:, None], some, :size]
    # flat numbers: of those that may flow in each case, and of their stiffness in the rows
    at = (np.arange(len(hot) * cases) * size).reshape(len(hot), cases, 1) + some[:, None, :]
    mine, most = start.take(at), np.take_along_axis(bound, some[:, None, :], axis=2)
    count = some.shape[1]
    part = rows.take((np.arange(len(hot) * count) * size).reshape(len(hot), count, 1) + some[:, None, :])
    left = np.flatnonzero((mine > most).any(axis=2) | (mine < -most).any(axis=2))
    sign = np.sign(_guess(part, mine, most).reshape(-1, count)[left])
    ends = mine.reshape(-1, count)[left], most.reshape(-1, count)[left]
    moved, mild = np.zeros((len(hot) * cases, count)), np.zeros(sign.shape)
    places, flows = _held(part, left // cases, *ends, sign)
    mild.reshape(-1)[places] = flows
    moved[left] = mild
    force = start - moved.reshape(mine.shape) @ rows
    flowed = np.zeros(start.shape)
    flowed.reshape(-1)[at] = moved.reshape(mine.shape)
    wrong = np.zeros(len(moved), dtype=bool)
    wrong[left] = (mild * sign < 0.0).any(axis=1)
    more = np.flatnonzero(wrong | (np.abs(force) > bound * (1.0 + SLACK)).any(axis=2).ravel())
    if len(more):
        way = np.zeros((len(more), size))
        np.put_along_axis(way, some[more // cases], sign[np.searchsorted(left, more)], axis=1)
        flat = [a.reshape(-1, size) for a in (start, bound, flowed, force)]
        flat[2][more], flat[3][more] = _corrected(
            stiffness, hot[more // cases], (flat[0][more], flat[1][more]), (flat[2][more], flat[3][more]), way
        )
    if whole:
        return force, flowed
    result, every = trial.copy(), np.zeros_like(trial)
    result[hot], every[hot] = force, flowed
    return result, every


def _nearly(near: Flags) -> Ints:
    """Numbers of the springs that may flow, as many in each group as the fullest has: others are filled with some that will not."""
    return np.argsort(~near, axis=1, kind="stable")[:, : int(near.sum(axis=1).max())]


def _guess(stiffness: Floats, trial: Floats, limit: Floats) -> Floats:
    """Steps towards the answer, spring by spring, with momentum: which flow, and which way, is nearly right.

    Each gives way about as much as all its neighbours together could ask of it, so that no step goes too far (proximal
    gradient of A. Beck and M. Teboulle, 2009, from memory). Half the digits do: the answer comes from where it ends, and
    is the same wherever that is.
    """
    steps = stiffness.astype(np.float32)
    give = np.float32(STRIDE) / np.abs(steps).sum(axis=2)[:, None, :]
    steps *= -give
    steps.reshape(len(steps), -1)[:, :: steps.shape[1] + 1] += np.float32(1.0)
    wanted, room = (give * trial).astype(np.float32), (give * limit).astype(np.float32)
    least = -room
    moved = wanted.copy()
    before, ahead, kept = np.zeros_like(moved), np.empty_like(moved), np.empty_like(moved)
    pace = 1.0
    for turn in range(GUESSES):
        if turn:
            np.matmul(ahead, steps, out=moved)
            moved += wanted
        np.maximum(moved, least, out=kept)
        np.minimum(kept, room, out=kept)
        moved -= kept
        faster = 0.5 * (1.0 + sqrt(1.0 + 4.0 * pace * pace))
        np.subtract(moved, before, out=ahead)
        ahead *= np.float32((pace - 1.0) / faster)
        ahead += moved
        before, moved, pace = moved, before, faster
    return np.asarray(before)


def _held(stiffness: Floats, group: Ints, trial: Floats, limit: Floats, sign: Floats) -> tuple[Ints, Floats]:
    """Springs with a sign and the flow that puts each at its limit, (cases, most of a case) both, each case in its group.

    Where others have more of them the places are filled with springs that do not flow.
    """
    idle, width, size = sign == 0.0, stiffness.shape[1], trial.shape[1]
    at = np.argsort(idle, axis=1, kind="stable")[:, : size - int(idle.sum(axis=1).min())]
    flat = at + (np.arange(len(at)) * size)[:, None]
    part = stiffness.reshape(-1).take((at * width + (group * (width * width))[:, None])[:, :, None] + at[:, None, :])
    way, bound = sign.take(flat), limit.take(flat)
    rest = way == 0.0
    bound[rest] = 0.0
    excess = trial.take(flat)
    excess -= way * bound
    excess[rest] = 0.0
    part.reshape(len(at), -1)[:, :: at.shape[1] + 1][rest] = RIGID
    moved = np.linalg.solve(part, excess[:, :, None])[:, :, 0]
    moved[rest] = 0.0
    return flat, moved


def _corrected(
    stiffness: Floats, group: Ints, ends: tuple[Floats, Floats], got: tuple[Floats, Floats], sign: Floats
) -> tuple[Floats, Floats]:
    """Flow and force of cases in which springs flow that should not, or others should: round after round until none is left.

    ``ends`` are forces if nothing flowed and limits, ``got`` flow and force so far, with the signs that they come from.
    """
    flowed, force = got
    left, size = np.arange(len(sign)), sign.shape[1]
    trial, limit = ends
    moved, now = got
    for turn in range(ROUNDS):
        wrong = moved * sign < 0.0
        over = (np.abs(now) > limit * (1.0 + SLACK)) & (sign == 0.0)
        more = np.flatnonzero((wrong | over).any(axis=1))
        if not len(more):
            break
        if turn > ROUNDS // 2:
            # rare cases go round in circles: let one spring change at a time
            wrong, over = _worst(wrong, over, moved, now, limit)
        sign = np.where(over, np.sign(now), np.where(wrong, 0.0, sign))[more]
        left, trial, limit = left[more], trial[more], limit[more]
        at, some = _held(stiffness, group[left], trial, limit, sign)
        moved = np.zeros(trial.shape)
        moved.reshape(-1)[at] = some
        rows = stiffness[group[left][:, None], at - (np.arange(len(at)) * size)[:, None], :size]
        now = trial - (some[:, None, :] @ rows)[:, 0]
        flowed[left], force[left] = moved, now
    return flowed, force


def _worst(wrong: Flags, over: Flags, flowed: Floats, force: Floats, limit: Floats) -> tuple[Flags, Flags]:
    """Of each case's changes only the largest."""
    size = np.where(over, np.abs(force) / limit - 1.0, 0.0) + np.where(wrong, 1e-6 + np.abs(flowed), 0.0)
    first = size.argmax(axis=1)[:, None] == np.arange(size.shape[1])
    return wrong & first, over & first
