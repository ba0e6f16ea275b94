"""Shrinkage along a weld: tendon force, shortening and bow, with the rival forms of other authors."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.tables.band import Band
from cutplan.tables.steel import CARBON_STEEL, SteelProperties
from cutplan.tables.weld_sources import source_text


def white_N(heat_J_per_mm: float) -> float:
    r"""Return the tendon force of one pass on steel (form L1) [1]_.

    .. math:: F = 200\, q

    Parameters
    ----------
    heat_J_per_mm : float
        Heat input q, taken as net [J/mm]

    Returns
    -------
    float
        Contraction force along the weld [N]

    Notes
    -----
    Tendon fully formed. Whether the author's q is net or gross was not settled (25 %).

    References
    ----------
    .. [1] J. D. White, CUED/C-Struct/TR57 (1977) (from memory).
    """
    return 200.0 * heat_J_per_mm


def okerblom_N(heat_J_per_mm: float, steel: SteelProperties = CARBON_STEEL) -> float:
    r"""Return the tendon force from the shrinkage strain times area (form L2) [1]_.

    .. math:: F = 0.335\, E \frac{\alpha}{\rho c} q

    Parameters
    ----------
    heat_J_per_mm : float
        Net heat input q [J/mm]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Contraction force along the weld [N]

    References
    ----------
    .. [1] N. O. Okerblom (1958) (from memory).
    """
    return 0.335 * steel.modulus_N_per_mm2 * steel.shrinkage_mm3_per_J * heat_J_per_mm


def blodgett_N(area_mm2: float, steel: SteelProperties = CARBON_STEEL) -> float:
    r"""Return the tendon force that makes the beam formula equal Blodgett's bow (form L4) [1]_.

    .. math:: F = 0.04\, E A_w

    Parameters
    ----------
    area_mm2 : float
        Weld metal section A_w [mm2]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Contraction force along the weld [N]

    References
    ----------
    .. [1] O. W. Blodgett (1966), section 7.7 (from memory), set equal to F e L2 / (8 E I).
    """
    return 0.04 * steel.modulus_N_per_mm2 * area_mm2


def shortening_mm(force_N: float, length_mm: float, section_mm2: float, steel: SteelProperties = CARBON_STEEL) -> float:
    r"""Return the shortening of a member under a tendon force [1]_.

    .. math:: \Delta L = \frac{F L}{E A}

    Parameters
    ----------
    force_N : float
        Tendon force F [N]
    length_mm : float
        Length of the weld L [mm]
    section_mm2 : float
        Section of the member A [mm2]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Shortening [mm]

    References
    ----------
    .. [1] Elastic bar.
    """
    return force_N * length_mm / (steel.modulus_N_per_mm2 * section_mm2)


def bow_mm(
    force_N: float,
    eccentricity_mm: float,
    length_mm: float,
    second_moment_mm4: float,
    steel: SteelProperties = CARBON_STEEL,
) -> float:
    r"""Return the bow of a member under an eccentric tendon force [1]_.

    .. math:: \delta = \frac{F e L^2}{8 E I}

    Parameters
    ----------
    force_N : float
        Tendon force F [N]
    eccentricity_mm : float
        Distance of the weld from the neutral axis e [mm]
    length_mm : float
        Length of the weld L [mm]
    second_moment_mm4 : float
        Second moment of area I [mm4]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Bow at mid-length [mm]

    References
    ----------
    .. [1] Beam under constant moment.
    """
    return force_N * eccentricity_mm * length_mm**2 / (8.0 * steel.modulus_N_per_mm2 * second_moment_mm4)


def blodgett_bow_mm(area_mm2: float, eccentricity_mm: float, length_mm: float, second_moment_mm4: float) -> float:
    r"""Return the bow of a member by Blodgett's form [1]_.

    .. math:: \delta = 0.005 \frac{A_w e L^2}{I}

    Parameters
    ----------
    area_mm2 : float
        Weld metal section A_w [mm2]
    eccentricity_mm : float
        Distance of the weld from the neutral axis e [mm]
    length_mm : float
        Length L [mm]
    second_moment_mm4 : float
        Second moment of area I [mm4]

    Returns
    -------
    float
        Bow at mid-length [mm]

    References
    ----------
    .. [1] O. W. Blodgett (1966), section 7.7 (from memory).
    """
    return 0.005 * area_mm2 * eccentricity_mm * length_mm**2 / second_moment_mm4


def aws_shortening_mm(current_A: float, length_mm: float, thickness_mm: float) -> float:
    r"""Return the shortening of a butt weld by the AWS form (form L5, width of the plate left out) [1]_.

    .. math:: \Delta L = 305 \frac{I L}{t} 10^{-7}

    Parameters
    ----------
    current_A : float
        Welding current I [A]
    length_mm : float
        Weld length L [mm]
    thickness_mm : float
        Plate thickness t [mm]

    Returns
    -------
    float
        Shortening [mm]

    Notes
    -----
    An order of magnitude only: it does not know how wide the plate is.

    References
    ----------
    .. [1] AWS Welding Handbook vol. 1, after King (from memory).
    """
    return 305e-7 * current_A * length_mm / thickness_mm


@dataclass(frozen=True, slots=True)
class Tendon:
    """Tendon force as a band, and whether yield capped it.

    Parameters
    ----------
    force_N : Band
        Contraction force [N].
    capped : bool
        The section yields whole before the force is reached.
    yielded_mm2 : float
        Section at yield that the middle force needs [mm2].
    """

    force_N: Band
    capped: bool
    yielded_mm2: float


def tendon(
    heat_J_per_mm: float,
    area_mm2: float,
    section_mm2: float,
    yield_N_per_mm2: float,
    steel: SteelProperties = CARBON_STEEL,
) -> Tendon:
    """Return the tendon force of a bead, capped where the sheet beside it would yield whole [1]_.

    Parameters
    ----------
    heat_J_per_mm : float
        Net heat input [J/mm]
    area_mm2 : float
        Weld metal section [mm2]
    section_mm2 : float
        Section of the metal beside the weld that its pull compresses, both sides together [mm2]
    yield_N_per_mm2 : float
        Yield strength [N/mm2]
    steel : SteelProperties
        Properties

    Returns
    -------
    Tendon
        Force with band, and the cap.

    References
    ----------
    .. [1] White (L1) in the middle, Okerblom (L2) and Blodgett (L4) around it, +/- 25 % for net or gross heat; cap at
       half the section's yield force (our own rule).
    """
    middle = white_N(heat_J_per_mm)
    rivals = (okerblom_N(heat_J_per_mm, steel), blodgett_N(area_mm2, steel), 0.8 * middle, 1.25 * middle)
    limit = 0.5 * yield_N_per_mm2 * section_mm2
    low, high = min(*rivals, middle), max(*rivals, middle)
    force = Band(low, middle, high, "N", source_text("tendon", "okerblom", "blodgett")).within(0.0, limit)
    return Tendon(force, middle > limit, middle / yield_N_per_mm2)
