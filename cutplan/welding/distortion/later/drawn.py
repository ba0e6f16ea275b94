"""What is uncertain about the welds after the stitches: the same day's heat and steel as the stitches, bead by bead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.fem.mesh import Floats
from cutplan.welding.distortion.draws import (
    BEAD_SCATTER,
    BESIDE_SHARE,
    FARTHEST,
    HALF_BAND,
    day_of,
    placed,
    yields_of,
)
from cutplan.welding.distortion.later.rows import PartRows
from cutplan.welding.distortion.model.condensed import MOVES, TENDON, Model


@dataclass(frozen=True, slots=True, eq=False)
class LaterDraws:
    """Drawn values.

    Parameters
    ----------
    wishes : tuple of ndarray (draws, 3, beads)
        Of each part, shrinkage [mm], pull [N] and fold [rad] of each bead.
    joint_N : ndarray (draws, station movements)
        What each movement of the joint bears [N], [N mm].
    part_N : tuple of ndarray (draws, springs)
        What each spring of each part bears; without end for a rib, whose line does not yield.
    """

    wishes: tuple[Floats, ...]
    joint_N: Floats
    part_N: tuple[Floats, ...]


def later_drawn(model: Model, parts: Sequence[PartRows], rows: Floats, limits: Floats, seed: int | None) -> LaterDraws:
    """Return the values of the parts' beads for days that were drawn for the stitches.

    Parameters
    ----------
    model : Model
        The stitched part.
    parts : sequence of PartRows
        Sleeves and ribs.
    rows : ndarray (draws, variates)
        What the stitches were drawn from [1].
    limits : ndarray (draws, stations, 4)
        What the joint bears [N], [N mm].
    seed : int or None
        Seed of the scatter from bead to bead; None: without it, so that a draw does the same whatever stands beside it.
    """
    day = day_of(rows)
    weld, plate, _, harder = yields_of(model.task, rows)
    random = np.random.default_rng(seed)
    wishes, borne = [], []
    for one in parts:
        count = len(one.part.beads)
        scatter = BEAD_SCATTER * HALF_BAND * random.standard_normal((len(rows), 3, count))
        scatter[: 1 if seed is not None else None] = 0.0
        at = np.clip((day[:, :, None] + scatter) / HALF_BAND, -FARTHEST, FARTHEST)
        inherent = one.part.inherent
        bands = (inherent.shrink_mm, inherent.tendon_N, inherent.angle_rad)
        wants = np.stack(
            [np.stack([placed(b, at[:, k, i]) for i in range(count)], axis=1) for k, b in enumerate(bands)]
        )
        wants = np.maximum(wants.transpose(1, 0, 2), 0.0)
        if inherent.pull_section_mm2 > 0.0:
            held = BESIDE_SHARE * plate[:, None] * inherent.pull_section_mm2
            wants[:, TENDON] = np.minimum(wants[:, TENDON], held)
        wishes.append(wants)
        borne.append(_borne(one, weld * harder, plate * harder, model.task.plate.thickness_mm))
    return LaterDraws(tuple(wishes), limits.reshape(len(rows), -1), tuple(borne))


def _borne(one: PartRows, weld: Floats, plate: Floats, thick_mm: float) -> Floats:
    """What a sleeve's fillets and the plate's edge bear, the weaker of both; a rib's beam is held without end."""
    if one.part.kind == "rib":
        return np.full((len(weld), one.count), np.inf)
    throat, length = one.part.throat_mm, one.lengths_mm
    pull = np.minimum(weld[:, None] * throat, plate[:, None] * thick_mm) * length
    fold = 0.25 * np.minimum(weld[:, None] * throat**2, plate[:, None] * thick_mm**2) * length
    limits = np.empty((len(weld), len(length), MOVES))
    limits[:, :, 0], limits[:, :, 3] = pull, fold
    limits[:, :, 1] = limits[:, :, 2] = pull / np.sqrt(3.0)
    return limits.reshape(len(weld), -1)
