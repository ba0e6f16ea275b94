"""Orders of stitches followed to the end of all welds: sleeves and ribs after them, in the worlds that they were drawn for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from cutplan.fem.mesh import Floats
from cutplan.welding.distortion.chain.elastic import Chain
from cutplan.welding.distortion.chain.yielding import Run, Yielded, follow_yielding
from cutplan.welding.distortion.compare import Judged, World, ended
from cutplan.welding.distortion.draws import Draws, variates
from cutplan.welding.distortion.later.drawn import later_drawn
from cutplan.welding.distortion.later.follow import AfterPart, LaterWorld, Stitched, follow_later
from cutplan.welding.distortion.later.parts import LaterPart
from cutplan.welding.distortion.later.rows import PartRows, part_rows, resized
from cutplan.welding.distortion.later.world import Alone, Moved, alone, later_chain, moved_by
from cutplan.welding.distortion.model.bodies import Body
from cutplan.welding.distortion.model.condensed import TENDON, Model
from cutplan.welding.distortion.search.judge import Judge
from cutplan.welding.distortion.search.orders import Order


@dataclass(frozen=True, slots=True, eq=False)
class Rest:
    """Sleeves and ribs on the plate.

    Parameters
    ----------
    plate : Body
        The plate: the same in every state of the box, with every brace.
    alone : Alone
        The same, factored.
    rows : tuple of PartRows
        Those that the model can take, as they are taken.
    left_out : tuple of str
        Names of those that it cannot.
    kept : dict
        Parts on the plate and how the plate alone moves under them, by the size of what nobody measured of them.
    """

    plate: Body
    alone: Alone
    rows: tuple[PartRows, ...]
    left_out: tuple[str, ...]
    kept: dict[float, tuple[tuple[PartRows, ...], Moved]] = field(default_factory=dict)

    @property
    def parts(self) -> tuple[LaterPart, ...]:
        """What they are."""
        return tuple(r.part for r in self.rows)

    def on_plate(self, size: float) -> tuple[tuple[PartRows, ...], Moved]:
        """Return the parts on the plate and how it moves under them, what nobody measured smaller or larger than taken.

        Parameters
        ----------
        size : float
            From -1, as small as it may be, over 0, as taken, to 1, as large [1].
        """
        if all(p.ends_mm is None for p in self.parts):
            size = 0.0
        if size not in self.kept:
            rows = tuple(resized(self.plate, r, r.part.sized(size)) for r in self.rows)
            self.kept[size] = rows, moved_by(self.alone, rows)
        return self.kept[size]


def rest_of(model: Model, parts: Sequence[LaterPart]) -> Rest | None:
    """Return sleeves and ribs on the plate; None where there are none that can be taken.

    Parameters
    ----------
    model : Model
        The condensed model.
    parts : sequence of LaterPart
        Sleeves and ribs.
    """
    plate = model.sheets.bodies[0]
    rows, out = part_rows(plate, parts)
    if not rows:
        return None
    return Rest(plate, alone(plate), tuple(rows), out)


def later_worlds(rest: Rest, worlds: Sequence[World], seed: int) -> list[LaterWorld]:
    """Return each state with sleeves and ribs, and what their beads do on the days drawn for the stitches.

    Parameters
    ----------
    rest : Rest
        Sleeves and ribs on the plate.
    worlds : sequence of World
        States of box and joint with their draws.
    seed : int
        Seed that the draws of the first state were made with; each further one counts on.
    """
    return [_world(rest, w.chain, w.draws, seed + i) for i, w in enumerate(worlds)]


def _world(rest: Rest, chain: Chain, draws: Draws, seed: int) -> LaterWorld:
    return later_world(rest, chain, draws, variates(chain.model, draws.count, seed), seed)


def later_world(rest: Rest, chain: Chain, draws: Draws, days: Floats, seed: int) -> LaterWorld:
    """Return one state with sleeves and ribs, and what their beads do on given days.

    Parameters
    ----------
    rest : Rest
        Sleeves and ribs on the plate.
    chain : Chain
        The stitched part in that state.
    draws : Draws
        The stitches' draws.
    days : ndarray (draws, variates)
        What they were drawn from [1].
    seed : int
        Seed of the scatter from bead to bead, with a hundred added.
    """
    rows, moved = rest.on_plate(chain.model.size)
    return LaterWorld(later_chain(chain, moved), rows, later_drawn(chain.model, rows, days, draws.limits, seed + 100))


@dataclass(frozen=True, slots=True, eq=False)
class AfterEach:
    """What stands once a part is cold, in states that were followed together or, with draws of other numbers, one by one."""

    groups: tuple[AfterPart, ...]

    def outputs(self, first: int = 0, last: int | None = None) -> Floats:
        """Return the pad outputs of some orders with the brace off, (orders, draws of all states, outputs) [mm].

        Parameters
        ----------
        first, last : int
            Number of the first order, and the number past the last; None: to the end.
        """
        return np.concatenate([g.outputs(first, last) for g in self.groups], axis=1)


def followed_on(
    mine: Sequence[LaterWorld], turn: Sequence[int], worlds: Sequence[World], judged: Sequence[Judged]
) -> list[AfterEach]:
    """Return what stands after each part.

    Parameters
    ----------
    mine : sequence of LaterWorld
        States with sleeves and ribs.
    turn : sequence of int
        Numbers of the parts in turn.
    worlds : sequence of World
        The states with the stitches' draws.
    judged : sequence of Judged
        Orders of the stitches, with what each left.
    """
    stitched = []
    for one in judged:
        sequence = one.order.sequence(worlds[0].chain.model.stations)
        stitched.append([stitched_by(w.chain, w.draws, sequence, y) for w, y in zip(worlds, one.left, strict=True)])
    alike = len({w.draws.count for w in worlds}) == 1
    groups = [range(len(mine))] if alike else [range(i, i + 1) for i in range(len(mine))]
    steps = [follow_later([mine[i] for i in g], turn, [[one[i] for i in g] for one in stitched]) for g in groups]
    return [AfterEach(step) for step in zip(*steps, strict=True)]


def stitched_by(chain: Chain, draws: Draws, sequence: np.ndarray, left: Yielded) -> Stitched:
    """Return what stitches left: forces with the brace on (draws, springs), pad outputs under their pull alone (draws, outputs).

    Parameters
    ----------
    chain : Chain
        The condensed model.
    draws : Draws
        What was drawn.
    sequence : ndarray of int (stations,)
        Stations in turn.
    left : Yielded
        What they left.
    """
    own = np.empty_like(left.forces)
    own[:, chain.places(sequence)] = left.forces
    return own, draws.wishes[:, TENDON] @ chain.tendon[chain.model.spring_count :].T


def to_the_end(
    rest: Rest, turn: Sequence[int], worlds: Sequence[World], judge: Judge, judged: Sequence[Judged], seed: int
) -> list[Judged]:
    """Return orders of stitches as they end after all welds.

    Parameters
    ----------
    rest : Rest
        Sleeves and ribs on the plate.
    turn : sequence of int
        Numbers of the parts in turn.
    worlds : sequence of World
        States of box and joint with the stitches' draws.
    judge : Judge
        What is measured.
    judged : sequence of Judged
        The orders after the last stitch.
    seed : int
        Seed that the draws of the first state were made with; each further one counts on.
    """
    outputs = followed_on(later_worlds(rest, worlds, seed), turn, worlds, judged)[-1].outputs()
    return [ended(worlds[0].chain.model, judge, one, left) for one, left in zip(judged, outputs, strict=True)]


def added_by(mine: LaterWorld, turn: Sequence[int], chain: Chain, draws: Draws, order: Order) -> Floats:
    """Return what sleeves and ribs add to the pad outputs after an order of stitches, (draws, outputs) [mm].

    It is nearly the same whatever the order of the stitches was: a search that follows thousands of them adds it to each.

    Parameters
    ----------
    mine : LaterWorld
        The model that the search follows, with sleeves and ribs.
    turn : sequence of int
        Numbers of the parts in turn.
    chain : Chain
        The same model before them.
    draws : Draws
        Its draws.
    order : Order
        An order of stitches.
    """
    sequence = order.sequence(chain.model.stations)
    left = follow_yielding(Run(chain, sequence, draws))
    stitched = stitched_by(chain, draws, sequence, left)
    after = follow_later([mine], turn, [[stitched]])[-1]
    return np.asarray(after.outputs()[0] - left.outputs)
