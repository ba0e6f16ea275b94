"""Plane stress with six-node triangles (quadratic displacements): stiffness of a flat sheet in its plane."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from cutplan.fem.mesh import Floats, Ints, Mesh

#: Barycentric coordinates of the three side middles; the rule is exact for quadratic integrands.
SIDE_MIDDLES: NDArray[np.float64] = np.array([[0.5, 0.5, 0.0], [0.0, 0.5, 0.5], [0.5, 0.0, 0.5]])


def plane_stress(modulus_N_per_mm2: float, poisson: float) -> Floats:
    """Return the matrix from strain (xx, yy, shear angle) to stress [N/mm2].

    Parameters
    ----------
    modulus_N_per_mm2 : float
        Modulus of elasticity [N/mm2].
    poisson : float
        Poisson's ratio [1].
    """
    matrix = np.array([[1.0, poisson, 0.0], [poisson, 1.0, 0.0], [0.0, 0.0, 0.5 * (1.0 - poisson)]])
    return np.asarray(matrix * modulus_N_per_mm2 / (1.0 - poisson**2))


def barycentric_slopes(mesh: Mesh) -> Floats:
    """Return the gradient of each corner's barycentric coordinate, (m, 3, 2) [1/mm]."""
    corner = mesh.points[mesh.triangles]
    ahead, behind = np.roll(corner, -1, axis=1), np.roll(corner, 1, axis=1)
    twice = 2.0 * mesh.areas[:, None]
    return np.stack([(ahead - behind)[..., 1] / twice, (behind - ahead)[..., 0] / twice], axis=2)


def shape_slopes(slopes: Floats, at: Floats) -> Floats:
    """Return gradients of the six shape functions at a barycentric place, (m, 6, 2): corners, sides 01, 12, 20."""
    corners = slopes * (4.0 * at - 1.0)[None, :, None]
    following = np.roll(slopes, -1, axis=1)
    sides = 4.0 * (slopes * np.roll(at, -1)[None, :, None] + following * at[None, :, None])
    return np.concatenate([corners, sides], axis=1)


def element_stiffness(mesh: Mesh, matrix: Floats) -> Floats:
    """Return (m, 12, 12) stiffness of two quadratic fields (x, y at six nodes, interleaved) under a 3x3 law.

    Parameters
    ----------
    mesh : Mesh
        Triangles.
    matrix : ndarray (3, 3)
        Law times thickness [N/mm]; with the bending law [N mm] the fields are slopes.
    """
    slopes = barycentric_slopes(mesh)
    weight = mesh.areas / 3.0
    total = np.zeros((len(mesh.triangles), 12, 12))
    for at in SIDE_MIDDLES:
        gradient = shape_slopes(slopes, at)
        strain = np.zeros((len(mesh.triangles), 3, 12))
        strain[:, 0, 0::2] = gradient[:, :, 0]
        strain[:, 1, 1::2] = gradient[:, :, 1]
        strain[:, 2, 0::2] = gradient[:, :, 1]
        strain[:, 2, 1::2] = gradient[:, :, 0]
        total += np.matmul(strain.transpose(0, 2, 1), matrix @ strain) * weight[:, None, None]
    return total


def element_dofs(mesh: Mesh) -> Ints:
    """Return (m, 12) freedoms: x and y of vertices first (2 v, 2 v + 1), then of edges."""
    nodes = np.hstack([mesh.triangles, len(mesh.points) + mesh.triangle_edges])
    return np.stack([2 * nodes, 2 * nodes + 1], axis=2).reshape(len(nodes), 12)


def dof_count(mesh: Mesh) -> int:
    """Return the number of in-plane freedoms: two per vertex and per edge."""
    return 2 * (len(mesh.points) + len(mesh.edges))


def assembled(element: Floats, dofs: Ints, count: int) -> sparse.csc_matrix:
    """Return the sum of element matrices, (elements, k, k), as a sparse matrix of shape (count, count)."""
    width = dofs.shape[1]
    rows, columns = np.repeat(dofs, width, axis=1).ravel(), np.tile(dofs, (1, width)).ravel()
    return sparse.csc_matrix((element.ravel(), (rows, columns)), shape=(count, count))


def membrane_stiffness(mesh: Mesh, thickness_mm: float, modulus_N_per_mm2: float, poisson: float) -> sparse.csc_matrix:
    """Return the in-plane stiffness of a sheet [N/mm].

    Parameters
    ----------
    mesh : Mesh
        Triangles.
    thickness_mm : float
        Thickness [mm].
    modulus_N_per_mm2 : float
        Modulus of elasticity [N/mm2].
    poisson : float
        Poisson's ratio [1].
    """
    law = thickness_mm * plane_stress(modulus_N_per_mm2, poisson)
    return assembled(element_stiffness(mesh, law), element_dofs(mesh), dof_count(mesh))
