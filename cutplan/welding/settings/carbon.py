"""Carbon equivalents, and what they say about preheat on sheet: nothing, it is out of the method's range."""

from __future__ import annotations

from dataclasses import dataclass
from math import pow, tanh

from cutplan.tables.steel import Grade
from cutplan.tables.weld_sources import source_text

#: Range in which CET was fitted [mass percent].
CET_RANGE: dict[str, tuple[float, float]] = {
    "C": (0.05, 0.32),
    "Si": (0.0, 0.8),
    "Mn": (0.5, 1.9),
    "Cr": (0.0, 1.5),
    "Cu": (0.0, 0.7),
    "Mo": (0.0, 0.75),
    "Nb": (0.0, 0.06),
    "Ni": (0.0, 2.5),
    "Ti": (0.0, 0.12),
    "V": (0.0, 0.18),
    "B": (0.0, 0.005),
}
#: Range of preheat method B: combined quantities of EN 1011-2 Annex C.
METHOD_B_RANGE: dict[str, tuple[float, float]] = {
    "CET": (0.2, 0.5),
    "thickness_mm": (10.0, 90.0),
    "hydrogen_ml_per_100g": (1.0, 20.0),
    "heat_kJ_per_mm": (0.5, 4.0),
}


def ce_iiw(percent: dict[str, float]) -> float:
    r"""Return the IIW carbon equivalent [1]_.

    .. math:: CE = C + \frac{Mn}{6} + \frac{Cr + Mo + V}{5} + \frac{Ni + Cu}{15}

    Parameters
    ----------
    percent : dict of str to float
        Composition by element symbol; elements left out count as zero [mass percent]

    Returns
    -------
    float
        Carbon equivalent [mass percent]

    References
    ----------
    .. [1] Dillinger, welding help text.
    """
    p = percent.get
    return (
        p("C", 0.0)
        + p("Mn", 0.0) / 6.0
        + (p("Cr", 0.0) + p("Mo", 0.0) + p("V", 0.0)) / 5.0
        + (p("Ni", 0.0) + p("Cu", 0.0)) / 15.0
    )


def cet(percent: dict[str, float]) -> float:
    r"""Return the carbon equivalent CET [1]_.

    .. math:: CET = C + \frac{Mn + Mo}{10} + \frac{Cr + Cu}{20} + \frac{Ni}{40}

    Parameters
    ----------
    percent : dict of str to float
        Composition by element symbol; elements left out count as zero [mass percent]

    Returns
    -------
    float
        Carbon equivalent [mass percent]

    Notes
    -----
    Fitted within ``CET_RANGE``.

    References
    ----------
    .. [1] Dillinger, welding help text.
    """
    p = percent.get
    return (
        p("C", 0.0) + (p("Mn", 0.0) + p("Mo", 0.0)) / 10.0 + (p("Cr", 0.0) + p("Cu", 0.0)) / 20.0 + p("Ni", 0.0) / 40.0
    )


def pcm(percent: dict[str, float]) -> float:
    r"""Return the carbon equivalent Pcm [1]_.

    .. math:: P_{cm} = C + \frac{Si}{30} + \frac{Mn + Cu + Cr}{20} + \frac{Mo}{15} + \frac{Ni}{60} + \frac{V}{10} + 5B

    Parameters
    ----------
    percent : dict of str to float
        Composition by element symbol; elements left out count as zero [mass percent]

    Returns
    -------
    float
        Carbon equivalent [mass percent]

    References
    ----------
    .. [1] Dillinger, welding help text.
    """
    p = percent.get
    return (
        p("C", 0.0)
        + p("Si", 0.0) / 30.0
        + (p("Mn", 0.0) + p("Cu", 0.0) + p("Cr", 0.0)) / 20.0
        + p("Mo", 0.0) / 15.0
        + p("Ni", 0.0) / 60.0
        + p("V", 0.0) / 10.0
        + 5.0 * p("B", 0.0)
    )


def preheat_C(cet_percent: float, thickness_mm: float, hydrogen_ml_per_100g: float, heat_kJ_per_mm: float) -> float:
    r"""Return the preheat temperature of method B as the bare formula gives it [1]_.

    .. math:: T_p = 697\, CET + 160 \tanh(d / 35) + 62\, HD^{0.35} + (53\, CET - 32) Q - 328

    Parameters
    ----------
    cet_percent : float
        CET, 0.2 to 0.5 [mass percent]
    thickness_mm : float
        Plate thickness d, 10 to 90 [mm]
    hydrogen_ml_per_100g : float
        Diffusible hydrogen HD, 1 to 20 [ml/100 g]
    heat_kJ_per_mm : float
        Net heat input Q, 0.5 to 4 [kJ/mm]

    Returns
    -------
    float
        Preheat temperature; at or below the room's means none [degC]

    Notes
    -----
    Outside ``METHOD_B_RANGE`` the number has no meaning: use :func:`preheat_statement`.

    References
    ----------
    .. [1] EN 1011-2:2001 Annex C, C.3 to C.8 (second hand).
    """
    return (
        697.0 * cet_percent
        + 160.0 * tanh(thickness_mm / 35.0)
        + 62.0 * pow(hydrogen_ml_per_100g, 0.35)
        + (53.0 * cet_percent - 32.0) * heat_kJ_per_mm
        - 328.0
    )


@dataclass(frozen=True, slots=True)
class Weldability:
    """Carbon equivalents of a grade and what follows for preheat.

    Parameters
    ----------
    grade : str
        Grade name.
    ce_percent, cet_percent, pcm_percent : float
        CE (IIW), CET and Pcm from the grade's limits, so upper bounds [mass percent].
    preheat_C : float or None
        Preheat by method B where it is in range [degC]; None where it is not applicable.
    out_of_range : tuple of str
        Quantities that leave the range of method B.
    statement : str
        The same in one sentence.
    source : str
        Sources.
    """

    grade: str
    ce_percent: float
    cet_percent: float
    pcm_percent: float
    preheat_C: float | None
    out_of_range: tuple[str, ...]
    statement: str
    source: str


def weldability(
    steel: Grade, thickness_mm: float, heat_kJ_per_mm: float, hydrogen_ml_per_100g: float = 5.0
) -> Weldability:
    """Return the carbon equivalents of a grade and whether preheat method B applies [1]_.

    Parameters
    ----------
    steel : Grade
        Grade with its composition limits
    thickness_mm : float
        Thickness of the thicker part [mm]
    heat_kJ_per_mm : float
        Net heat input [kJ/mm]
    hydrogen_ml_per_100g : float
        Diffusible hydrogen, about 5 for solid wire (common practice) [ml/100 g]

    Returns
    -------
    Weldability
        Equivalents, preheat where in range, and the sentence for the sheet.

    References
    ----------
    .. [1] EN 1011-2:2001 Annex C, method B (second hand).
    """
    equivalent = cet(steel.percent)
    values = {
        "CET": equivalent,
        "thickness_mm": thickness_mm,
        "hydrogen_ml_per_100g": hydrogen_ml_per_100g,
        "heat_kJ_per_mm": heat_kJ_per_mm,
    }
    outside = tuple(
        name for name, value in values.items() if not METHOD_B_RANGE[name][0] <= value <= METHOD_B_RANGE[name][1]
    )
    if outside:
        preheat = None
        words = {
            "CET": f"CET {equivalent:.2f} (0.2 to 0.5)",
            "thickness_mm": f"thickness {thickness_mm:g} mm (10 to 90)",
            "hydrogen_ml_per_100g": f"hydrogen {hydrogen_ml_per_100g:g} ml/100 g (1 to 20)",
            "heat_kJ_per_mm": f"heat input {heat_kJ_per_mm:.2f} kJ/mm (0.5 to 4)",
        }
        statement = (
            "Preheat method B of EN 1011-2 is not applicable here: outside its range are "
            + ", ".join(words[name] for name in outside)
            + ". Sheet this thin is welded from room temperature, dry and clean; warm it by hand heat below +5 degC."
        )
    else:
        preheat = preheat_C(equivalent, thickness_mm, hydrogen_ml_per_100g, heat_kJ_per_mm)
        statement = (
            f"Preheat by method B of EN 1011-2: {preheat:.0f} degC."
            if preheat > 20.0
            else "Method B of EN 1011-2 asks for no preheat."
        )
    return Weldability(
        steel.name,
        ce_iiw(steel.percent),
        equivalent,
        pcm(steel.percent),
        preheat,
        outside,
        statement,
        source_text("carbon-iiw", "en-1011-2-cet", "grades"),
    )
