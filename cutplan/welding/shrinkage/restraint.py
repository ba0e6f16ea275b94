"""Stress in a closed insert weld: what shrinkage that cannot happen turns into."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.tables.steel import CARBON_STEEL, SteelProperties
from cutplan.texts import Message, number, say


def insert_pressure_N_per_mm2(shrink_mm: float, radius_mm: float, steel: SteelProperties = CARBON_STEEL) -> float:
    r"""Return the radial tension in a round insert shrunk into a wide sheet of the same thickness [1]_.

    .. math:: p = \frac{E S}{2 a}

    Parameters
    ----------
    shrink_mm : float
        Shrinkage across the weld S [mm]
    radius_mm : float
        Radius of the insert a [mm]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Elastic tension [N/mm2]; never print it above yield, see :func:`insert_restraint`

    Notes
    -----
    Plane stress, infinite sheet: the disc gives p a (1 - nu) / E, the hole p a (1 + nu) / E.

    Examples
    --------
    >>> insert_pressure_N_per_mm2(0.2, 100.0)
    206.0

    References
    ----------
    .. [1] Exact elasticity (Lame).
    """
    return steel.modulus_N_per_mm2 * shrink_mm / (2.0 * radius_mm)


@dataclass(frozen=True, slots=True)
class Restraint:
    """Restraint of a closed insert.

    Parameters
    ----------
    stress_N_per_mm2 : float
        Tension, held at yield [N/mm2].
    at_yield : bool
        The weld is at yield: the gap cannot close freely.
    radius_mm : float
        Radius of the circle with the insert's area [mm].
    statement : Message
        The same in one sentence.
    """

    stress_N_per_mm2: float
    at_yield: bool
    radius_mm: float
    statement: Message


def insert_restraint(
    shrink_mm: float, radius_mm: float, yield_N_per_mm2: float, steel: SteelProperties = CARBON_STEEL
) -> Restraint:
    """Return the restraint of a closed insert, held at yield [1]_.

    Parameters
    ----------
    shrink_mm : float
        Shrinkage across the weld [mm]
    radius_mm : float
        Radius of the circle with the insert's area [mm]
    yield_N_per_mm2 : float
        Yield strength of the weaker part [N/mm2]
    steel : SteelProperties
        Properties

    Returns
    -------
    Restraint
        Stress and statement.

    References
    ----------
    .. [1] Exact elasticity (Lame) with a cap at yield (our own).
    """
    raw = insert_pressure_N_per_mm2(shrink_mm, radius_mm, steel)
    if raw >= yield_N_per_mm2:
        return Restraint(
            yield_N_per_mm2,
            True,
            radius_mm,
            say("weld at yield, the gap cannot close freely: metal stretches instead, so look for cracks and buckles"),
        )
    words = say(
        "elastic, {stress} across the weld, {share} of yield",
        stress=number(raw, "N/mm2", 0),
        share=number(100.0 * raw / yield_N_per_mm2, "%", 0),
    )
    return Restraint(raw, False, radius_mm, words)
