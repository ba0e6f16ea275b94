"""The inherent deformation of one bead, definitions by Murakawa, Luo and Ueda, from tendon force and shrinkage."""

from __future__ import annotations

from cutplan.tables.steel import CARBON_STEEL, SteelProperties


def longitudinal_mm(force_N: float, thickness_mm: float, steel: SteelProperties = CARBON_STEEL) -> float:
    r"""Return the longitudinal inherent shrinkage that a tendon force stands for [1]_.

    .. math:: \delta_L^* = \frac{F}{E h}

    Parameters
    ----------
    force_N : float
        Tendon force F [N]
    thickness_mm : float
        Plate thickness h [mm]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Longitudinal inherent shrinkage [mm]

    References
    ----------
    .. [1] Ueda, Murakawa and Ma (2012) (from memory).
    """
    return force_N / (steel.modulus_N_per_mm2 * thickness_mm)
