"""The welded part in one state of the box, with sleeves and ribs beside it: what their welds move is worked out once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from cutplan.fem.mesh import Floats
from cutplan.fem.solve import factored
from cutplan.welding.distortion.chain.elastic import Chain
from cutplan.welding.distortion.later.rows import PartRows
from cutplan.welding.distortion.later.stiffening import Begun, begun
from cutplan.welding.distortion.model.bodies import Body


@dataclass(frozen=True, slots=True, eq=False)
class Moved:
    """How the plate alone moves under one unit on each row of each part, springs first, then loads.

    ``membrane`` and ``bending`` (freedoms, rows); ``between`` (rows, rows) the rows' own compliance; ``springs`` how many
    rows are springs.
    """

    membrane: Floats
    bending: Floats
    between: Floats
    springs: int


@dataclass(frozen=True, slots=True, eq=False)
class Alone:
    """The plate alone, factored, and how it moves under rows that were put on it before.

    ``membrane`` and ``bending`` solve with its stiffness; ``known`` holds what each part moved, by its rows.
    """

    membrane: Callable[[Floats], Floats]
    bending: Callable[[Floats], Floats]
    known: dict[bytes, tuple[Floats, Floats]] = field(default_factory=dict)

    def under(self, inside: Floats, out: Floats) -> tuple[Floats, Floats]:
        """Return how the plate moves in its plane and out of it, (freedoms, rows) each.

        Parameters
        ----------
        inside, out : ndarray (rows, freedoms)
            Loads in the plane and out of it.
        """
        key = inside.tobytes() + out.tobytes()
        if key not in self.known:
            self.known[key] = self.membrane(inside.T), self.bending(out.T)
        return self.known[key]


def alone(plate: Body) -> Alone:
    """Return the plate alone, factored once for all that is put on it."""
    return Alone(factored(plate.membrane), factored(plate.bending))


def moved_by(plate: Alone, rows: Sequence[PartRows]) -> Moved:
    """Return how the plate alone moves under each row; it is the same in every state of the box.

    Parameters
    ----------
    plate : Alone
        The plate.
    rows : sequence of PartRows
        Sleeves and ribs.
    """
    parts = [*(r.springs for r in rows), *(r.loads for r in rows)]
    loads = [(inside.toarray(), out.toarray()) for inside, out in parts]
    moved = [plate.under(inside, out) for inside, out in loads]
    inside, out = (np.vstack([one[k] for one in loads]) for k in (0, 1))
    membrane, bending = (np.hstack([one[k] for one in moved]) for k in (0, 1))
    between = inside @ membrane + out @ bending
    springs, at = sum(r.count for r in rows), 0
    for one in rows:
        between[at : at + one.count, at : at + one.count] += one.own
        at += one.count
    return Moved(membrane, bending, 0.5 * (between + between.T), springs)


@dataclass(frozen=True, slots=True, eq=False)
class LaterChain:
    """The stitched part, its brace still on, ready for the welds after the stitches.

    Parameters
    ----------
    chain : Chain
        The stitched part.
    springs : ndarray (springs, springs)
        Compliance of brace and stations' movements, then of the springs of sleeves and ribs, their give included.
    to_outputs : ndarray (outputs, springs)
        Compliance from these springs to the pads.
    loads : ndarray (springs, loads)
        Movement of the springs, nothing joined, under a unit of each load.
    loads_out : ndarray (outputs, loads)
        Movement of the pads under it.
    begun : (Begun, Begun)
        The stitched part with the brace on, and with it let go.
    """

    chain: Chain
    springs: Floats
    to_outputs: Floats
    loads: Floats
    loads_out: Floats
    begun: tuple[Begun, Begun]

    @property
    def stitched(self) -> int:
        """Number of springs of the stitched part: brace, then stations' movements."""
        return self.chain.model.spring_count


def later_chain(chain: Chain, moved: Moved) -> LaterChain:
    """Return the stitched part ready for the welds after the stitches.

    Parameters
    ----------
    chain : Chain
        The condensed model with its stitches.
    moved : Moved
        The plate under each row.
    """
    model = chain.model
    flat, bent = model.sheets.rows[:2]
    springs, outputs, own = model.spring_count, model.outputs, moved.springs
    stitched = (flat @ moved.membrane + bent @ moved.bending)[: outputs.stop]
    beside = stitched[:springs, :own]
    both = np.block([[chain.springs, beside], [beside.T, moved.between[:own, :own]]])
    to_outputs = np.hstack([chain.to_outputs, stitched[outputs, :own]])
    loads = np.vstack([stitched[:springs, own:], moved.between[:own, own:]])
    first = tuple(begun(chain.springs, start, springs) for start in (0, model.brace_count))
    return LaterChain(chain, both, to_outputs, loads, stitched[outputs, own:], (first[0], first[1]))
