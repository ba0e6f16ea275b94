"""Angle change across a weld: the published forms with their limits, and an honest range for sheet."""

from __future__ import annotations

from math import pow, radians

from cutplan.errors import CutplanError
from cutplan.tables.band import Band
from cutplan.tables.weld_sources import source_text


def flange_tip_mm(leg_mm: float, thickness_mm: float, width_mm: float) -> float:
    r"""Return the deflection of a flange's tip by two fillets (form A1 in millimetres) [1]_.

    .. math:: \Delta = 0.02 \cdot 25.4^{0.7}\, \frac{W z^{1.3}}{t^2}

    Parameters
    ----------
    leg_mm : float
        Fillet leg z [mm]
    thickness_mm : float
        Flange thickness t, 6 or more [mm]
    width_mm : float
        Flange width W [mm]

    Returns
    -------
    float
        Deflection of the tip [mm]

    Notes
    -----
    T and I sections, z below 0.75 t. On sheet it gives nonsense (11 deg at 3.2 mm), so it is refused there.

    Raises
    ------
    CutplanError
        When t is below 6 mm or z above 0.75 t.

    References
    ----------
    .. [1] O. W. Blodgett (1966), section 7.7, in inches (from memory); converted.
    """
    if thickness_mm < 6.0 or leg_mm > 0.75 * thickness_mm * (1.0 + 1e-9):
        raise CutplanError(
            f"the flange formula does not hold at t {thickness_mm:g} mm with a {leg_mm:g} mm leg",
            where="Blodgett angular distortion",
            hint="t must be 6 mm or more and the leg at most 0.75 t; weld a trial piece instead",
        )
    return 0.02 * pow(25.4, 0.7) * width_mm * pow(leg_mm, 1.3) / thickness_mm**2


def flange_angle_rad(leg_mm: float, thickness_mm: float) -> float:
    r"""Return the turn of each half flange by two fillets (form A2) [1]_.

    .. math:: \varphi = 2 \Delta / W

    Parameters
    ----------
    leg_mm : float
        Fillet leg z [mm]
    thickness_mm : float
        Flange thickness t, 6 or more [mm]

    Returns
    -------
    float
        Angle [rad]

    References
    ----------
    .. [1] From :func:`flange_tip_mm`.
    """
    return 2.0 * flange_tip_mm(leg_mm, thickness_mm, 1.0)


def panel_sag_mm(angle_rad: float, bay_mm: float, at_mm: float) -> float:
    r"""Return the sag of a panel between two stiffeners that are held upright (form A4) [1]_.

    .. math:: \delta(x) = \varphi L \left[\tfrac14 - \left(\tfrac{x}{L} - \tfrac12\right)^2\right]

    Parameters
    ----------
    angle_rad : float
        Restrained angle change phi [rad]
    bay_mm : float
        Distance of the stiffeners L [mm]
    at_mm : float
        Place x between them [mm]

    Returns
    -------
    float
        Sag [mm]

    References
    ----------
    .. [1] K. Masubuchi, Analysis of Welded Structures (1980) (from memory).
    """
    return angle_rad * bay_mm * (0.25 - (at_mm / bay_mm - 0.5) ** 2)


def panel_stiffness_N(thickness_mm: float, modulus_N_per_mm2: float = 206_000.0, poisson: float = 0.3) -> float:
    r"""Return the bending stiffness of a plate per unit width (R in form A5) [1]_.

    .. math:: R = \frac{E t^3}{12 (1 - \nu^2)}

    Parameters
    ----------
    thickness_mm : float
        Thickness [mm]
    modulus_N_per_mm2 : float
        Modulus of elasticity [N/mm2]
    poisson : float
        Poisson's ratio [1]

    Returns
    -------
    float
        Bending stiffness for each millimetre of width [N mm]

    References
    ----------
    .. [1] Thin plate theory.
    """
    return modulus_N_per_mm2 * thickness_mm**3 / (12.0 * (1.0 - poisson**2))


def sheet_angle(full_penetration: bool) -> Band:
    """Return the free angle change across a one-sided bead on sheet: a range without a published source [1]_.

    Parameters
    ----------
    full_penetration : bool
        A butt melted through its whole thickness turns little; a lap or partly melted butt turns more

    Returns
    -------
    Band
        Angle, folding towards the torch [rad]

    Notes
    -----
    No measured inherent angle for 2 to 6 mm steel was found. At q / t2 of 18 to 65 J/mm3 the thickness is heated nearly
    evenly, past the peak of the curves, so the angle falls towards zero. Weld a trial piece to replace this range.

    References
    ----------
    .. [1] Our judgement (0 to 2 deg); shape of the curve after Murakawa and Satoh (from memory).
    """
    low, mid, high = (0.0, 0.3, 1.0) if full_penetration else (0.0, 0.8, 2.0)
    return Band(radians(low), radians(mid), radians(high), "rad", source_text("default", "murakawa"))
