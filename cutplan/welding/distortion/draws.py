"""What is uncertain, drawn: shrinkage, pull, fold and yield of the beads, correlated through the heat.

Bands are read as holding nine tenths of a normal distribution, its two halves of different width where the band is
lopsided. A draw is one weld shop's day: its heat moves shrinkage and pull the same way, its steel is one delivery.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.fem.mesh import Floats
from cutplan.tables.band import Band
from cutplan.texts import say
from cutplan.welding.distortion.model.condensed import ANGLE, HIGH, LOW, MIDDLE, MOVES, SHRINK, TENDON, Model
from cutplan.welding.distortion.task import Strength, WeldTask
from cutplan.welding.shrinkage.tendon import DELIVERED

#: Share of each kind that comes from the heat of the day [1]: more heat shrinks and pulls more and, on sheet, heats the
#: thickness more evenly and so folds less (our judgement).
FROM_HEAT = {SHRINK: 0.6, TENDON: 0.6, ANGLE: -0.3}
#: Scatter from bead to bead, as a share of half the band [1] (our judgement).
BEAD_SCATTER = 0.25
#: Half a band in standard deviations [1]: its ends hold nine tenths.
HALF_BAND = 1.645
#: Draws are held within this share of half a band [1].
FARTHEST = 1.5
#: A tendon's metal is held by the metal beside it: up to this share of its yield force [1] (our own rule).
BESIDE_SHARE = 0.5
#: Yield strength of weld metal of a wire with 420 N/mm2 as the least (ISO 14341 class 42) [N/mm2] (from memory).
WELD_METAL = (420.0, 470.0, 540.0)
#: Flow stress at the few percent of strain of a weld over the yield strength [1] (our judgement; none is 1).
HARDENING = (1.0, 1.1, 1.3)


@dataclass(frozen=True, slots=True, eq=False)
class Draws:
    """Drawn values: of each kind (draws, 3, stations); force that each movement bears (draws, stations, 4) [N], [N mm]."""

    wishes: Floats
    limits: Floats

    @property
    def count(self) -> int:
        """Number of draws."""
        return len(self.wishes)


def strength_of(task: WeldTask) -> Strength:
    """Return what metal bears: the task's own bands, else least values of its sheets as delivered."""
    if task.strength is not None:
        return task.strength
    source = say("least yield strength of the grade, as delivered (from memory)")

    def delivered(least: float) -> Band:
        low, mid, high = (least * factor for factor in DELIVERED)
        return Band(low, mid, high, "N/mm2", source)

    return Strength(
        Band(*WELD_METAL, "N/mm2", say("weld metal of class 42 (from memory)")),
        delivered(task.plate.yield_N_per_mm2),
        delivered(task.skin.yield_N_per_mm2),
        Band(*HARDENING, "1", say("our judgement")),
    )


#: Numbers that a draw is made of besides those of each bead: the day's heat, three kinds of their own, four of metal.
OF_THE_DAY = 8


def variates(model: Model, count: int, seed: int) -> Floats:
    """Return standard normal variates, shape (draws, variates); the first row is zero: the middle of all bands.

    A row holds the heat of the day, what shrinkage, pull and fold have of their own, the yield of weld, plate and skin
    with hardening, and the scatter of each bead.

    Parameters
    ----------
    model : Model
        Its beads.
    count : int
        Number of draws.
    seed : int
        Seed.
    """
    random = np.random.default_rng(seed)
    heat = random.standard_normal((count, 1))
    own = random.standard_normal((count, 3))
    metal = random.standard_normal((count, 4))
    # bead by bead, so that one bead more leaves the others as they were
    scatter = random.standard_normal((len(model.beads), 3, count)).transpose(2, 1, 0)
    rows = np.hstack([heat, own, metal, scatter.reshape(count, -1)])
    rows[:1] = 0.0
    return rows


def drawn(model: Model, count: int, seed: int) -> Draws:
    """Return drawn values; the first draw is the middle of all bands.

    Parameters
    ----------
    model : Model
        Holds the bands.
    count : int
        Number of draws.
    seed : int
        Seed.
    """
    return draws_of(model, variates(model, count, seed))


def draws_of(model: Model, rows: Floats) -> Draws:
    """Return the values that standard normal variates stand for.

    Parameters
    ----------
    model : Model
        Holds the bands.
    rows : ndarray (draws, variates)
        As :func:`variates` gives them [1].
    """
    stations, task = model.stations, model.task
    scatter = BEAD_SCATTER * HALF_BAND * rows[:, OF_THE_DAY:].reshape(len(rows), 3, len(model.beads))
    place = np.clip((day_of(rows)[:, :, None] + scatter) / HALF_BAND, -FARTHEST, FARTHEST)[:, :, stations.bead]
    low, mid, high = (model.wish[:, level] for level in (LOW, MIDDLE, HIGH))
    wishes = mid + np.where(place > 0.0, place * (high - mid), place * (mid - low))
    wishes[:, [SHRINK, TENDON]] = np.maximum(wishes[:, [SHRINK, TENDON]], 0.0)
    weld, plate, skin, harder = yields_of(task, rows)
    section = np.array([model.inherent[int(b)].pull_section_mm2 for b in stations.bead])
    held = BESIDE_SHARE * np.minimum(plate, skin)[:, None] * section
    wishes[:, TENDON] = np.where(section > 0.0, np.minimum(wishes[:, TENDON], held), wishes[:, TENDON])
    return Draws(wishes, bearable(model, weld * harder, plate * harder, skin * harder))


def yields_of(task: WeldTask, rows: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Return yield strengths of weld, plate and skin [N/mm2], and hardening [1], (draws,) each.

    Parameters
    ----------
    task : WeldTask
        Its metal.
    rows : ndarray (draws, variates)
        As :func:`variates` gives them [1].
    """
    strength, at = strength_of(task), rows[:, 4:OF_THE_DAY] / HALF_BAND
    bands = (strength.weld_N_per_mm2, strength.plate_N_per_mm2, strength.skin_N_per_mm2, strength.hardening)
    weld, plate, skin, harder = (placed(b, at[:, i]) for i, b in enumerate(bands))
    return weld, plate, skin, harder


def day_of(rows: Floats) -> Floats:
    """Return where shrinkage, pull and fold of the day lie, (draws, 3), in standard deviations [1].

    Parameters
    ----------
    rows : ndarray (draws, variates)
        As :func:`variates` gives them [1].
    """
    share = np.array([FROM_HEAT[k] for k in (SHRINK, TENDON, ANGLE)])
    return np.asarray(share * rows[:, :1] + np.sqrt(1.0 - share**2) * rows[:, 1:4])


def placed(band: Band, position: Floats) -> Floats:
    """Return values of a band [unit] at positions (n,): -1 its low end, 0 its middle, 1 its high end."""
    at = np.clip(position, -FARTHEST, FARTHEST)
    return np.where(at > 0.0, band.mid + at * (band.high - band.mid), band.mid + at * (band.mid - band.low))


def bearable(model: Model, weld: Floats, plate: Floats, skin: Floats) -> Floats:
    """Return what each movement of each station bears before metal flows, (draws, stations, 4) [N], [N mm].

    Tension across the weld bears sigma A, shear sigma A / sqrt 3, bending its full plastic moment sigma t^2 / 4 for each
    millimetre; of weld, plate and skin the weakest counts.

    Parameters
    ----------
    model : Model
        Sections of the stations.
    weld, plate, skin : ndarray (draws,)
        Flow stresses [N/mm2].
    """
    length = model.stations.end_mm - model.stations.start_mm
    throat = model.section_mm2 / length
    task = model.task
    parts = ((weld, throat), (plate, task.plate.thickness_mm), (skin, task.skin.thickness_mm))
    pull = np.min([s[:, None] * (t * length) for s, t in parts], axis=0)
    fold = np.min([s[:, None] * (0.25 * np.square(t) * length) for s, t in parts], axis=0)
    limits = np.empty((len(weld), len(length), MOVES))
    limits[:, :, 0], limits[:, :, 3] = pull, fold
    limits[:, :, 1] = limits[:, :, 2] = pull / np.sqrt(3.0)
    return limits
