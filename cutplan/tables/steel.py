"""Steel: properties for heat and shrinkage, and composition limits of common grades."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.errors import CutplanError
from cutplan.tables.welding.weld_sources import source_text
from cutplan.texts import Message, name, say


def steel_word(steel: str) -> Message:
    """Return a steel for print: a grade is a name; the word for plain mild steel is the reader's."""
    return say("mild steel") if steel in ("mild", "mild steel") else say("{steel}", steel=name(steel))


@dataclass(frozen=True, slots=True)
class SteelProperties:
    """Properties of carbon steel near room temperature unless said otherwise.

    Parameters
    ----------
    modulus_N_per_mm2 : float
        Modulus of elasticity [N/mm2].
    poisson : float
        Poisson's ratio [1].
    expansion_per_K : float
        Coefficient of thermal expansion [1/K].
    conductivity_W_per_mmK : float
        Thermal conductivity [W/(mm K)].
    heat_capacity_J_per_mm3K : float
        Volumetric heat capacity [J/(mm3 K)].
    density_kg_per_mm3 : float
        Density [kg/mm3].
    source : str
        Where the numbers come from.
    """

    modulus_N_per_mm2: float = 206_000.0
    poisson: float = 0.3
    expansion_per_K: float = 12e-6
    conductivity_W_per_mmK: float = 0.041
    heat_capacity_J_per_mm3K: float = 0.0045
    density_kg_per_mm3: float = 7.85e-6
    source: Message | str = "S. Kou, Welding Metallurgy, property table for carbon steel (from memory)"

    @property
    def diffusivity_mm2_per_s(self) -> float:
        """Thermal diffusivity k / (rho c) [mm2/s]."""
        return self.conductivity_W_per_mmK / self.heat_capacity_J_per_mm3K

    @property
    def shrinkage_mm3_per_J(self) -> float:
        """Expansion over volumetric heat capacity, alpha / (rho c) [mm3/J]; about +/- 10 % over temperature."""
        return self.expansion_per_K / self.heat_capacity_J_per_mm3K


CARBON_STEEL = SteelProperties(source=source_text("kou"))


@dataclass(frozen=True, slots=True)
class Grade:
    """Composition limits (highest mass percent allowed) and yield strength of one grade.

    Parameters
    ----------
    name : str
        Grade name of the standard.
    yield_N_per_mm2 : float
        Specified minimum yield strength [N/mm2].
    percent : dict of str to float
        Highest content allowed by element symbol [mass percent]; elements not limited are left out.
    """

    name: str
    yield_N_per_mm2: float
    percent: dict[str, float]


#: Ladle-analysis limits, so a carbon equivalent from them is an upper bound, not the plate's own. From memory: grades.
GRADES: dict[str, Grade] = {
    "S235": Grade("S235", 235.0, {"C": 0.17, "Mn": 1.40, "Cu": 0.55}),
    "S275": Grade("S275", 275.0, {"C": 0.21, "Mn": 1.50, "Cu": 0.55}),
    "S355": Grade("S355", 355.0, {"C": 0.20, "Si": 0.55, "Mn": 1.60, "Cu": 0.55}),
    "S315MC": Grade("S315MC", 315.0, {"C": 0.12, "Si": 0.50, "Mn": 1.30, "V": 0.20}),
    "S355MC": Grade("S355MC", 355.0, {"C": 0.12, "Si": 0.50, "Mn": 1.50, "V": 0.20}),
    "S420MC": Grade("S420MC", 420.0, {"C": 0.12, "Si": 0.50, "Mn": 1.60, "V": 0.20}),
    "DD11": Grade("DD11", 170.0, {"C": 0.12, "Mn": 0.60}),
    "DC01": Grade("DC01", 140.0, {"C": 0.12, "Mn": 0.60}),
    "A36": Grade("A36", 250.0, {"C": 0.25, "Si": 0.40, "Mn": 1.20, "Cu": 0.20}),
}

#: Words that a shop writes for an unspecified low-carbon steel.
_ALIASES = {
    "mild": "S235",
    "mild steel": "S235",
    "low carbon": "S235",
    "steel": "S235",
    "fe360": "S235",
    "hr": "DD11",
    "cr": "DC01",
}


def grade(name: str) -> Grade:
    """Return the grade with this name, without regard to case, blanks or delivery suffix (``S235JR`` is ``S235``).

    Parameters
    ----------
    name : str
        Grade or shop word ("mild").

    Returns
    -------
    Grade
        Limits and yield strength of the grade.

    Raises
    ------
    CutplanError
        When no grade of the table matches.
    """
    wanted = name.strip().lower()
    if wanted in _ALIASES:
        return GRADES[_ALIASES[wanted]]
    compact = wanted.replace(" ", "").replace("-", "").upper()
    matches = [key for key in GRADES if compact.startswith(key)]
    if not matches:
        raise CutplanError(
            f"steel grade {name!r} is not in the table",
            where="steel",
            hint=f"use one of {', '.join(GRADES)}, or 'mild'",
        )
    return GRADES[max(matches, key=len)]
