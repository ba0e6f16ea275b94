"""Brace sections that shops tack beside a mounting face; common practice, with their exact section values."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BraceSection:
    """One stock section, its lower face parallel to the skin.

    Parameters
    ----------
    kind : str
        ``tube`` (square), ``bar`` (flat), ``angle`` (equal legs, one leg down on the skin) or ``part``.
    size_mm, wall_mm : float
        Outside width and wall or thickness [mm].
    on_edge : bool
        A flat bar that stands on its narrow side.
    """

    kind: str
    size_mm: float
    wall_mm: float
    on_edge: bool = False

    @property
    def width_mm(self) -> float:
        """Width over the skin [mm]."""
        return self.wall_mm if self.on_edge else self.size_mm

    @property
    def height_mm(self) -> float:
        """Height above its lower face [mm]."""
        if self.kind == "bar":
            return self.size_mm if self.on_edge else self.wall_mm
        return self.size_mm

    @property
    def centroid_mm(self) -> float:
        """Height of the centroid above its lower face [mm]."""
        return angle_centroid_mm(self.size_mm, self.wall_mm) if self.kind == "angle" else 0.5 * self.height_mm

    @property
    def area_mm2(self) -> float:
        """Cross section [mm2]."""
        return section_values(self.kind, self.size_mm, self.wall_mm)[0]

    @property
    def inertia_mm4(self) -> float:
        """Second moment of area about the axis parallel to the skin [mm4]."""
        if self.on_edge:
            return self.wall_mm * self.size_mm**3 / 12.0
        return section_values(self.kind, self.size_mm, self.wall_mm)[1]

    @property
    def lateral_mm4(self) -> float:
        """Second moment of area about the axis square to the skin [mm4]."""
        if self.kind == "bar":
            a, b = (self.size_mm, self.wall_mm) if self.on_edge else (self.wall_mm, self.size_mm)
            return a * b**3 / 12.0
        if self.kind == "part":
            return self.size_mm * self.wall_mm**3 / 12.0
        return self.inertia_mm4

    @property
    def torsion_mm4(self) -> float:
        """Torsion constant [mm4]: thin closed tube, or thin open strips."""
        a, t = self.size_mm, min(self.wall_mm, 0.5 * self.size_mm)
        if self.kind == "tube":
            return t * (a - t) ** 3
        if self.kind == "angle":
            return (2.0 * a - t) * t**3 / 3.0
        thin, wide = sorted((self.size_mm, self.wall_mm))
        return wide * thin**3 / 3.0 * (1.0 - 0.63 * thin / wide)


#: Lightest first. 38 mm (one and a half inch) square tube is the usual one: common practice, no source.
SECTIONS = (
    BraceSection("tube", 25.4, 2.0),
    BraceSection("tube", 38.1, 3.0),
    BraceSection("tube", 50.8, 3.0),
    BraceSection("bar", 50.0, 10.0),
    BraceSection("angle", 40.0, 4.0),
)
USUAL = SECTIONS[1]
#: A flat bar stood on edge: as stiff as the usual tube on a quarter of its width. Common practice, no source.
NARROW = BraceSection("bar", 50.0, 10.0, on_edge=True)


def angle_centroid_mm(size_mm: float, wall_mm: float) -> float:
    """Return the height of an equal angle's centroid above the outer face of its lower leg [mm], exact.

    Parameters
    ----------
    size_mm, wall_mm : float
        Leg and thickness [mm].
    """
    a, t = size_mm, min(wall_mm, 0.5 * size_mm)
    leg, rest = a * t, (a - t) * t
    return (leg * 0.5 * t + rest * (t + 0.5 * (a - t))) / (leg + rest)


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
        leg, rest = a * t, (a - t) * t
        centre = angle_centroid_mm(a, t)
        inertia = a * t**3 / 12.0 + leg * (centre - 0.5 * t) ** 2
        inertia += t * (a - t) ** 3 / 12.0 + rest * (t + 0.5 * (a - t) - centre) ** 2
        return leg + rest, inertia
    if kind == "part":
        return a * t, t * a**3 / 12.0
    return a * wall_mm, a * wall_mm**3 / 12.0
