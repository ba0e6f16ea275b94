"""Brace sections that shops tack beside a mounting face; common practice, with their exact section values."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BraceSection:
    """One stock section: ``kind``, outside width and wall [mm]."""

    kind: str
    size_mm: float
    wall_mm: float

    @property
    def area_mm2(self) -> float:
        """Cross section [mm2]."""
        return section_values(self.kind, self.size_mm, self.wall_mm)[0]

    @property
    def inertia_mm4(self) -> float:
        """Second moment of area about the axis along the skin [mm4]."""
        return section_values(self.kind, self.size_mm, self.wall_mm)[1]


#: Lightest first. 38 mm (one and a half inch) square tube is the usual one: common practice, no source.
SECTIONS = (
    BraceSection("tube", 25.4, 2.0),
    BraceSection("tube", 38.1, 3.0),
    BraceSection("tube", 50.8, 3.0),
    BraceSection("bar", 50.0, 10.0),
    BraceSection("angle", 40.0, 4.0),
)
USUAL = SECTIONS[1]


def section_values(kind: str, size_mm: float, wall_mm: float) -> tuple[float, float]:
    """Return (area [mm2], second moment [mm4]) about the axis parallel to the skin.

    Parameters
    ----------
    kind : {"tube", "bar", "angle", "part"}
        Square tube; flat bar lying flat (width ``size_mm``, thickness ``wall_mm``); equal angle about the axis
        parallel to a leg; the real part counts as a bar standing on edge.
    size_mm, wall_mm : float
        Outside width and wall or thickness [mm].

    Notes
    -----
    Exact section formulas with sharp corners.
    """
    a, t = size_mm, min(wall_mm, 0.5 * size_mm)
    if kind == "tube":
        inner = a - 2.0 * t
        return a * a - inner * inner, (a**4 - inner**4) / 12.0
    if kind == "angle":
        area = t * (2.0 * a - t)
        leg, rest = a * t, (a - t) * t
        centre = (leg * 0.5 * t + rest * (t + 0.5 * (a - t))) / area
        inertia = a * t**3 / 12.0 + leg * (centre - 0.5 * t) ** 2
        inertia += t * (a - t) ** 3 / 12.0 + rest * (t + 0.5 * (a - t) - centre) ** 2
        return area, inertia
    if kind == "part":
        return a * t, t * a**3 / 12.0
    return a * wall_mm, a * wall_mm**3 / 12.0
