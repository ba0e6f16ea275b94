"""How plate and skin meet: butt with a gap or lap with an overlap, and the spans that get no weld."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

JointKind = Literal["butt", "lap"]


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch along the plate's outline, distances from the outline's start in its direction of travel [mm].

    ``end_mm`` may be below ``start_mm``: the span then runs through the outline's start.
    """

    start_mm: float
    end_mm: float


@dataclass(frozen=True, slots=True)
class Joint:
    """The joint between plate and skin.

    Parameters
    ----------
    kind : {"butt", "lap"}
        butt: the plate fills the opening with a gap all round; lap: the plate lies on the skin.
    gap_mm : float
        Root opening of a butt joint [mm], zero or more.
    overlap_mm : float
        Overlap of a lap joint [mm].
    unwelded : tuple of Span
        Stretches of the plate's outline without weld.
    """

    kind: JointKind = "butt"
    gap_mm: float = 1.0
    overlap_mm: float = 0.0
    unwelded: tuple[Span, ...] = ()
