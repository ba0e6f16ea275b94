"""Shrinkage across a weld that is free to contract: the rival published forms and the band that they span."""

from __future__ import annotations

from cutplan.errors import CutplanError
from cutplan.tables.steel import CARBON_STEEL, SteelProperties


def butt_spraragen_mm(area_mm2: float, thickness_mm: float, gap_mm: float) -> float:
    r"""Return the shrinkage across a butt weld (form S1, high) [1]_.

    .. math:: S = 0.2 \frac{A_w}{t} + 0.05 d

    Parameters
    ----------
    area_mm2 : float
        Weld metal section A_w [mm2]
    thickness_mm : float
        Plate thickness t [mm]
    gap_mm : float
        Root opening d [mm]

    Returns
    -------
    float
        Shrinkage [mm]

    Notes
    -----
    Carbon and low-alloy steel, free plates. The form is homogeneous: the factors 5.08 and 1.27 in circulation belong to
    inches and give 25 times too much with millimetres.

    Examples
    --------
    >>> round(butt_spraragen_mm(64.516, 12.7, 3.175), 3)
    1.175

    References
    ----------
    .. [1] W. Spraragen and W. G. Ettinger, Welding J. 29 (1950) (second hand).
    """
    return 0.2 * area_mm2 / thickness_mm + 0.05 * gap_mm


def butt_blodgett_mm(area_mm2: float, thickness_mm: float) -> float:
    r"""Return the shrinkage across a butt weld, a tenth of its mean width (form S2, low) [1]_.

    .. math:: S = 0.10 \frac{A_w}{t}

    Parameters
    ----------
    area_mm2 : float
        Weld metal section A_w [mm2]
    thickness_mm : float
        Plate thickness t [mm]

    Returns
    -------
    float
        Shrinkage [mm]

    References
    ----------
    .. [1] O. W. Blodgett, Design of Welded Structures (1966), section 7.7 (from memory).
    """
    return 0.10 * area_mm2 / thickness_mm


def energy_mm(
    heat_J_per_mm: float, thickness_mm: float, factor: float = 1.0, steel: SteelProperties = CARBON_STEEL
) -> float:
    r"""Return the shrinkage across a weld that heats the whole thickness (form S4, energy) [1]_.

    .. math:: S = C \frac{\alpha}{\rho c} \frac{q}{t}

    Parameters
    ----------
    heat_J_per_mm : float
        Net heat input q [J/mm]
    thickness_mm : float
        Plate thickness t [mm]
    factor : float
        C: 1 for plates free to contract, 1 + nu where the strain along the weld is fully held [1]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Shrinkage [mm]

    Notes
    -----
    Thin plate: q / t2 above about 10 J/mm3. Not checked against a measured weld; alpha / (rho c) is known to +/- 10 %.

    References
    ----------
    .. [1] Energy argument; factor 1 + nu: R. H. Leggatt, PhD Cambridge (1980) (from memory).
    """
    return factor * steel.shrinkage_mm3_per_J * heat_J_per_mm / thickness_mm


def lap_mm(leg_mm: float, thickness_mm: float) -> float:
    r"""Return the shrinkage across a lap joint of equal plates with two fillets (form F3) [1]_.

    .. math:: S = 1.52\, z / t

    Parameters
    ----------
    leg_mm : float
        Fillet leg z [mm]
    thickness_mm : float
        Plate thickness t [mm]

    Returns
    -------
    float
        Shrinkage [mm]

    Raises
    ------
    CutplanError
        When z exceeds 0.75 t, where the form breaks down.

    References
    ----------
    .. [1] AWS Welding Handbook vol. 1 (from memory).
    """
    _small_leg(leg_mm, thickness_mm)
    return 1.52 * leg_mm / thickness_mm


def _small_leg(leg_mm: float, thickness_mm: float) -> None:
    if leg_mm > 0.75 * thickness_mm * (1.0 + 1e-9):
        raise CutplanError(
            f"fillet leg {leg_mm:g} mm exceeds 0.75 of the thickness {thickness_mm:g} mm",
            where="AWS fillet shrinkage",
            hint="use the energy form; the empirical one breaks down here",
        )
