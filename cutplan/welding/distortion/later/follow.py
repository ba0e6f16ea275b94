"""The welds after the stitches followed bead by bead: a part is joined stress-free at its bead, then the bead cools.

The brace is on until the last of them is cold; what each leaves is told with the brace let go there. Several orders of the
stitches are followed to the end together: what the beads of a part put on is the same for all of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.chain.box import settled
from cutplan.welding.distortion.later.drawn import LaterDraws
from cutplan.welding.distortion.later.rows import PartRows
from cutplan.welding.distortion.later.stiffening import stiffening
from cutplan.welding.distortion.later.world import LaterChain
from cutplan.welding.distortion.model.condensed import ANGLE, MOVES, SHRINK, TENDON

#: What an order of stitches left in one state: forces in brace and stations' movements, brace on, (draws, stitched springs)
#: [N], [N mm]; pad outputs under the pull of the stitches on sheets that nothing joins, (draws, outputs) [mm].
Stitched = tuple[Floats, Floats]


@dataclass(frozen=True, slots=True, eq=False)
class LaterWorld:
    """One state of the box with its draws: the stitched part, sleeves and ribs, and what their beads do."""

    later: LaterChain
    rows: tuple[PartRows, ...]
    draws: LaterDraws


@dataclass(frozen=True, slots=True, eq=False)
class AfterPart:
    """What stands once a part is cold, the brace still on; what it leaves with the brace let go is worked out when asked.

    Parameters
    ----------
    worlds : sequence of LaterWorld
        The states.
    turn : ndarray of int
        Springs joined by then, in turn.
    force : ndarray (orders, states, draws, springs)
        Their forces.
    limit : ndarray (states, draws, springs)
        What they bear.
    freed : ndarray (states, springs past the brace, the same)
        Their stiffness with the brace let go.
    laid : ndarray (orders, states, draws, outputs)
        Pad outputs under the pull of stitches and parts alone [mm].
    """

    worlds: Sequence[LaterWorld]
    turn: Ints
    force: Floats
    limit: Floats
    freed: Floats
    laid: Floats

    def held(self) -> Floats:
        """Return the pad outputs of all orders with the brace on, (orders, draws of all states, outputs) [mm]."""
        pads = [w.later.to_outputs[:, self.turn].T for w in self.worlds]
        return np.concatenate([self.laid[:, s] + self.force[:, s] @ pad for s, pad in enumerate(pads)], axis=1)

    def outputs(self, first: int = 0, last: int | None = None) -> Floats:
        """Return the pad outputs of some orders with the brace off, (orders, draws of all states, outputs) [mm].

        Parameters
        ----------
        first, last : int
            Number of the first order, and the number past the last; None: to the end.
        """
        left = _let_go(self.worlds, self.force[first:last], self.limit, self.turn, self.freed)
        laid = self.laid[first:last]
        pads = [w.later.to_outputs[:, self.turn].T for w in self.worlds]
        return np.concatenate([laid[:, s] + left[:, s] @ pad for s, pad in enumerate(pads)], axis=1)


def follow_later(
    worlds: Sequence[LaterWorld], order: Sequence[int], stitched: Sequence[Sequence[Stitched]]
) -> list[AfterPart]:
    """Return what stands after each part.

    Parameters
    ----------
    worlds : sequence of LaterWorld
        States of the box with the same parts, and as many draws each.
    order : sequence of int
        Numbers of the parts in turn.
    stitched : sequence of sequence of (ndarray (draws, stitched springs), ndarray (draws, outputs))
        Of each order of the stitches what it left in each state: forces with the brace on [N], [N mm], and pad outputs
        under the pull of the stitches alone [mm].
    """
    later, rows = worlds[0].later, worlds[0].rows
    braced, sizes = later.chain.model.brace_count, [rows[n].count for n in order]
    turn = _turn(worlds[0], order)
    held, freed = (
        stiffening([w.later.springs for w in worlds], [w.later.begun[i] for w in worlds], turn, start)
        for i, start in enumerate((0, braced))
    )
    limit = np.array([_limits(w)[:, turn] for w in worlds])
    loads = np.array([w.later.loads[turn] for w in worlds])
    force = np.zeros((len(stitched), *limit.shape))
    force[..., : later.stitched] = [[forces for forces, _ in one] for one in stitched]
    without = np.array([[outputs for _, outputs in one] for one in stitched])
    put_on = np.zeros((*limit.shape[:2], loads.shape[2]))
    found: list[AfterPart] = []
    at = later.stitched
    for number, size in zip(order, sizes, strict=True):
        wants = np.array([w.draws.wishes[number] for w in worlds])
        for bead in range(len(rows[number].part.beads)):
            shift, amount = _wanted(worlds[0], number, bead, wants, at, limit.shape)
            end = at + min(MOVES * (bead + 1), size) if rows[number].part.kind == "sleeve" else at + size
            put_on += amount
            stiff = held.upto(end)
            more = (shift[..., :end] - amount @ loads[:, :end].swapaxes(1, 2)) @ stiff
            force[..., :end] = _flowing(stiff, force[..., :end] + more, limit[..., :end])
        at += size
        put = np.array([p @ w.later.loads_out.T for p, w in zip(put_on, worlds, strict=True)])
        # the stiffness grows with the next part: this one's is kept as it is
        stiff = freed.upto(at).copy() if braced else freed.stiffness[:, :0, :0]
        found.append(AfterPart(worlds, turn[:at], force[..., :at].copy(), limit[..., :at], stiff, without + put))
    return found


def _turn(world: LaterWorld, order: Sequence[int]) -> Ints:
    """All springs in the turn in which they are joined: brace and stations, then part after part."""
    stitched = world.later.stitched
    first = np.concatenate([[0], np.cumsum([r.count for r in world.rows])]) + stitched
    return np.concatenate([np.arange(stitched), *(np.arange(first[n], first[n + 1]) for n in order)])


def _wanted(
    world: LaterWorld, number: int, bead: int, wants: Floats, at: int, shape: tuple[int, ...]
) -> tuple[Floats, Floats]:
    """What a bead wants of the springs (states, draws, springs), those of its part from a place on, and its loads."""
    rows = world.rows
    shift, amount = np.zeros(shape), np.zeros((*shape[:2], world.later.loads.shape[1]))
    if rows[number].part.kind == "sleeve":
        new = at + MOVES * bead
        shift[:, :, new] = wants[:, :, SHRINK, bead]
        shift[:, :, new + MOVES - 1] = -wants[:, :, ANGLE, bead]
    else:
        first = sum(r.loads[0].shape[0] for r in rows[:number])
        # two fillets on one line pull as one (as of several runs): the pull is put on with the first
        kinds = wants[:, :, [SHRINK, TENDON, ANGLE], bead]
        amount[:, :, first : first + 3] = kinds * (1.0, 1.0 if bead == 0 else 0.0, -1.0)
    return shift, amount


def _limits(world: LaterWorld) -> Floats:
    """What each spring bears, (draws, springs); the brace bears all."""
    joint = world.draws.joint_N
    held = np.full((len(joint), world.later.chain.model.brace_count), np.inf)
    return np.hstack([held, joint, *world.draws.part_N])


def _let_go(worlds: Sequence[LaterWorld], force: Floats, limit: Floats, turn: Ints, freed: Floats) -> Floats:
    """Forces once the brace has let go, and what flows then; springs in the turn in which they are joined."""
    braced = worlds[0].later.chain.model.brace_count
    if not braced:
        return force
    between = np.array([w.later.springs[:braced, turn[braced:]] for w in worlds])
    left = np.zeros_like(force)
    sprung = (force[..., :braced] @ between) @ freed
    left[..., braced:] = _flowing(freed, force[..., braced:] + sprung, limit[..., braced:])
    return left


def _flowing(stiffness: Floats, trial: Floats, limit: Floats) -> Floats:
    """Forces after flow (orders, states, draws, springs); stiffness (states, springs, springs), limits (states, draws, springs)."""
    # one order after the other: of several together the arrays outgrow a processor's near memory
    return np.array([settled(stiffness, one, limit)[0] for one in trial])
