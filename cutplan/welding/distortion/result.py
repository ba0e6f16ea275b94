"""What the order of beads comes out as: per order, chosen, how sure, with and without brace, shape after each step."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutplan.findings import Finding
from cutplan.tables.band import Band
from cutplan.welding.distortion.later.parts import LaterPlan

#: What a straight edge and feelers can tell [mm] (common practice: the thinnest leaf is 0.05 mm).
TOLD_MM = 0.05
#: Difference of two chances that draws of this number can tell [1] (our own: about two standard errors of 60 draws of a
#: paired comparison).
TOLD_CHANCE = 0.05
#: What a much quicker order may cost, as a share of what the pads allow out of flat [1], where it keeps that in nearly all
#: draws (our own).
ENOUGH = 0.1
#: Chance that counts as nearly all draws [1], and share of the time below which an order is much quicker [1] (our own).
NEARLY_ALL, MUCH_QUICKER = 0.985, 0.8


@dataclass(frozen=True, slots=True)
class Step:
    """One bead of an order: its index and name, and whether it is welded from its end to its start."""

    bead: int
    name: str
    backward: bool


@dataclass(frozen=True, slots=True)
class AfterStitches:
    """What an order leaves once its last stitch is cold, where sleeves and ribs are welded after it.

    Parameters
    ----------
    flatness_mm : Band
        Pads out of their common plane, top to bottom [mm].
    chance_within : float
        Share of the draws in which the pads keep what they allow [1].
    """

    flatness_mm: Band
    chance_within: float


@dataclass(frozen=True, slots=True)
class OrderResult:
    """What one order does to the part; bands hold four fifths of what was drawn afresh, middles are medians.

    All is told after the last weld: where sleeves and ribs come after the stitches, after these.

    Parameters
    ----------
    name : str
        Name of the order, such as ``once round``: a key of the job file.
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
    score_mm : Band
        What orders are compared by: out of flat, weighted pitch, and a fine for gaps that close beyond half [mm].
    chance_within : float
        Share of the draws in which flatness and pitch stay within what the pads allow [1].
    flowing : float
        Share of the weld's length whose metal flows across while it cools, in the median draw [1].
    equal_to_best : bool
        Not told apart from the best order by the draws, or by what feelers can tell.
    flatter_than_chosen : float
        Share of the draws in which it ends flatter than the chosen order [1].
    minutes : float or None
        From first arc to last with waits and moves [min]; None where it was not computed.
    stitched : AfterStitches or None
        What it leaves after the last stitch; None where nothing is welded after that.
    """

    name: str
    steps: tuple[Step, ...]
    flatness_mm: Band
    tilt_mm_per_m: Band
    pitch_mm: Band
    closing_mm: Band
    closing_at: str
    score_mm: Band
    chance_within: float
    flowing: float
    equal_to_best: bool
    flatter_than_chosen: float
    minutes: float | None = None
    stitched: AfterStitches | None = None


@dataclass(frozen=True, slots=True)
class WithoutBrace:
    """The chosen order welded without the brace.

    Parameters
    ----------
    flatness_mm : Band
        Pads out of flat [mm].
    chance_within : float
        Share of the draws within what the pads allow [1].
    flatter_with : float
        Share of the draws in which the pads end flatter with the brace [1].
    """

    flatness_mm: Band
    chance_within: float
    flatter_with: float


@dataclass(frozen=True, slots=True)
class Preset:
    """Pads set off by the lift to be expected, the other way, before welding.

    Parameters
    ----------
    lifts_mm : tuple of (str, float)
        Pad, and how far it is expected to rise, about the middle of all [mm].
    flatness_mm : Band
        Out of flat then [mm].
    chance_within : float
        Share of the draws within what the pads allow [1].
    """

    lifts_mm: tuple[tuple[str, float], ...]
    flatness_mm: Band
    chance_within: float


@dataclass(frozen=True, slots=True)
class ExtraPlace:
    """One more tack or brace tried: where, the pads it joins, flatness and score that the chosen order then has [mm]."""

    kind: str
    where: str
    at_mm: tuple[float, float]
    flatness_mm: float
    score: float
    ends: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Way:
    """The chosen order with one more tack, a bar between two pads, or both.

    Parameters
    ----------
    tack, bar : ExtraPlace or None
        What is added.
    flatness_mm : Band
        Pads out of flat [mm].
    chance_within : float
        Share of the draws within what the pads allow [1].
    """

    tack: ExtraPlace | None
    bar: ExtraPlace | None
    flatness_mm: Band
    chance_within: float


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
class Searched:
    """How far orders were looked through.

    Parameters
    ----------
    followed : int
        Orders followed.
    every : int
        How many orders of the stitches there are, where each was followed; 0 where they were searched.
    both_ways : bool
        Whether these have each stitch either way.
    boxes : int
        Boxes that orders are then compared in: four where all that is not known of box and joint is varied, two of a long
        seam, one where nothing is.
    """

    followed: int
    every: int
    both_ways: bool
    boxes: int = 1


@dataclass(frozen=True, slots=True)
class OrderPlan:
    """The compared orders and the chosen one.

    Parameters
    ----------
    orders : tuple of OrderResult
        What people use, then the computed one.
    chosen, best : OrderResult
        The one to weld, and the one with the least score among those with the best chance.
    wanted : bool
        The job names the chosen order.
    without_brace : WithoutBrace or None
        For comparison, where the task has a brace.
    preset : Preset or None
        What setting the pads off would do; None with fewer than two pads, and where shims would be thinner than feelers.
    extra : tuple of ExtraPlace
        One more tack or brace, best first.
    ways : tuple of Way
        Tacks and brace together.
    score_mm : float
        Score of the chosen order over the draws that the search used, which the extras are compared by [mm].
    shape : Shape or None
        Displaced shapes.
    draws : int
        Draws that the bands are made of.
    searched : Searched
        How far the search looked.
    stations : int
        Stations of the model.
    findings : tuple of Finding
        Everything noticed.
    later : LaterPlan or None
        What sleeves and ribs do after the stitches; None where none are welded.
    """

    orders: tuple[OrderResult, ...]
    chosen: OrderResult
    best: OrderResult
    wanted: bool
    without_brace: WithoutBrace | None
    preset: Preset | None
    extra: tuple[ExtraPlace, ...]
    ways: tuple[Way, ...]
    score_mm: float
    shape: Shape | None
    draws: int
    searched: Searched
    stations: int
    findings: tuple[Finding, ...]
    later: LaterPlan | None = None
