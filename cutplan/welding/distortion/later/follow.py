"""The welds after the stitches followed bead by bead: a part is joined stress-free at its bead, then the bead cools.

The brace is on until the last of them is cold; what each leaves is told with the brace let go there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.chain.box import SLACK, flow_all
from cutplan.welding.distortion.later.drawn import LaterDraws
from cutplan.welding.distortion.later.rows import PartRows
from cutplan.welding.distortion.later.world import LaterChain, stiffness_of
from cutplan.welding.distortion.model.condensed import ANGLE, MOVES, SHRINK, TENDON

#: Springs loaded to this share of their limit may flow together with those beyond it [1].
NEAR = 0.85
#: Rounds in which springs that were not expected to flow are taken in.
TAKEN_IN = 5


@dataclass(frozen=True, slots=True, eq=False)
class LaterWorld:
    """One state of the box with its draws: the stitched part, sleeves and ribs, and what their beads do.

    ``kept`` holds the stiffness of what is joined, by the springs that are.
    """

    later: LaterChain
    rows: tuple[PartRows, ...]
    draws: LaterDraws
    kept: dict[bytes, Floats] = field(default_factory=dict)

    def stiffness(self, joined: Ints) -> Floats:
        """Return the stiffness of what is joined."""
        key = joined.tobytes()
        if key not in self.kept:
            self.kept[key] = stiffness_of(self.later, joined)
        return self.kept[key]


def follow_later(
    worlds: Sequence[LaterWorld], order: Sequence[int], stitched: Sequence[tuple[Floats, Floats]]
) -> list[Floats]:
    """Return the pad outputs of all draws after each part with the brace off, (draws of all states, outputs) each.

    Parameters
    ----------
    worlds : sequence of LaterWorld
        States of the box with the same parts, and as many draws each.
    order : sequence of int
        Numbers of the parts in turn.
    stitched : sequence of (ndarray (draws, stitched springs), ndarray (draws, outputs))
        For each state, forces that the stitches left in brace and stations' movements, brace on [N], [N mm], and pad
        outputs under the pull of the stitches on sheets that nothing joins [mm].
    """
    later, rows = worlds[0].later, worlds[0].rows
    first = np.concatenate([[0], np.cumsum([r.count for r in rows])]) + later.stitched
    load_at = np.concatenate([[0], np.cumsum([r.loads[0].shape[0] for r in rows])])
    limit = np.array([_limits(w) for w in worlds])
    force = np.zeros_like(limit)
    force[:, :, : later.stitched] = [forces for forces, _ in stitched]
    joined = np.arange(later.stitched)
    put_on = np.zeros((*force.shape[:2], later.loads.shape[1]))
    found = []
    for number in order:
        part = rows[number].part
        wants = np.array([w.draws.wishes[number] for w in worlds])
        for bead in range(len(part.beads)):
            new = _newly(rows[number], bead) + first[number]
            joined = np.sort(np.union1d(joined, new))
            shift = np.zeros_like(force)
            amount = np.zeros_like(put_on)
            if part.kind == "sleeve":
                shift[:, :, new[0]] = wants[:, :, SHRINK, bead]
                shift[:, :, new[-1]] = -wants[:, :, ANGLE, bead]
            else:
                at = slice(load_at[number], load_at[number] + 3)
                # two fillets on one line pull as one (as of several runs): the pull is put on with the first
                kinds = wants[:, :, [SHRINK, TENDON, ANGLE], bead]
                amount[:, :, at] = kinds * (1.0, 1.0 if bead == 0 else 0.0, -1.0)
            put_on += amount
            stiff = np.array([w.stiffness(joined) for w in worlds])
            loads = np.array([w.later.loads[joined].T for w in worlds])
            trial = force[:, :, joined] + (shift[:, :, joined] - amount @ loads) @ stiff
            force[:, :, joined] = _flowing(stiff, trial, limit[:, :, joined])
        left = _let_go(worlds, force, limit, joined)
        each = zip(worlds, stitched, left, put_on, strict=True)
        found.append(np.vstack([o + f @ w.later.to_outputs.T + a @ w.later.loads_out.T for w, (_, o), f, a in each]))
    return found


def _limits(world: LaterWorld) -> Floats:
    """What each spring bears, (draws, springs); the brace bears all."""
    joint = world.draws.joint_N
    held = np.full((len(joint), world.later.chain.model.brace_count), np.inf)
    return np.hstack([held, joint, *world.draws.part_N])


def _let_go(worlds: Sequence[LaterWorld], force: Floats, limit: Floats, joined: Ints) -> Floats:
    """Forces once the brace has let go, and what flows then."""
    braced = worlds[0].later.chain.model.brace_count
    left = force.copy()
    left[:, :, :braced] = 0.0
    if not braced:
        return left
    rest = joined[braced:]
    stiff = np.array([w.stiffness(rest) for w in worlds])
    between = np.array([w.later.springs[:braced, rest] for w in worlds])
    sprung = (force[:, :, :braced] @ between) @ stiff
    left[:, :, rest] = _flowing(stiff, force[:, :, rest] + sprung, limit[:, :, rest])
    return left


def _newly(one: PartRows, bead: int) -> Ints:
    """Springs of a part that a bead joins: a quarter of a sleeve, the whole rib with its first."""
    if one.part.kind == "sleeve":
        return np.arange(MOVES * bead, MOVES * (bead + 1))
    return np.arange(one.count) if bead == 0 else np.empty(0, dtype=np.int64)


def _flowing(stiffness: Floats, trial: Floats, limit: Floats) -> Floats:
    """Forces after flow, (states, draws, springs)."""
    use = (np.abs(trial) / limit).max(axis=(0, 1))
    some, force = np.flatnonzero(use > NEAR), trial
    if use.max() <= 1.0 + SLACK:
        return trial
    for _ in range(TAKEN_IN):
        rows = stiffness[:, some]
        flowed = flow_all(rows[:, :, some], trial[:, :, some], limit[:, :, some])
        force = trial - flowed @ rows
        over = np.flatnonzero((np.abs(force) / limit).max(axis=(0, 1)) > 1.0 + 3.0 * SLACK)
        new = np.setdiff1d(over, some)
        if not len(new):
            break
        some = np.union1d(some, new)
    return force
