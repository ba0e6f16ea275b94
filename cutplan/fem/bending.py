"""Plate bending with the discrete Kirchhoff triangle: height and two slopes at each vertex.

The slopes vary quadratically in the triangle; at the middle of a side the slope along it is that of a cubic through the
ends, the slope across it the mean of the ends. So the stiffness is that of two quadratic fields under the bending law,
brought down to nine freedoms [1]_.

References
----------
.. [1] J.-L. Batoz, K.-J. Bathe, L.-W. Ho, A study of three-node triangular plate bending elements, Int. J. Numer. Meth.
   Eng. 15 (1980) 1771-1812 (from memory; the derivation here is our own and is proven by patch and convergence tests).
"""

from __future__ import annotations

import numpy as np
from scipy import sparse

from cutplan.fem.membrane import assembled, element_stiffness, plane_stress
from cutplan.fem.mesh import Floats, Ints, Mesh


def slope_map(mesh: Mesh) -> Floats:
    """Return (m, 12, 9): from (w, slope x, slope y) of three corners to slopes at corners and side middles."""
    count = len(mesh.triangles)
    result = np.zeros((count, 12, 9))
    for corner in range(3):
        result[:, 2 * corner, 3 * corner + 1] = 1.0
        result[:, 2 * corner + 1, 3 * corner + 2] = 1.0
    place = mesh.points[mesh.triangles]
    for side in range(3):
        start, end = side, (side + 1) % 3
        run = place[:, end] - place[:, start]
        length = np.hypot(run[:, 0], run[:, 1])
        along = run / length[:, None]
        across = np.column_stack([along[:, 1], -along[:, 0]])
        for axis in range(2):
            row = 6 + 2 * side + axis
            result[:, row, 3 * end] += 1.5 / length * along[:, axis]
            result[:, row, 3 * start] -= 1.5 / length * along[:, axis]
            for corner in (start, end):
                for other in range(2):
                    part = -0.25 * along[:, axis] * along[:, other] + 0.5 * across[:, axis] * across[:, other]
                    result[:, row, 3 * corner + 1 + other] += part
    return result


def element_dofs(mesh: Mesh) -> Ints:
    """Return (m, 9) freedoms: height, slope x, slope y of each corner (3 v, 3 v + 1, 3 v + 2)."""
    base = 3 * mesh.triangles
    return np.stack([base, base + 1, base + 2], axis=2).reshape(len(base), 9)


def dof_count(mesh: Mesh) -> int:
    """Return the number of bending freedoms: three per vertex."""
    return 3 * len(mesh.points)


def bending_stiffness(mesh: Mesh, thickness_mm: float, modulus_N_per_mm2: float, poisson: float) -> sparse.csc_matrix:
    """Return the out-of-plane stiffness of a thin plate [N/mm, N, N mm].

    Parameters
    ----------
    mesh : Mesh
        Triangles.
    thickness_mm : float
        Thickness [mm]; thin against the plate (shear is left out).
    modulus_N_per_mm2 : float
        Modulus of elasticity [N/mm2].
    poisson : float
        Poisson's ratio [1].
    """
    law = thickness_mm**3 / 12.0 * plane_stress(modulus_N_per_mm2, poisson)
    slopes = element_stiffness(mesh, law)
    bring = slope_map(mesh)
    element = np.matmul(bring.transpose(0, 2, 1), np.matmul(slopes, bring))
    return assembled(element, element_dofs(mesh), dof_count(mesh))
