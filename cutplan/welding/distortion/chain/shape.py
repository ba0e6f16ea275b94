"""Heights of plate and skin after each bead of an order, from the forces that it leaves."""

from __future__ import annotations

import numpy as np

from cutplan.fem.mesh import Floats, Ints
from cutplan.fem.solve import factored
from cutplan.welding.distortion.chain.elastic import Chain, brace_release
from cutplan.welding.distortion.chain.yielding import Run, Yielded, follow_yielding
from cutplan.welding.distortion.draws import Draws
from cutplan.welding.distortion.model.condensed import TENDON
from cutplan.welding.distortion.result import Shape
from cutplan.welding.distortion.search.orders import Order


def shape_after_beads(chain: Chain, order: Order, middle: Draws) -> Shape:
    """Return the displaced shape after each bead of an order, and with the brace off.

    Parameters
    ----------
    chain : Chain
        The condensed model.
    order : Order
        Beads and directions.
    middle : Draws
        One draw: the middle of all bands.
    """
    model = chain.model
    sequence = order.sequence(model.stations)
    left = follow_yielding(Run(chain, sequence, middle), keep=True)
    ends = np.cumsum([len(model.stations.of(int(b), False)) for b in order.beads])
    labels = ["start", *(model.beads[int(b)].name for b in order.beads)]
    forces = _row_forces(chain, sequence, left, middle, ends)
    forces = np.vstack([forces, model.sheets.edge @ forces])
    if model.brace_count:
        labels.append("brace off" if model.task.brace else "magnets off")
    heights = [
        factored(body.bending)(rows.T @ forces)[0::3]
        for body, rows in zip(model.sheets.bodies, model.sheets.rows[1::2], strict=True)
    ]
    plate, skin = (b.mesh for b in model.sheets.bodies)
    return Shape(
        np.vstack([plate.points, skin.points]),
        np.vstack([plate.triangles, skin.triangles + len(plate.points)]),
        np.repeat([True, False], [len(plate.points), len(skin.points)]),
        np.vstack(heights).T,
        tuple(labels),
    )


def _row_forces(chain: Chain, sequence: Ints, left: Yielded, middle: Draws, ends: Ints) -> Floats:
    """Forces on all rows before the first bead, after each, and with the brace off (columns) [N], [N mm]."""
    model = chain.model
    place = chain.places(sequence)
    pull = middle.wishes[0, TENDON]
    columns = len(ends) + 1 + (1 if model.brace_count else 0)
    forces = np.zeros((len(model.compliance), columns))
    for column, end in enumerate(ends, start=1):
        force = left.history[end - 1][0]
        forces[place[: len(force)], column] = force
        forces[model.tendons.start + sequence[:end], column] = -pull[sequence[:end]]
    if model.brace_count:
        forces[:, -1] = forces[:, -2]
        held = forces[: model.brace_count, -2].copy()
        forces[:, -1] += brace_release(model, chain.joint, -held)
    return forces
