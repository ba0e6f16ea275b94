"""Closed forms after Adams: cooling rate, solidification, relative thickness and melted section."""

from __future__ import annotations

from math import pi, sqrt

from cutplan.tables.steel import CARBON_STEEL, SteelProperties


def solidification_s(
    heat_J_per_mm: float, start_C: float = 20.0, latent_J_per_mm3: float = 2.0, steel: SteelProperties = CARBON_STEEL
) -> float:
    r"""Return the solidification time of the pool on a thick plate [1]_.

    .. math:: S_t = \frac{L q}{2 \pi k \rho c (T_m - T_0)^2}

    Parameters
    ----------
    heat_J_per_mm : float
        Net heat input q [J/mm]
    start_C : float
        Temperature before the bead [degC]
    latent_J_per_mm3 : float
        Heat of fusion L, about 2 for steel [J/mm3]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Solidification time [s]

    References
    ----------
    .. [1] AWS Welding Handbook vol. 1 (from memory).
    """
    rise = steel.melting_C - start_C
    return (
        latent_J_per_mm3
        * heat_J_per_mm
        / (2.0 * pi * steel.conductivity_W_per_mmK * steel.heat_capacity_J_per_mm3K * rise**2)
    )


def thin_cooling_rate_K_per_s(
    at_C: float,
    heat_J_per_mm: float,
    thickness_mm: float,
    start_C: float = 20.0,
    steel: SteelProperties = CARBON_STEEL,
) -> float:
    r"""Return the cooling rate on the weld's middle line when it passes a temperature, thin plate [1]_.

    .. math:: R = 2 \pi k \rho c (h / q)^2 (T_c - T_0)^3

    Parameters
    ----------
    at_C : float
        Temperature passed T_c [degC]
    heat_J_per_mm : float
        Net heat input q [J/mm]
    thickness_mm : float
        Plate thickness h [mm]
    start_C : float
        Temperature before the bead [degC]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Cooling rate [K/s]

    References
    ----------
    .. [1] C. M. Adams, AWS Welding Handbook vol. 1 (from memory).
    """
    rise = at_C - start_C
    return (
        2.0
        * pi
        * steel.conductivity_W_per_mmK
        * steel.heat_capacity_J_per_mm3K
        * (thickness_mm / heat_J_per_mm) ** 2
        * rise**3
    )


def relative_thickness(
    heat_J_per_mm: float,
    thickness_mm: float,
    at_C: float = 550.0,
    start_C: float = 20.0,
    steel: SteelProperties = CARBON_STEEL,
) -> float:
    r"""Return the relative plate thickness tau: thin below 0.75, thick above (grey 0.6 to 0.9) [1]_.

    .. math:: \tau = h \sqrt{\rho c (T_c - T_0) / q}

    Parameters
    ----------
    heat_J_per_mm : float
        Net heat input q [J/mm]
    thickness_mm : float
        Plate thickness h [mm]
    at_C : float
        Temperature of interest T_c [degC]
    start_C : float
        Temperature before the bead [degC]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Relative thickness [1]

    References
    ----------
    .. [1] C. M. Adams, AWS Welding Handbook vol. 1 (from memory).
    """
    return thickness_mm * sqrt(steel.heat_capacity_J_per_mm3K * (at_C - start_C) / heat_J_per_mm)


def thin_t85_s(
    heat_J_per_mm: float, thickness_mm: float, start_C: float = 20.0, steel: SteelProperties = CARBON_STEEL
) -> float:
    r"""Return t8/5 on the weld's middle line from the thin-plate line source [1]_.

    .. math:: t = \frac{(q / h)^2}{4 \pi k \rho c}
              \left[\frac{1}{(500 - T_0)^2} - \frac{1}{(800 - T_0)^2}\right]

    Parameters
    ----------
    heat_J_per_mm : float
        Net heat input q [J/mm]
    thickness_mm : float
        Plate thickness h [mm]
    start_C : float
        Temperature before the bead, below 500 [degC]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Cooling time from 800 to 500 degC [s]

    Notes
    -----
    A rival of ``cooling.t85_thin_s``; about 2 % apart with Kou's properties.

    References
    ----------
    .. [1] Integral of the thin-plate cooling rate (Adams).
    """
    return (
        (heat_J_per_mm / thickness_mm) ** 2
        / (4.0 * pi * steel.conductivity_W_per_mmK * steel.heat_capacity_J_per_mm3K)
        * (1.0 / (500.0 - start_C) ** 2 - 1.0 / (800.0 - start_C) ** 2)
    )


def weld_area_mm2(
    voltage_V: float,
    current_A: float,
    speed_mm_per_s: float,
    efficiency: float,
    melting_efficiency: float,
    melting_C: float = 1510.0,
) -> float:
    r"""Return the fused section that an arc can melt [1]_.

    .. math:: A_w = f_1 f_2 \frac{U I}{Q v}, \qquad Q = \frac{(T_m + 273)^2}{300000}

    Parameters
    ----------
    voltage_V : float
        Arc voltage [V]
    current_A : float
        Current [A]
    speed_mm_per_s : float
        Travel speed [mm/s]
    efficiency : float
        Arc thermal efficiency f1 [1]
    melting_efficiency : float
        Share of the heat that melts metal f2 [1]
    melting_C : float
        Melting temperature [degC]

    Returns
    -------
    float
        Fused section [mm2]

    References
    ----------
    .. [1] AWS Welding Handbook vol. 1 (from memory).
    """
    heat_to_melt_J_per_mm3 = (melting_C + 273.0) ** 2 / 300_000.0
    return efficiency * melting_efficiency * voltage_V * current_A / (heat_to_melt_J_per_mm3 * speed_mm_per_s)
