"""Shrinkage along a weld: tendon force, shortening and bow, with the rival forms of other authors."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.tables.band import Band
from cutplan.tables.steel import CARBON_STEEL, SteelProperties
from cutplan.tables.welding.weld_sources import source_text


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


#: Actual over least yield strength [1]: low, middle, high (from memory: mill certificates of hot-rolled low-carbon steel).
DELIVERED = (1.0, 1.2, 1.6)

#: Low, middle and high over a middle [1].
Shares = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Tendon:
    """Tendon force as a band, and whether yield capped it.

    Parameters
    ----------
    force_N : Band
        Contraction force, held by the metal beside the weld [N].
    free_N : Band
        Contraction force beside metal without end [N].
    section_mm2 : float
        Section beside the weld that its pull compresses, both sides together [mm2].
    capped : bool
        The section yields before the middle of the free force is reached.
    yielded_mm2 : float
        Section at yield that the middle force needs [mm2].
    """

    force_N: Band
    free_N: Band
    section_mm2: float
    capped: bool
    yielded_mm2: float


def tendon(
    heat_J_per_mm: float,
    area_mm2: float,
    section_mm2: float,
    yield_N_per_mm2: float,
    steel: SteelProperties = CARBON_STEEL,
    shares: Shares = (1.0, 1.0, 1.0),
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
    shares : (float, float, float)
        Low, middle and high of the section over the section: wider than one where nobody measured how far the metal goes [1]

    Returns
    -------
    Tendon
        Force with band, and the cap.

    References
    ----------
    .. [1] White (L1) in the middle, Okerblom (L2) and Blodgett (L4) around it, +/- 25 % for net or gross heat; cap at
       half the section's yield force (our own rule), of metal as the mill delivers it.
    """
    middle = white_N(heat_J_per_mm)
    rivals = (okerblom_N(heat_J_per_mm, steel), blodgett_N(area_mm2, steel), 0.8 * middle, 1.25 * middle)
    sections = [share * section_mm2 for share in shares]
    limits = [0.5 * f * yield_N_per_mm2 * section for f, section in zip(DELIVERED, sections, strict=True)]
    source = source_text("tendon", "okerblom", "blodgett")
    free = Band(min(*rivals, middle), middle, max(*rivals, middle), "N", source)
    low, mid, high = (min(v, limit) for v, limit in zip((free.low, free.mid, free.high), limits, strict=True))
    return Tendon(Band(low, mid, high, "N", source), free, section_mm2, middle > limits[1], middle / yield_N_per_mm2)
