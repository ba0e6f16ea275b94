"""What the order of beads comes out as: per order, chosen, how sure, with and without brace, shape after each step."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutplan.findings import Finding
from cutplan.tables.band import Band


@dataclass(frozen=True, slots=True)
class Step:
    """One bead of an order: its index and name, and whether it is welded from its end to its start."""

    bead: int
    name: str
    backward: bool


@dataclass(frozen=True, slots=True)
class OrderResult:
    """What one order does to the part; every figure is a prediction with a band.

    Parameters
    ----------
    name : str
        Name of the order, such as ``once round``.
    steps : tuple of Step
        Beads in welding order.
    flatness_mm : Band
        Pads out of their common plane, top to bottom [mm].
    tilt_mm_per_m : Band
        Slope of the pads' common plane against where it was [mm/m].
    pitch_mm : Band
        Largest change of distance between two pads [mm].
    closing_mm : Band
        Worst closing of the gap just before a bead is laid there; negative where it opens everywhere [mm].
    closing_at : str
        Name of the bead before which the gap has closed most.
    restraint_N_per_mm2 : Band
        Largest tension across the joint over a quarter of its length at the end, elastic [N/mm2].
    at_yield : bool
        The middle of that band reaches yield: will crack or buckle rather than move.
    score : float
        What the search minimises: mean over mixes of the bands of out-of-flat and weighted pitch, and a fine for gaps
        that close beyond half [mm].
    """

    name: str
    steps: tuple[Step, ...]
    flatness_mm: Band
    tilt_mm_per_m: Band
    pitch_mm: Band
    closing_mm: Band
    closing_at: str
    restraint_N_per_mm2: Band
    at_yield: bool
    score: float


@dataclass(frozen=True, slots=True)
class Robustness:
    """How much of the choice survives the bands: share of samples in which it is best or within 10 % of best."""

    samples: int
    best_or_close: float
    holds: bool


@dataclass(frozen=True, slots=True)
class ExtraPlace:
    """One more tack or brace tried: where, and the flatness and score that the chosen order then has [mm]."""

    kind: str
    where: str
    at_mm: tuple[float, float]
    flatness_mm: float
    score: float


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """The plate and the skin after each bead of the chosen order, middle values, brace on until the last row.

    ``points`` (n, 2) [mm], ``triangles`` (m, 3), ``lift_mm`` (rows, n): row 0 is before the first bead; with a brace
    the last row is with it off; ``labels`` names each row.
    """

    points: NDArray[np.float64]
    triangles: NDArray[np.int64]
    is_plate: NDArray[np.bool_]
    lift_mm: NDArray[np.float64]
    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OrderPlan:
    """The compared orders, the chosen one and why."""

    orders: tuple[OrderResult, ...]
    chosen: OrderResult
    reason: str
    robustness: Robustness
    without_brace: OrderResult | None
    extra: tuple[ExtraPlace, ...]
    shape: Shape | None
    evaluations: int
    stations: int
    findings: tuple[Finding, ...]
