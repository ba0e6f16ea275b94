"""Batches of orders followed to their outputs and gaps: the inner loop of the search.

The chain of `chain` answers linearly to every bead, so one triangular factor per order serves every mix of shrinkage,
pull and folding. A problem may be the whole joint, or the few stations of a window inside an order (see `window`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg.lapack import dtrtrs

from cutplan.fem.mesh import Floats, Ints
from cutplan.fem.solve import lower_factor
from cutplan.welding.distortion.chain.elastic import joined_mask
from cutplan.welding.distortion.model.condensed import ANGLE, MIDDLE, MOVES, SHRINK, TENDON

#: Movements that a bead wants: kind, movement, sign (closing by its shrinkage, folding by its angle).
WANTED = ((SHRINK, 0, 1.0), (ANGLE, 3, -1.0))


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """Stations that are joined in an order to be found.

    Parameters
    ----------
    springs : ndarray (rows, rows)
        Compliance of brace stretches, then of four movements of each station, their give included.
    braced : int
        Number of brace stretches; they are joined before all stations.
    tendon : ndarray (rows, stations)
        Movement under one newton in each station's tendon, nothing joined.
    to_outputs : ndarray (outputs, rows)
        Compliance from rows to outputs.
    wishes : ndarray (rows, 2 melts)
        For each melted tack, what one millimetre of shrinkage, and one radian, of the melting stitch add to its wish.
    melter : ndarray (melts,)
        Station that melts each of them.
    levels : ndarray (3 kinds, 3 levels, stations)
        Values of the beads.
    """

    springs: Floats
    braced: int
    tendon: Floats
    to_outputs: Floats
    wishes: Floats
    melter: Ints
    levels: Floats

    def places(self, sequences: Ints) -> Ints:
        """Rows in the order of welding, (orders, rows)."""
        own = self.braced + MOVES * sequences[:, :, None] + np.arange(MOVES)
        front = np.broadcast_to(np.arange(self.braced), (len(sequences), self.braced))
        return np.concatenate([front, own.reshape(len(sequences), -1)], axis=1)


@dataclass(frozen=True, slots=True, eq=False)
class Factor:
    """One factor per order, first axis the order; rows in the order of welding.

    ``pulled`` (steps, rows), ``wished`` (2 melts, rows) and ``to_outputs`` (outputs, rows) are the loads and outputs
    divided by ``lower``; ``when`` is the step at which each tack is melted, -2 for never.
    """

    sequences: Ints
    places: Ints
    lower: Floats
    pulled: Floats
    to_outputs: Floats
    wished: Floats
    when: Ints


@dataclass(frozen=True, slots=True, eq=False)
class Followed:
    """Outputs by kind and level (orders, 3, 3, outputs); closing just before each step (orders, steps) [mm]."""

    outputs: Floats
    closing: Floats


def factor(problem: Problem, sequences: Ints) -> Factor:
    """Return the triangular factors of a batch of station sequences (orders, stations)."""
    count, steps = sequences.shape
    places = problem.places(sequences)
    lower = np.empty((count, places.shape[1], places.shape[1]))
    outputs = len(problem.to_outputs)
    right = np.empty((count, steps + outputs + problem.wishes.shape[1], places.shape[1]))
    columns = np.vstack([problem.tendon.T, problem.to_outputs, problem.wishes.T])
    others = np.arange(problem.tendon.shape[1], len(columns))
    for i, (place, sequence) in enumerate(zip(places, sequences, strict=True)):
        lower[i] = lower_factor(problem.springs[np.ix_(place, place)])
        right[i] = columns[np.concatenate([sequence, others])][:, place]
        right[i] = dtrtrs(lower[i].T, right[i].T, lower=0, trans=1, overwrite_b=1)[0].T
    pulled, to_outputs, wished = np.split(right, [steps, steps + outputs], axis=1)
    step = np.full((count, problem.tendon.shape[1]), -2)
    np.put_along_axis(step, sequences, np.broadcast_to(np.arange(steps), (count, steps)), axis=1)
    return Factor(sequences, places, lower, pulled, to_outputs, wished, step[:, problem.melter])


def follow(problem: Problem, made: Factor) -> Followed:
    """Return outputs and closings of factored sequences; loads act on what is joined when they come.

    Parameters
    ----------
    problem : Problem
        The stations.
    made : Factor
        Factors of a batch of sequences.
    """
    count, steps = made.sequences.shape
    reach = np.concatenate([np.full(problem.braced, -1), np.repeat(np.arange(steps), MOVES)])
    pulled = made.pulled * joined_mask(problem.braced, steps)
    wished = made.wished * (reach <= np.repeat(made.when, 2, axis=1)[:, :, None])
    answers = _answers(problem, made, pulled, wished)
    outputs = -np.matmul(answers.reshape(count, 9, -1), made.to_outputs.transpose(0, 2, 1))
    return Followed(outputs.reshape(count, 3, 3, -1), _closing(problem, made, pulled, wished, answers))


def _answers(problem: Problem, made: Factor, pulled: Floats, wished: Floats) -> Floats:
    """y of each kind and level, (orders, kinds, levels, rows)."""
    count, steps = made.sequences.shape
    result = np.zeros((count, 3, 3, pulled.shape[2]))
    result[:, TENDON] = np.matmul(problem.levels[TENDON][:, made.sequences].transpose(1, 0, 2), pulled)
    at = problem.braced + MOVES * np.arange(steps)[:, None] + np.arange(MOVES)
    own = made.lower[:, at[:, :, None], at[:, None, :]]
    for k, (kind, move, sign) in enumerate(WANTED):
        laid = np.zeros((count, steps, MOVES))
        for i in range(move, MOVES):
            done = np.einsum("nsk,nsk->ns", own[:, :, i, move:i], laid[:, :, move:i])
            laid[:, :, i] = ((sign if i == move else 0.0) - done) / own[:, :, i, i]
        value = problem.levels[kind][:, made.sequences].transpose(1, 0, 2)
        result[:, kind, :, problem.braced :] = -(value[..., None] * laid[:, None]).reshape(count, 3, -1)
        if len(problem.melter):
            melts = problem.levels[kind][:, problem.melter]
            result[:, kind] += np.matmul(melts, wished[:, k::2])
    return result


def _closing(problem: Problem, made: Factor, pulled: Floats, wished: Floats, answers: Floats) -> Floats:
    """Closing at each station just before it is laid, all kinds at the middle [mm]."""
    steps = made.sequences.shape[1]
    rows = made.lower[:, problem.braced :: MOVES]
    middle = problem.levels[:, MIDDLE]
    force = middle[TENDON][made.sequences]
    loads = pulled * force[:, :, None]
    free = problem.tendon[made.places[:, problem.braced :: MOVES][:, :, None], made.sequences[:, None, :]]
    moved = free * force[:, None, :] - np.matmul(rows, loads.transpose(0, 2, 1))
    result = (moved * np.tril(np.ones((steps, steps)), -1)).sum(axis=2)
    own = answers[:, :, MIDDLE].sum(axis=1) - loads.sum(axis=1)
    if len(problem.melter):
        value = middle[[SHRINK, ANGLE]][:, problem.melter].T.ravel()
        wishes = wished * value[:, None]
        own = own - wishes.sum(axis=1)
        shown = problem.wishes[made.places[:, problem.braced :: MOVES]] * value
        shown = shown - np.matmul(rows, wishes.transpose(0, 2, 1))
        result += (shown * (np.repeat(made.when, 2, axis=1)[:, None, :] < np.arange(steps)[None, :, None])).sum(axis=2)
    strict = np.arange(rows.shape[2])[None, :] < (problem.braced + MOVES * np.arange(steps))[:, None]
    return np.asarray(result - np.matmul(rows * strict, own[:, :, None])[:, :, 0])
