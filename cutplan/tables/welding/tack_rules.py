"""Tack rules in print: lengths and spacings by thickness."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TackRule:
    """One rule for tacks.

    Parameters
    ----------
    thickness_mm : tuple of float
        Range of thickness [mm].
    length_mm : tuple of float
        Lowest and highest tack length [mm].
    spacing_mm : tuple of float
        Lowest and highest spacing [mm].
    source : str
        Key of ``weld_sources.SOURCES``.
    """

    thickness_mm: tuple[float, float]
    length_mm: tuple[float, float]
    spacing_mm: tuple[float, float]
    source: str


#: Spacings for stainless sheet; carbon steel may be wider apart.
STAINLESS: tuple[TackRule, ...] = (
    TackRule((1.0, 1.5), (0.0, 7.0), (30.0, 60.0), "stainless-tacks"),
    TackRule((2.0, 3.0), (5.0, 10.0), (70.0, 120.0), "stainless-tacks"),
    TackRule((4.0, 6.0), (10.0, 15.0), (120.0, 160.0), "stainless-tacks"),
)

#: Tack length over the thickness of the thicker part below 12 mm [1] (source key: en-1011-2-tack).
LENGTH_PER_THICKNESS = 4.0
#: Shortest tack that this program plans [mm] (source key: default).
SHORTEST_MM = 8.0
#: Tack spacing over the thickness of the thinner part [1] (source key: default, fitted between the printed rules).
SPACING_PER_THICKNESS = 25.0
#: Limits of that spacing [mm] (source key: default).
SPACING_LIMITS_MM = (50.0, 120.0)
#: Stitch length on sheet [mm] (from memory).
STITCH_SHEET_MM = (20.0, 50.0)


def tack_length_mm(thicker_mm: float) -> float:
    """Return the tack length: four times the thicker part, at least our shortest [1]_.

    Parameters
    ----------
    thicker_mm : float
        Thickness of the thicker part, below 12 [mm]

    Returns
    -------
    float
        Tack length [mm]

    References
    ----------
    .. [1] EN 1011-2 clause 13 (second hand, everyweld.fi, Tack welds); the floor of 8 mm is our own.
    """
    return max(LENGTH_PER_THICKNESS * thicker_mm, SHORTEST_MM)


def tack_spacing_mm(thinner_mm: float) -> float:
    """Return the tack spacing: 25 times the thinner part within 50 to 120 mm, a stated default of this program [1]_.

    Parameters
    ----------
    thinner_mm : float
        Thickness of the thinner part [mm]

    Returns
    -------
    float
        Distance from tack to tack [mm]

    References
    ----------
    .. [1] Our own, fitted between the rules in ``STAINLESS`` and shop rules of 50 to 75 mm on sheet.
    """
    lowest, highest = SPACING_LIMITS_MM
    return min(max(SPACING_PER_THICKNESS * thinner_mm, lowest), highest)
