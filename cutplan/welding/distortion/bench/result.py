"""What the bench told: how the readings lie to the model, what they say of it, and the rest of the order."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.tables.band import Band
from cutplan.welding.distortion.later.parts import LaterPlan
from cutplan.welding.distortion.result import OrderResult


@dataclass(frozen=True, slots=True)
class Learnt:
    """One uncertain quantity before and after the readings.

    Parameters
    ----------
    key : str
        Which one, such as ``shrink`` or ``wall depth``.
    before, after : Band
        Median and what holds four fifths of the draws [unit of the band].
    told : bool
        The readings narrowed it by more than the draws' own error.
    """

    key: str
    before: Band
    after: Band
    told: bool


@dataclass(frozen=True, slots=True)
class Against:
    """One reading against the plan.

    Parameters
    ----------
    number : int
        Its number among the readings.
    read_mm : float
        What was read; a dial reading over the plane that fits its round best [mm].
    before, after : Band
        What the plan expected there, and what the draws say now [mm].
    odd : bool
        It stands against all others.
    """

    number: int
    read_mm: float
    before: Band
    after: Band
    odd: bool


@dataclass(frozen=True, slots=True)
class RestPlan:
    """The rest of an order after readings.

    Parameters
    ----------
    laid : int
        Beads welded so far.
    agrees : bool
        The readings lie within what the model can do; where not, nothing below is new and no chance is given.
    share : float
        Share of fair sets of readings that would be further off than these [1].
    readings : tuple of Against
        Each reading against the plan.
    learnt : tuple of Learnt
        What the readings say of what was uncertain.
    effective : float
        Effective number of the first draws under the weight of the readings [1].
    draws, bits : int
        Draws that the bands are made of; bits in which the readings were let in, 1 where plain weights were enough.
    planned_before, planned : OrderResult
        The order as planned, before the readings and after them.
    orders : tuple of OrderResult
        Orders that begin as it was welded, with all rests compared.
    chosen : OrderResult
        The one to go on with.
    kept : bool
        It is the planned one.
    later : LaterPlan or None
        Sleeves and ribs after it; None where there are none, or nothing new is told of them.
    later_kept : bool
        They come in the planned turn.
    """

    laid: int
    agrees: bool
    share: float
    readings: tuple[Against, ...]
    learnt: tuple[Learnt, ...]
    effective: float
    draws: int
    bits: int
    planned_before: OrderResult
    planned: OrderResult
    orders: tuple[OrderResult, ...]
    chosen: OrderResult
    kept: bool
    later: LaterPlan | None = None
    later_kept: bool = True
