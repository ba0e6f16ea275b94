"""Temperature around a moving arc: Rosenthal's fields for thin and thick plate, and what they give on a line."""

from __future__ import annotations

from collections.abc import Callable
from math import exp, hypot, inf, pi, sqrt

from cutplan.tables.steel import CARBON_STEEL, SteelProperties


def thin_rise_K(
    ahead_mm: float,
    aside_mm: float,
    heat_J_per_mm: float,
    speed_mm_per_s: float,
    thickness_mm: float,
    steel: SteelProperties = CARBON_STEEL,
) -> float:
    r"""Return the steady temperature rise around a line source moving in a thin plate [1]_.

    .. math:: T - T_0 = \frac{q v}{2 \pi k h} e^{-v \xi / 2a} K_0\!\left(\frac{v r}{2a}\right)

    Parameters
    ----------
    ahead_mm : float
        Distance xi ahead of the source along its travel, negative behind [mm]
    aside_mm : float
        Distance y to the side [mm]
    heat_J_per_mm : float
        Net heat input q [J/mm]
    speed_mm_per_s : float
        Travel speed v [mm/s]
    thickness_mm : float
        Plate thickness h [mm]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Temperature rise [K]; infinite at the source

    Notes
    -----
    No surface loss, constant properties, infinite plate heated evenly through its thickness. Computed with the
    exponentially scaled Bessel function, since the plain product overflows far behind the arc.

    Examples
    --------
    >>> round(20.0 + thin_rise_K(-10.0, 5.0, 240.0, 8.0, 3.0), 1)
    837.8

    References
    ----------
    .. [1] D. Rosenthal, Welding J. 20 (1941) 220s; S. Kou, Welding Metallurgy ch. 2 (from memory).
    """
    from scipy.special import k0e

    radius = hypot(ahead_mm, aside_mm)
    if radius == 0.0:
        return inf
    half = 0.5 * speed_mm_per_s / steel.diffusivity_mm2_per_s
    strength = heat_J_per_mm * speed_mm_per_s / (2.0 * pi * steel.conductivity_W_per_mmK * thickness_mm)
    return float(strength * exp(-half * (ahead_mm + radius)) * k0e(half * radius))


def thick_rise_K(
    ahead_mm: float,
    aside_mm: float,
    below_mm: float,
    heat_J_per_mm: float,
    speed_mm_per_s: float,
    steel: SteelProperties = CARBON_STEEL,
) -> float:
    r"""Return the steady temperature rise around a point source moving on a thick plate [1]_.

    .. math:: T - T_0 = \frac{q v}{2 \pi k R} e^{-v (\xi + R) / 2a}

    Parameters
    ----------
    ahead_mm : float
        Distance xi ahead of the source along its travel, negative behind [mm]
    aside_mm : float
        Distance to the side [mm]
    below_mm : float
        Depth below the surface [mm]
    heat_J_per_mm : float
        Net heat input q [J/mm]
    speed_mm_per_s : float
        Travel speed v [mm/s]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Temperature rise [K]; infinite at the source

    Notes
    -----
    No surface loss, constant properties, half-infinite body.

    References
    ----------
    .. [1] D. Rosenthal, Trans. ASME 68 (1946) 849; S. Kou, Welding Metallurgy ch. 2 (from memory).
    """
    radius = sqrt(ahead_mm**2 + aside_mm**2 + below_mm**2)
    if radius == 0.0:
        return inf
    half = 0.5 * speed_mm_per_s / steel.diffusivity_mm2_per_s
    strength = heat_J_per_mm * speed_mm_per_s / (2.0 * pi * steel.conductivity_W_per_mmK * radius)
    return strength * exp(-half * (ahead_mm + radius))


def thin_field_peak_rise_K(
    aside_mm: float,
    heat_J_per_mm: float,
    speed_mm_per_s: float,
    thickness_mm: float,
    steel: SteelProperties = CARBON_STEEL,
) -> float:
    """Return the highest rise that the full thin-plate field brings to a line beside the weld [1]_.

    Parameters
    ----------
    aside_mm : float
        Distance from the middle of the weld, above zero [mm]
    heat_J_per_mm : float
        Net heat input [J/mm]
    speed_mm_per_s : float
        Travel speed [mm/s]
    thickness_mm : float
        Plate thickness [mm]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Peak temperature rise [K]

    Notes
    -----
    The closed form ``peak.thin_peak_rise_K`` is its upper bound for a fast source.

    References
    ----------
    .. [1] Maximum over the travel direction of :func:`thin_rise_K`, by golden section.
    """
    reach = 4.0 * aside_mm + speed_mm_per_s * aside_mm**2 / steel.diffusivity_mm2_per_s

    def rise(ahead_mm: float) -> float:
        return thin_rise_K(ahead_mm, aside_mm, heat_J_per_mm, speed_mm_per_s, thickness_mm, steel)

    return _highest(rise, -reach, 0.0)


def thick_field_peak_rise_K(
    radius_mm: float, heat_J_per_mm: float, speed_mm_per_s: float, steel: SteelProperties = CARBON_STEEL
) -> float:
    """Return the highest rise that the full thick-plate field brings to a line beside the weld [1]_.

    Parameters
    ----------
    radius_mm : float
        Distance from the weld line, above zero [mm]
    heat_J_per_mm : float
        Net heat input [J/mm]
    speed_mm_per_s : float
        Travel speed [mm/s]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Peak temperature rise [K]

    References
    ----------
    .. [1] Maximum over the travel direction of :func:`thick_rise_K`, by golden section.
    """
    reach = 4.0 * radius_mm + speed_mm_per_s * radius_mm**2 / steel.diffusivity_mm2_per_s

    def rise(ahead_mm: float) -> float:
        return thick_rise_K(ahead_mm, radius_mm, 0.0, heat_J_per_mm, speed_mm_per_s, steel)

    return _highest(rise, -reach, 0.0)


def _highest(rise: Callable[[float], float], low: float, high: float) -> float:
    """Maximum of a function with one peak between two places, by golden section to a relative 1e-12 of the interval."""
    golden = 0.6180339887498949
    a, b = high - golden * (high - low), low + golden * (high - low)
    fa, fb = rise(a), rise(b)
    for _ in range(60):
        if fa < fb:
            low, a, fa = a, b, fb
            b = low + golden * (high - low)
            fb = rise(b)
        else:
            high, b, fb = b, a, fa
            a = high - golden * (high - low)
            fa = rise(a)
    return max(fa, fb)


def thin_field_t85_s(
    heat_J_per_mm: float,
    speed_mm_per_s: float,
    thickness_mm: float,
    start_C: float = 20.0,
    steel: SteelProperties = CARBON_STEEL,
) -> float:
    """Return t8/5 on the middle line of the weld from the full thin-plate field [1]_.

    Parameters
    ----------
    heat_J_per_mm : float
        Net heat input [J/mm]
    speed_mm_per_s : float
        Travel speed [mm/s]
    thickness_mm : float
        Plate thickness [mm]
    start_C : float
        Temperature before the bead, below 500 [degC]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Cooling time from 800 to 500 degC [s]

    References
    ----------
    .. [1] Difference of the places behind the source where :func:`thin_rise_K` passes both temperatures, by bisection.
    """

    def behind_mm(temperature_C: float) -> float:
        near, far = 1e-6, 1.0
        wanted = temperature_C - start_C

        def rise(distance_mm: float) -> float:
            return thin_rise_K(-distance_mm, 0.0, heat_J_per_mm, speed_mm_per_s, thickness_mm, steel)

        while rise(far) > wanted:
            far *= 2.0
        for _ in range(200):
            middle = 0.5 * (near + far)
            near, far = (middle, far) if rise(middle) > wanted else (near, middle)
        return 0.5 * (near + far)

    return (behind_mm(500.0) - behind_mm(800.0)) / speed_mm_per_s
