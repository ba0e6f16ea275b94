"""Temperature around a moving arc: Rosenthal's fields for thin and thick plate, and what they give on a line."""

from __future__ import annotations

from math import exp, hypot, inf, pi

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
