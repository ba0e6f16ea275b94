"""A sleeve or a rib to be welded to the plate after the stitches, and what its beads do, as plain geometry."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cutplan.tables.band import Band
from cutplan.welding.distortion.task import Inherent

Floats = NDArray[np.float64]
PartKind = Literal["sleeve", "rib"]


@dataclass(frozen=True, slots=True, eq=False)
class LaterPart:
    """A sleeve in a hole of the plate, or a rib behind it.

    Parameters
    ----------
    name : str
        Hole or rib.
    kind : {"sleeve", "rib"}
        A sleeve is stiff and loose until its first bead; a rib is a beam on edge behind the plate, loose until its first.
    beads : tuple of ndarray (n, 2)
        Places along each bead, in the order in which it is laid [mm].
    pieces_mm : ndarray (n,)
        Length of path at each place [mm].
    height_mm : float
        Height of its fillets over the plate's middle surface, towards the torch side up [mm].
    throat_mm : float
        Throat of its fillets [mm].
    inherent : Inherent
        What one bead does when it cools; its fold raises the far sides of the plate towards the fillet.
    section_mm : (float, float)
        Thickness and depth of a rib [mm]; of a sleeve not used.
    ends_mm : ((float, float), (float, float)) or None
        The same as small and as large as it may be where nobody measured it [mm]; None where it was.
    """

    name: str
    kind: PartKind
    beads: tuple[Floats, ...]
    pieces_mm: Floats
    height_mm: float
    throat_mm: float
    inherent: Inherent
    section_mm: tuple[float, float] = (0.0, 0.0)
    ends_mm: tuple[tuple[float, float], tuple[float, float]] | None = None

    def sized(self, size: float) -> LaterPart:
        """Return the part where what nobody measured is smaller (-1) or larger (1) than taken (0).

        Parameters
        ----------
        size : float
            Where it lies [1].
        """
        if self.ends_mm is None or size == 0.0:
            return self
        end, (thick, deep) = self.ends_mm[size > 0.0], self.section_mm
        share = abs(size)
        return replace(self, section_mm=(thick + share * (end[0] - thick), deep + share * (end[1] - deep)))


@dataclass(frozen=True, slots=True)
class LaterOrder:
    """One order of the welds after the stitches; bands as those of the orders of stitches.

    Parameters
    ----------
    name : str
        Key of the order.
    parts : tuple of str
        Sleeves and ribs in turn.
    flatness_mm : Band
        Pads out of flat after all of them [mm].
    pitch_mm : Band
        Largest change of distance between two pads [mm].
    chance_within : float
        Share of the draws in which the pads keep what they allow [1].
    """

    name: str
    parts: tuple[str, ...]
    flatness_mm: Band
    pitch_mm: Band
    chance_within: float


@dataclass(frozen=True, slots=True)
class LaterPlan:
    """What the welds after the stitches do to the pads.

    Parameters
    ----------
    orders : tuple of LaterOrder
        Orders compared, the usual one first.
    chosen : LaterOrder
        The one to weld.
    equal : bool
        No order of them can be told from another.
    after_mm : tuple of (str, Band)
        Sleeve or rib in turn, and pads out of flat once it is welded and cold [mm].
    left_out : tuple of str
        Sleeves and ribs that the model could not take.
    """

    orders: tuple[LaterOrder, ...]
    chosen: LaterOrder
    equal: bool
    after_mm: tuple[tuple[str, Band], ...]
    left_out: tuple[str, ...] = ()
