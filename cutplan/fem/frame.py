"""Straight beams in space: stiffness of a frame of them, brought down to the freedoms asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.errors import GeometryError
from cutplan.fem.mesh import Floats, Ints


@dataclass(frozen=True, slots=True)
class Beam:
    """A prismatic beam between two nodes.

    Parameters
    ----------
    start, end : int
        Node numbers.
    area_mm2 : float
        Cross section [mm2].
    upright_mm4, level_mm4 : float
        Second moments of area [mm4]: for bending in the plane of the beam and the reference direction, and for bending
        across that plane.
    torsion_mm4 : float
        Torsion constant [mm4].
    reference : (float, float, float)
        Direction of the section's height; not along the beam.
    """

    start: int
    end: int
    area_mm2: float
    upright_mm4: float
    level_mm4: float
    torsion_mm4: float
    reference: tuple[float, float, float] = (0.0, 0.0, 1.0)


def beam_stiffness(run: Floats, beam: Beam, modulus_N_per_mm2: float, poisson: float) -> Floats:
    """Return the (12, 12) stiffness of one beam: three displacements and three rotations at start and end [N, mm, rad].

    Parameters
    ----------
    run : ndarray (3,)
        From start to end [mm].
    beam : Beam
        Section.
    modulus_N_per_mm2 : float
        Modulus of elasticity [N/mm2].
    poisson : float
        Poisson's ratio [1], for the shear modulus of the twist.

    Raises
    ------
    GeometryError
        When the section's reference runs along the beam.

    Notes
    -----
    The exact solution of the Bernoulli beam without shear deformation: E A / L, G J / L, and for either plane of bending
    12 E I / L^3, 6 E I / L^2, 4 E I / L, 2 E I / L [1]_.

    References
    ----------
    .. [1] W. McGuire, R. H. Gallagher, R. D. Ziemian, Matrix Structural Analysis, chapter on the framework element
       (from memory).
    """
    length = float(np.linalg.norm(run))
    along = run / length
    side = np.cross(np.array(beam.reference), along)
    size = float(np.linalg.norm(side))
    if size < 1e-9:
        raise GeometryError("a beam's section has no direction: its reference runs along it")
    side /= size
    axes = np.vstack([along, side, np.cross(along, side)])  # the third is the section's height
    shear = modulus_N_per_mm2 / (2.0 * (1.0 + poisson))
    local = np.zeros((12, 12))

    def put(i: int, j: int, value: float) -> None:
        local[i, i] += value
        local[j, j] += value
        local[i, j] -= value
        local[j, i] -= value

    put(0, 6, modulus_N_per_mm2 * beam.area_mm2 / length)
    put(3, 9, shear * beam.torsion_mm4 / length)
    # (displacement, rotation, sign of the rotation against the slope of the displacement, second moment)
    for move, turn, sign, inertia in ((1, 5, 1.0, beam.level_mm4), (2, 4, -1.0, beam.upright_mm4)):
        k = modulus_N_per_mm2 * inertia / length**3
        law = k * np.array(
            [
                [12.0, 6.0 * length, -12.0, 6.0 * length],
                [6.0 * length, 4.0 * length**2, -6.0 * length, 2.0 * length**2],
                [-12.0, -6.0 * length, 12.0, -6.0 * length],
                [6.0 * length, 2.0 * length**2, -6.0 * length, 4.0 * length**2],
            ]
        )
        scale = np.array([1.0, sign, 1.0, sign])
        at = np.array([move, turn, move + 6, turn + 6])
        local[np.ix_(at, at)] += law * scale[:, None] * scale[None, :]
    turn_all = np.kron(np.eye(4), axes)
    return np.asarray(turn_all.T @ local @ turn_all)


def frame_stiffness(nodes: Floats, beams: Sequence[Beam], modulus_N_per_mm2: float, poisson: float) -> Floats:
    """Return the stiffness of a frame over all its freedoms, six for each node [N, mm, rad].

    Parameters
    ----------
    nodes : ndarray (n, 3)
        Places [mm].
    beams : sequence of Beam
        Beams between them.
    modulus_N_per_mm2 : float
        Modulus of elasticity [N/mm2].
    poisson : float
        Poisson's ratio [1].
    """
    total = np.zeros((6 * len(nodes), 6 * len(nodes)))
    for beam in beams:
        at = np.concatenate([6 * beam.start + np.arange(6), 6 * beam.end + np.arange(6)])
        run = np.asarray(nodes[beam.end] - nodes[beam.start])
        total[np.ix_(at, at)] += beam_stiffness(run, beam, modulus_N_per_mm2, poisson)
    return total


def condensed(stiffness: Floats, kept: Ints) -> Floats:
    """Return a stiffness brought down to some freedoms, the others free of load.

    Parameters
    ----------
    stiffness : ndarray (n, n)
        Of a frame that has no movement left once the kept freedoms are held.
    kept : ndarray of int
        Freedoms to keep.
    """
    rest = np.setdiff1d(np.arange(len(stiffness)), kept)
    if not len(rest):
        return np.asarray(stiffness[np.ix_(kept, kept)])
    inner = np.linalg.solve(stiffness[np.ix_(rest, rest)], stiffness[np.ix_(rest, kept)])
    reduced = stiffness[np.ix_(kept, kept)] - stiffness[np.ix_(kept, rest)] @ inner
    return np.asarray(0.5 * (reduced + reduced.T))
