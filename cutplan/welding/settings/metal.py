"""Weld metal: sections of fillet, square and V grooves, cap, and the mass of metal and wire."""

from __future__ import annotations

from math import ceil, sqrt, tan

#: Cap of a butt: wider than the gap by this, this high [mm]; reproduces the ESAB square-butt volumes.
CAP_OVER_GAP_MM, CAP_HEIGHT_MM = 2.0, 1.2


def fillet_area_mm2(leg_mm: float) -> float:
    r"""Return the section of an equal-leg fillet with a flat face [1]_.

    .. math:: A_w = z^2 / 2

    Parameters
    ----------
    leg_mm : float
        Leg z [mm]

    Returns
    -------
    float
        Section [mm2]

    References
    ----------
    .. [1] Geometry of a right isosceles triangle.
    """
    return 0.5 * leg_mm**2


def throat_mm(leg_mm: float) -> float:
    r"""Return the throat of an equal-leg fillet [1]_.

    .. math:: a = z / \sqrt 2

    Parameters
    ----------
    leg_mm : float
        Leg z [mm]

    Returns
    -------
    float
        Throat [mm]

    References
    ----------
    .. [1] Geometry of a right isosceles triangle.
    """
    return leg_mm / sqrt(2.0)


def square_area_mm2(thickness_mm: float, gap_mm: float) -> float:
    """Return the section of a square groove without cap: gap times thickness [1]_.

    Parameters
    ----------
    thickness_mm : float
        Plate thickness [mm]
    gap_mm : float
        Root gap [mm]

    Returns
    -------
    float
        Section [mm2]

    References
    ----------
    .. [1] Geometry.
    """
    return gap_mm * thickness_mm


def square_section_mm2(thickness_mm: float, gap_mm: float) -> float:
    """Return the section of a square butt with its cap [1]_.

    Parameters
    ----------
    thickness_mm : float
        Plate thickness [mm]
    gap_mm : float
        Root gap [mm]

    Returns
    -------
    float
        Section [mm2]

    Notes
    -----
    The cap is 2 mm wider than the gap and 1.2 mm high, chosen to meet the ESAB table for 1 to 3 mm within its rounding.

    References
    ----------
    .. [1] ESAB welding consumables handbook, joint volumes.
    """
    return square_area_mm2(thickness_mm, gap_mm) + cap_area_mm2(gap_mm + CAP_OVER_GAP_MM, CAP_HEIGHT_MM)


def vee_area_mm2(thickness_mm: float, gap_mm: float, angle_rad: float, root_face_mm: float = 0.0) -> float:
    r"""Return the section of a single V groove without cap [1]_.

    .. math:: A_w = d t + (t - f)^2 \tan(\beta / 2)

    Parameters
    ----------
    thickness_mm : float
        Plate thickness t [mm]
    gap_mm : float
        Root gap d [mm]
    angle_rad : float
        Included angle beta [rad]
    root_face_mm : float
        Root face f [mm]

    Returns
    -------
    float
        Section [mm2]

    References
    ----------
    .. [1] Geometry; agrees with the ESAB joint volume tables within their rounding.
    """
    return gap_mm * thickness_mm + (thickness_mm - root_face_mm) ** 2 * tan(0.5 * angle_rad)


def cap_area_mm2(width_mm: float, height_mm: float) -> float:
    r"""Return the section of a parabolic cap [1]_.

    .. math:: A_c = \tfrac{2}{3} w h_r

    Parameters
    ----------
    width_mm : float
        Width w of the cap [mm]
    height_mm : float
        Height h_r of the cap [mm]

    Returns
    -------
    float
        Section [mm2]

    References
    ----------
    .. [1] Area of a parabola's segment.
    """
    return 2.0 / 3.0 * width_mm * height_mm


def mass_kg(area_mm2: float, length_mm: float, density_kg_per_mm3: float = 7.85e-6) -> float:
    """Return the mass of weld metal: section times length times density [1]_.

    Parameters
    ----------
    area_mm2 : float
        Section of the weld [mm2]
    length_mm : float
        Length of the weld [mm]
    density_kg_per_mm3 : float
        Density, 7.85e-6 for steel [kg/mm3]

    Returns
    -------
    float
        Mass [kg]

    References
    ----------
    .. [1] ESAB, P = W L / E, with E = 1.
    """
    return area_mm2 * length_mm * density_kg_per_mm3


def wire_kg(metal_kg: float, deposition: float) -> float:
    """Return the wire or rod that a mass of weld metal needs [1]_.

    Parameters
    ----------
    metal_kg : float
        Mass of weld metal [kg]
    deposition : float
        Deposition efficiency [1]

    Returns
    -------
    float
        Mass of wire [kg]

    References
    ----------
    .. [1] ESAB, P = W L / E.
    """
    return metal_kg / deposition


def runs_needed(section_mm2: float, laid_mm2: float, fewest: int = 1) -> int:
    """Return how many runs fill a section [1]_.

    Parameters
    ----------
    section_mm2 : float
        Section of the joint [mm2]
    laid_mm2 : float
        Section that one run lays down [mm2]
    fewest : int
        Runs that the settings table gives

    Returns
    -------
    int
        Number of runs

    References
    ----------
    .. [1] Conservation of mass.
    """
    return max(fewest, ceil(section_mm2 / laid_mm2 - 1e-9))


def deposited_area_mm2(wire_mm: float, feed_mm_per_s: float, speed_mm_per_s: float, deposition: float) -> float:
    r"""Return the section that one pass lays down (mass balance) [1]_.

    .. math:: A_w v = \tfrac{\pi}{4} d^2 w \eta

    Parameters
    ----------
    wire_mm : float
        Wire diameter d [mm]
    feed_mm_per_s : float
        Wire feed speed w [mm/s]
    speed_mm_per_s : float
        Travel speed v [mm/s]
    deposition : float
        Deposition efficiency [1]

    Returns
    -------
    float
        Section of one pass [mm2]

    References
    ----------
    .. [1] Conservation of mass.
    """
    return 0.7853981633974483 * wire_mm**2 * feed_mm_per_s * deposition / speed_mm_per_s
