"""A seam of very many stitches searched in groups: neighbours welded one after the other count as one bead."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutplan.tables.band import Band
from cutplan.welding.distortion.search.orders import Order
from cutplan.welding.distortion.task import Bead, Inherent

#: Up to this many stitches the search moves each by itself; above, groups of neighbours.
SINGLE = 60
#: Groups that a longer seam is searched in.
GROUPS = 40


def grouped(
    beads: Sequence[Bead], inherent: Sequence[Inherent]
) -> tuple[list[Bead], list[Inherent], list[list[int]]] | None:
    """Return coarse beads, their shrinkages and the beads that each stands for; None where each counts by itself.

    Parameters
    ----------
    beads, inherent : sequences
        All beads of the seam.
    """
    stitches = sorted((i for i, b in enumerate(beads) if b.kind == "stitch"), key=lambda i: beads[i].start_mm)
    tacks = sorted((i for i, b in enumerate(beads) if b.kind == "tack"), key=lambda i: beads[i].start_mm)
    if len(stitches) <= SINGLE:
        return None
    groups = [g.tolist() for g in np.array_split(np.array(stitches), GROUPS)]
    groups += [g.tolist() for g in np.array_split(np.array(tacks), min(len(tacks), GROUPS // 2)) if len(g)]
    coarse, shrinks = [], []
    for number, group in enumerate(groups):
        first, last = beads[group[0]], beads[group[-1]]
        if first.kind == "stitch":
            coarse.append(Bead(f"G{number + 1}", "stitch", first.start_mm, last.end_mm, first.throat_mm))
            shrinks.append(inherent[group[0]])
        else:
            # tacks keep their own length; the middle one stands for its neighbours
            middle = beads[group[len(group) // 2]]
            coarse.append(Bead(f"G{number + 1}", "tack", middle.start_mm, middle.end_mm, middle.throat_mm))
            shrinks.append(_times(inherent[group[len(group) // 2]], float(len(group))))
    return coarse, shrinks, groups


def _times(one: Inherent, factor: float) -> Inherent:
    """A tack that stands for several: their pull together, their shrinkage and fold once."""

    def held(band: Band) -> Band:
        return band.times(min(factor, 2.0))

    return Inherent(one.shrink_mm, held(one.tendon_N), one.angle_rad, one.pull_section_mm2)


def spread(order: Order, groups: Sequence[Sequence[int]]) -> Order:
    """Return the order of all beads that a coarse order stands for, each group in its direction of travel."""
    beads: list[int] = []
    backward: list[bool] = []
    for bead, turned in zip(order.beads.tolist(), order.backward.tolist(), strict=True):
        group = list(groups[bead])[:: -1 if turned else 1]
        beads += group
        backward += [turned] * len(group)
    return Order(np.array(beads, dtype=np.int64), np.array(backward, dtype=bool))
