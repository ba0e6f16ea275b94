"""Stiffness of a brace as fitted, at the places where it is fixed: bars, posts and the distance of their axes from the
skin's middle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.fem.frame import Beam, condensed, frame_stiffness
from cutplan.fem.mesh import Floats
from cutplan.pattern.brace import BraceBar, FittedBrace
from cutplan.tables.steel import CARBON_STEEL, SteelProperties

#: How much stiffer than the bar the short stub between the skin and a bar tacked flat on it is taken [1].
_STUB = 1e3


@dataclass(frozen=True, slots=True, eq=False)
class BraceStiffness:
    """A brace at its fixings.

    Parameters
    ----------
    places : ndarray (n, 2)
        Fixings [mm].
    on : tuple of str
        What each stands on: ``skin`` or ``pad``.
    matrix : ndarray (5 n, 5 n)
        Stiffness on x, y, height, slope x and slope y of the middle surface at each fixing [N, mm].
    """

    places: Floats
    on: tuple[str, ...]
    matrix: Floats


def brace_stiffness(brace: FittedBrace, thickness_mm: float, steel: SteelProperties = CARBON_STEEL) -> BraceStiffness:
    """Return the stiffness of a brace at its fixings.

    Parameters
    ----------
    brace : FittedBrace
        Bars and feet.
    thickness_mm : float
        Thickness of what the feet stand on [mm]: its middle surface lies half of it below the feet.
    steel : SteelProperties
        Of the brace.

    Notes
    -----
    Bars and posts are Bernoulli beams, welded stiff to one another and to the skin. So for a straight bar with two feet
    of no height the pull between the feet meets the give L / (E A) + e^2 L / (E I), e the distance of the bar's centroid
    from the middle of the skin: exact for feet that are free to turn. A tack is taken as stiff; it turns freely about the
    upright axis.
    """
    places: list[tuple[float, float]] = []
    on: list[str] = []
    nodes: list[tuple[float, float, float]] = []
    beams: list[Beam] = []
    base: list[int] = []
    for bar in brace.bars:
        first = len(nodes)
        nodes += [(f.at.x, f.at.y, -0.5 * thickness_mm) for f in bar.feet]
        nodes += [(f.at.x, f.at.y, bar.axis_mm) for f in bar.feet]
        n = len(bar.feet)
        base += range(first, first + n)
        places += [(f.at.x, f.at.y) for f in bar.feet]
        on += [f.on for f in bar.feet]
        beams += _beams(bar, first, n)
    full = frame_stiffness(np.array(nodes), beams, steel.modulus_N_per_mm2, steel.poisson)
    kept = np.array([6 * b + k for b in base for k in range(5)])
    # rotations about x and y to slopes: dw/dy = turn x, dw/dx = -turn y
    own = np.zeros((5, 5))
    own[0, 0] = own[1, 1] = own[2, 2] = 1.0
    own[3, 4], own[4, 3] = 1.0, -1.0
    bring = np.kron(np.eye(len(base)), own)
    return BraceStiffness(np.array(places), tuple(on), bring.T @ condensed(full, kept) @ bring)


def _beams(bar: BraceBar, first: int, feet: int) -> list[Beam]:
    s = bar.section
    u = bar.direction
    along = (u.x, u.y, 0.0)
    beams = [
        Beam(first + feet + k, first + feet + k + 1, s.area_mm2, s.inertia_mm4, s.lateral_mm4, s.torsion_mm4)
        for k in range(feet - 1)
    ]
    for k, foot in enumerate(bar.feet):
        stiff = 1.0 if foot.height_mm > 0.0 else _STUB
        # a post is a piece of the same section, stood square to the skin
        beams.append(
            Beam(
                first + k,
                first + feet + k,
                stiff * s.area_mm2,
                stiff * s.inertia_mm4,
                stiff * s.lateral_mm4,
                stiff * s.torsion_mm4,
                along,
            )
        )
    return beams
