"""One order judged over the bands: flatness, tilt, pitch, closing, restraint, each low, middle, high."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from cutplan.fem.mesh import Floats
from cutplan.fem.outline import lengths_along
from cutplan.tables.band import Band
from cutplan.welding.distortion.chain.elastic import Chain
from cutplan.welding.distortion.chain.influence import Influence, influence_of
from cutplan.welding.distortion.chain.scan import make_scanner, scores_of
from cutplan.welding.distortion.model.condensed import MIDDLE, Model
from cutplan.welding.distortion.result import OrderResult, Step
from cutplan.welding.distortion.search.judge import Judge
from cutplan.welding.distortion.search.orders import Order

SOURCE = "condensed plate and skin, inherent deformation of each bead at the ends of its bands"


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """An order with its result and its influence, so that it can be judged again for other values in the bands."""

    order: Order
    result: OrderResult
    influence: Influence


def judge_order(chain: Chain, judge: Judge, name: str, order: Order) -> Judged:
    """Return everything about one order.

    Parameters
    ----------
    chain : Chain
        The condensed model.
    judge : Judge
        Maps from pad outputs to what is measured.
    name : str
        Name of the order.
    order : Order
        Beads and directions.
    """
    model = chain.model
    influence = influence_of(chain, order.sequence(model.stations))
    pads = corners(influence.pads, model.wish)
    closing = corners(influence.closing, model.wish)
    stress = corners_stress(influence, model)
    worst = closing.max(axis=1)
    yield_limit = min(model.task.plate.yield_N_per_mm2, model.task.skin.yield_N_per_mm2)
    at = int(np.argmax(closing[0]))
    restraint = _band(stress, "N/mm2")
    result = OrderResult(
        name=name,
        steps=tuple(
            Step(int(b), model.beads[int(b)].name, bool(r)) for b, r in zip(order.beads, order.backward, strict=True)
        ),
        flatness_mm=_band(judge.flatness_mm(pads), "mm"),
        tilt_mm_per_m=_band(judge.tilt_mm_per_m(pads), "mm/m"),
        pitch_mm=_band(judge.pitch_mm(pads), "mm"),
        closing_mm=_band(worst, "mm"),
        closing_at=model.beads[int(model.stations.bead[at])].name,
        restraint_N_per_mm2=restraint,
        at_yield=restraint.mid >= yield_limit,
        score=float(scores_of(judge, make_scanner(chain).scan(order.sequence(model.stations)[None, :]))[0]),
    )
    return Judged(order, result, influence)


def corners(influence: Floats, wish: Floats) -> Floats:
    """Return answers with all kinds at the middle (first row), then at every mix of low, middle and high.

    Parameters
    ----------
    influence : ndarray (3, answers, stations)
        Answer per unit of each kind at each station.
    wish : ndarray (3, 3, stations)
        Low, middle, high of each kind at each station.
    """
    level = np.einsum("kas,kls->kla", influence, wish)
    mixes = [(MIDDLE, MIDDLE, MIDDLE), *product(range(3), repeat=3)]
    return np.array([level[0, a] + level[1, b] + level[2, c] for a, b, c in mixes])


def corners_stress(influence: Influence, model: Model) -> Floats:
    """Largest tension across the joint over a quarter of its length, for each mix of levels [N/mm2].

    A single bead between neighbours that are already joined always reaches yield somewhere; what cracks a seam or
    buckles a skin is tension over a stretch. Round an insert in a wide sheet that shrinks at once it is E S / (2 a).
    """
    stations = model.stations
    pull = corners(influence.pull, model.wish)
    final = np.array([model.beads[int(b)].kind == "stitch" for b in stations.bead])
    if not final.any():
        final[:] = True
    whole = float(lengths_along(model.task.path, True)[-1])
    middle = 0.5 * (stations.start_mm + stations.end_mm)
    apart = np.abs((middle[:, None] - middle[None, :] + 0.5 * whole) % whole - 0.5 * whole)
    near = np.where((apart <= 0.125 * whole + 1e-9) & final[None, :], 1.0, 0.0)[final]
    # a tack stands inside the stitch that melts it: its force counts, its section does not
    section = near @ model.section_mm2
    reach = np.where(apart <= 0.125 * whole + 1e-9, 1.0, 0.0)[final]
    return np.asarray(np.abs(pull @ reach.T / section).max(axis=1))


def _band(values: Floats, unit: str) -> Band:
    """Band of a middle value (first) and its mixes."""
    return Band(float(values.min()), float(values[0]), float(values.max()), unit, SOURCE)
