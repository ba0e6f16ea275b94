"""A joint to be welded as one value: geometry, beads, and what each bead does when it cools."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutplan.welding.distortion.later.parts import LaterPart
from cutplan.welding.distortion.task import Bead, Inherent, WeldTask


@dataclass(frozen=True, slots=True, eq=False)
class Seam:
    """What orders of welding are compared for.

    Parameters
    ----------
    task : WeldTask
        Plate, skin, joint, pads, brace.
    beads : sequence of Bead
        Tacks and stitches.
    inherent : sequence of Inherent
        What each bead does when it cools.
    later : sequence of LaterPart
        Sleeves and ribs, welded once the stitches are cold.
    """

    task: WeldTask
    beads: Sequence[Bead]
    inherent: Sequence[Inherent]
    later: Sequence[LaterPart] = ()
