"""What readings said: each against what was expected, and each uncertain quantity before and after."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutplan.fem.mesh import Floats
from cutplan.tables.band import Band
from cutplan.texts import say
from cutplan.welding.distortion.bench.result import Against, Learnt
from cutplan.welding.distortion.bench.watch import PadHeight, Watched
from cutplan.welding.distortion.draws import HALF_BAND, day_of, placed, strength_of
from cutplan.welding.distortion.model.condensed import ANGLE, SHRINK, TENDON, Model
from cutplan.welding.distortion.model.variants import BoxState
from cutplan.welding.readings.cloud import Cloud

SOURCE = say("draws conditioned on the readings; median and 10 to 90 %")
#: A spread below this share of the one before counts as told by the readings [1] (our own: twice the error of a spread
#: from 128 draws).
TOLD_SHARE = 0.8


def against(watched: Sequence[Watched], before: Floats, after: Floats, odd: Sequence[int]) -> tuple[Against, ...]:
    """Return each reading with what was and what is expected there.

    Parameters
    ----------
    watched : sequence of Watched
        The readings.
    before, after : ndarray (draws, readings)
        Predictions [mm].
    odd : sequence of int
        Readings that stand against the others.
    """
    values = np.array([w.value_mm for w in watched])
    plain = _off_plane(watched)
    read, first, last = values @ plain.T, before @ plain.T, after @ plain.T
    return tuple(
        Against(i, float(read[i]), _band(first[:, i], "mm"), _band(last[:, i], "mm"), i in odd)
        for i in range(len(watched))
    )


def _off_plane(watched: Sequence[Watched]) -> Floats:
    """The map that takes the best plane off the dial readings of each round and leaves gaps as they are."""
    size = len(watched)
    total = np.eye(size)
    for laid in sorted({w.laid for w in watched}):
        mine = [i for i, w in enumerate(watched) if isinstance(w, PadHeight) and w.laid == laid]
        if mine:
            at = np.array([watched[i].at_mm for i in mine])
            basis = np.column_stack([np.ones(len(mine)), at - at.mean(axis=0)])
            total[np.ix_(mine, mine)] -= basis @ np.linalg.pinv(basis, rcond=1e-9)
    return total


def learnt_from(model: Model, states: Sequence[BoxState | None], prior: Cloud, now: Cloud) -> tuple[Learnt, ...]:
    """Return what the readings said of everything that is drawn.

    Parameters
    ----------
    model : Model
        Bands of the beads.
    states : sequence of BoxState or None
        States of the box.
    prior, now : Cloud
        Draws before and after.
    """
    first, last = _values(model, states, prior), _values(model, states, now)
    found = []
    for key, (unit, before) in first.items():
        after = last[key][1]
        if before.std() > 1e-9 * max(1.0, abs(float(before.mean()))):
            told = bool(after.std() < TOLD_SHARE * before.std())
            found.append(Learnt(key, _band(before, unit), _band(after, unit), told))
    return tuple(found)


def _values(model: Model, states: Sequence[BoxState | None], cloud: Cloud) -> dict[str, tuple[str, Floats]]:
    """Each uncertain quantity for all draws, a stitch standing for all beads."""
    rows = cloud.latent
    day, metal = day_of(rows) / HALF_BAND, rows[:, 4:8] / HALF_BAND
    stitch = next((i for i, b in enumerate(model.beads) if b.kind == "stitch"), 0)
    bead, strength = model.inherent[stitch], strength_of(model.task)
    values = {
        "shrink": ("mm", np.maximum(placed(bead.shrink_mm, day[:, SHRINK]), 0.0)),
        "tendon": ("kN", np.maximum(placed(bead.tendon_N, day[:, TENDON]), 0.0) / 1000.0),
        "angle": ("deg", np.degrees(placed(bead.angle_rad, day[:, ANGLE]))),
        "weld yield": ("N/mm2", placed(strength.weld_N_per_mm2, metal[:, 0])),
        "plate yield": ("N/mm2", placed(strength.plate_N_per_mm2, metal[:, 1])),
        "skin yield": ("N/mm2", placed(strength.skin_N_per_mm2, metal[:, 2])),
    }
    known = [s for s in states if s is not None]
    if known:
        fields = (
            ("wall depth", "mm", [s.wall_depth_mm for s in known]),
            ("grip", "1", [s.grip for s in known]),
            ("weld height", "mm", [s.weld_z_mm for s in known]),
            ("gap", "mm", [s.ligament_mm for s in known]),
            ("flush", "1", [s.flush for s in known]),
        )
        for key, unit, each in fields:
            values[key] = (unit, np.array(each)[cloud.state])
    return values


def _band(values: Floats, unit: str) -> Band:
    low, mid, high = (float(v) for v in np.percentile(values, (10.0, 50.0, 90.0)))
    return Band(low, mid, high, unit, SOURCE)
