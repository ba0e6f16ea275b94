"""Shrinkage across a weld that is free to contract: the rival published forms and the band that they span."""

from __future__ import annotations

from math import inf

from cutplan.errors import CutplanError
from cutplan.tables.band import Band, spread
from cutplan.tables.steel import CARBON_STEEL, SteelProperties
from cutplan.tables.weld_sources import source_text


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


def tee_mm(leg_mm: float, thickness_mm: float) -> float:
    r"""Return the shrinkage across a T joint with two continuous fillets (form F1) [1]_.

    .. math:: S = 1.02\, z / t_b

    Parameters
    ----------
    leg_mm : float
        Fillet leg z [mm]
    thickness_mm : float
        Thickness of the through plate t_b [mm]

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
    return 1.02 * leg_mm / thickness_mm


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


def butt_shrinkage(
    area_mm2: float, thickness_mm: float, gap_mm: float, heat_J_per_mm: float, steel: SteelProperties = CARBON_STEEL
) -> Band:
    """Return the shrinkage across a butt weld as a band: energy form in the middle, published forms around it [1]_.

    Parameters
    ----------
    area_mm2 : float
        Weld metal section [mm2]
    thickness_mm : float
        Thickness of the thinner part [mm]
    gap_mm : float
        Root gap [mm]
    heat_J_per_mm : float
        Net heat input of all runs [J/mm]
    steel : SteelProperties
        Properties

    Returns
    -------
    Band
        Shrinkage [mm]: low and high are the least and largest of S2, S1 and the middle +/- 50 % (our judgement).

    References
    ----------
    .. [1] Forms S1, S2 and S4 of this module.
    """
    middle = energy_mm(heat_J_per_mm, thickness_mm, steel=steel)
    values = (
        butt_blodgett_mm(area_mm2, thickness_mm),
        butt_spraragen_mm(area_mm2, thickness_mm, gap_mm),
        0.5 * middle,
        1.5 * middle,
    )
    return spread(values, "mm", source_text("leggatt", "blodgett", "spraragen") + "; +/- 50 % (our own)", mid=middle)


def fillet_shrinkage(
    leg_mm: float, thickness_mm: float, heat_J_per_mm: float, steel: SteelProperties = CARBON_STEEL
) -> Band:
    """Return the shrinkage across one lap fillet on thin sheet as a band: the energy form +/- 50 % [1]_.

    Parameters
    ----------
    leg_mm : float
        Fillet leg [mm]
    thickness_mm : float
        Thickness of the thinner part [mm]
    heat_J_per_mm : float
        Net heat input of the fillet [J/mm]
    steel : SteelProperties
        Properties

    Returns
    -------
    Band
        Shrinkage [mm]; the published lap form (for two fillets, halved) widens it where its leg limit allows.

    References
    ----------
    .. [1] Forms S4 and F3 of this module; half width our judgement.
    """
    middle = energy_mm(heat_J_per_mm, thickness_mm, steel=steel)
    values = [0.5 * middle, 1.5 * middle]
    if leg_mm <= 0.75 * thickness_mm:
        values.append(0.5 * lap_mm(leg_mm, thickness_mm))
    return spread(tuple(values), "mm", source_text("leggatt", "aws-handbook") + "; +/- 50 % (our own)", mid=middle)


def heating_evenness_J_per_mm3(heat_J_per_mm: float, thickness_mm: float) -> float:
    """Return q / t2, the measure of how evenly the thickness is heated [1]_.

    Parameters
    ----------
    heat_J_per_mm : float
        Net heat input q [J/mm]
    thickness_mm : float
        Plate thickness t [mm]

    Returns
    -------
    float
        q / t2 [J/mm3]; above about 10 the energy form holds, infinite for no thickness

    References
    ----------
    .. [1] Ueda, Murakawa and Ma (2012) (from memory).
    """
    return heat_J_per_mm / thickness_mm**2 if thickness_mm > 0.0 else inf
