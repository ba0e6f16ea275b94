"""Buckling of the sheet beside a weld: a flag, not a prediction."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from cutplan.tables.steel import CARBON_STEEL, SteelProperties
from cutplan.tables.welding.weld_sources import source_text
from cutplan.texts import Message, inch_or_mm, mm, say, template, together


def critical_width_mm(force_N: float, thickness_mm: float, steel: SteelProperties = CARBON_STEEL) -> float:
    r"""Return the width of sheet at which a tendon force buckles it [1]_.

    .. math:: B = \frac{4 \pi^2 E t^3}{12 (1 - \nu^2) F}

    Parameters
    ----------
    force_N : float
        Tendon force F [N]
    thickness_mm : float
        Sheet thickness t [mm]
    steel : SteelProperties
        Properties

    Returns
    -------
    float
        Width of a simply supported sheet under even compression F / (B t) [mm]

    Examples
    --------
    >>> round(critical_width_mm(200.0 * 190.0, 2.0))
    157

    References
    ----------
    .. [1] Plate buckling with k = 4 (standard formula).
    """
    return 4.0 * pi**2 * steel.modulus_N_per_mm2 * thickness_mm**3 / (12.0 * (1.0 - steel.poisson**2) * force_N)


@dataclass(frozen=True, slots=True)
class Buckling:
    """Whether the sheet may buckle.

    Parameters
    ----------
    flagged : bool
        The free width exceeds the critical one.
    critical_width_mm, width_mm : float
        Critical and free width [mm].
    statement : Message
        The same in one sentence.
    source : str
        Sources.
    """

    flagged: bool
    critical_width_mm: float
    width_mm: float
    statement: Message
    source: Message | str


def buckling(
    force_N: float,
    thickness_mm: float,
    width_mm: float,
    steel: SteelProperties = CARBON_STEEL,
    measured: bool = True,
) -> Buckling:
    """Return the buckling flag of a sheet between its supports [1]_.

    Parameters
    ----------
    force_N : float
        Tendon force [N]
    thickness_mm : float
        Sheet thickness [mm]
    width_mm : float
        Free width between supports, across the weld [mm]
    steel : SteelProperties
        Properties
    measured : bool
        Whether somebody measured the width; else it is the most that it may be

    Returns
    -------
    Buckling
        Flag and statement.

    References
    ----------
    .. [1] Plate buckling with k = 4; Conrardy and Dull (1997) for buckling as the usual mode below 10 mm.
    """
    critical = critical_width_mm(force_N, thickness_mm, steel)
    flagged = width_mm > critical
    texts = {
        (True, True): template(
            "{sheet} sheet with {width} free width may buckle (above {critical}): "
            "keep the heat down, back it up or stiffen it"
        ),
        (True, False): template(
            "{sheet} sheet with up to {width} free width, which nobody measured, may buckle (above {critical}): "
            "measure it, keep the heat down, back it up or stiffen it"
        ),
        (False, True): template("{sheet} sheet with {width} free width is below the buckling width of {critical}"),
        (False, False): template(
            "{sheet} sheet with up to {width} free width, which nobody measured, is below the buckling width of {critical}"
        ),
    }
    told = texts[flagged, measured]
    statement = told.fill(sheet=inch_or_mm(thickness_mm, None), width=mm(width_mm, 0), critical=mm(critical, 0))
    return Buckling(
        flagged, critical, width_mm, statement, together(source_text("conrardy"), say("plate formula k = 4"), sep="; ")
    )
