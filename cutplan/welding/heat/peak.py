"""Peak temperature beside a weld in closed form, and the distances to keep."""

from __future__ import annotations

from math import e, pi, sqrt

from cutplan.tables.steel import CARBON_STEEL, SteelProperties

#: sqrt(2 pi e), from the peak of the thin-plate line source.
ROOT_2PI_E = sqrt(2.0 * pi * e)


def thin_peak_rise_K(
    aside_mm: float, heat_J_per_mm: float, thickness_mm: float, steel: SteelProperties = CARBON_STEEL
) -> float:
    r"""Return the highest temperature rise that a place beside the weld sees, thin plate [1]_.

    .. math:: T_p - T_0 = \frac{q}{\sqrt{2 \pi e}\, \rho c\, h\, y}

    Parameters
    ----------
    aside_mm : float
        Distance y from the middle of the weld [mm]
    heat_J_per_mm : float
        Net heat input q [J/mm]
    thickness_mm : float
        Plate thickness h [mm]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Peak temperature rise [K]

    Notes
    -----
    An upper bound: within 5 % of the full field at 10 mm and 1 % at 20 mm, 4 to 14 % high at 5 mm for sheet of 2 to
    4 mm; surface heat loss is left out.

    References
    ----------
    .. [1] Line source in a thin plate; C. M. Adams (from memory).
    """
    return heat_J_per_mm / (ROOT_2PI_E * steel.heat_capacity_J_per_mm3K * thickness_mm * aside_mm)


def keep_away_mm(
    limit_C: float,
    heat_J_per_mm: float,
    thickness_mm: float,
    start_C: float = 20.0,
    steel: SteelProperties = CARBON_STEEL,
) -> float:
    """Return the distance from the middle of the weld beyond which a temperature is not passed, thin plate [1]_.

    Parameters
    ----------
    limit_C : float
        Temperature not to pass, above the start temperature [degC]
    heat_J_per_mm : float
        Net heat input [J/mm]
    thickness_mm : float
        Plate thickness [mm]
    start_C : float
        Temperature before the bead [degC]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Distance from the middle of the weld [mm]

    Notes
    -----
    One bead; beads that follow each other add up, so the whole joint needs ``welding.wait`` or more room.

    References
    ----------
    .. [1] Inverse of :func:`thin_peak_rise_K`: an upper bound, surface loss left out.
    """
    return heat_J_per_mm / (ROOT_2PI_E * steel.heat_capacity_J_per_mm3K * thickness_mm * (limit_C - start_C))
