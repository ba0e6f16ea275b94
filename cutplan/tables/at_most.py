"""Lengths so small that only their bound is worth saying."""

from __future__ import annotations

from cutplan.texts import Message, mm, say

#: A thousandth of a millimetre [mm]: what is less is told as less.
LEAST_MM = 0.001


def at_most(length_mm: float, least_mm: float = LEAST_MM) -> Message:
    """Return a length [mm] for a proof: its figure, or that it is under the least that is told."""
    if length_mm < least_mm:
        return say("under {limit}", limit=mm(least_mm, 3))
    return say("{size}", size=mm(length_mm, 3))
