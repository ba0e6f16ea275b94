"""Ribs along mesh edges: bending and twisting stiffness on the plate's freedoms, axial stiffness in the plane."""

from __future__ import annotations

import numpy as np
from scipy import sparse

from cutplan.fem.membrane import assembled
from cutplan.fem.membrane import dof_count as membrane_count
from cutplan.fem.mesh import Chain, Mesh


def rib_bending(mesh: Mesh, chain: Chain, bending_N_mm2: float, twisting_N_mm2: float) -> sparse.csc_matrix:
    """Return the stiffness of a beam along a chain on (w, slope x, slope y) of the vertices.

    Parameters
    ----------
    mesh : Mesh
        Triangles; the chain runs along their edges.
    chain : Chain
        Nodes of the rib.
    bending_N_mm2 : float
        Modulus times second moment [N mm2].
    twisting_N_mm2 : float
        Shear modulus times torsion constant [N mm2].
    """
    pairs = chain.pairs
    run = mesh.points[pairs[:, 1]] - mesh.points[pairs[:, 0]]
    length = np.hypot(run[:, 0], run[:, 1])
    along = run / length[:, None]
    across = np.column_stack([along[:, 1], -along[:, 0]])
    count = len(pairs)
    # local freedoms: w0, slope along 0, w1, slope along 1, slope across 0, slope across 1
    turn = np.zeros((count, 6, 6))
    for end in range(2):
        turn[:, 2 * end, 3 * end] = 1.0
        turn[:, 2 * end + 1, 3 * end + 1 : 3 * end + 3] = along
        turn[:, 4 + end, 3 * end + 1 : 3 * end + 3] = across
    beam = np.zeros((count, 6, 6))
    stiff = bending_N_mm2 / length
    # energy = EI/(2 L) (4 a^2 + 4 a b + 4 b^2) with a, b the end slopes against the chord
    chord = np.zeros((count, 2, 4))
    chord[:, :, 0] = 1.0 / length[:, None]
    chord[:, :, 2] = -1.0 / length[:, None]
    chord[:, 0, 1] = chord[:, 1, 3] = 1.0
    ends = np.array([[4.0, 2.0], [2.0, 4.0]])
    hermite = np.matmul(chord.transpose(0, 2, 1), ends @ chord) * stiff[:, None, None]
    beam[:, :4, :4] = hermite
    twist = twisting_N_mm2 / length
    beam[:, 4, 4] = beam[:, 5, 5] = twist
    beam[:, 4, 5] = beam[:, 5, 4] = -twist
    element = np.matmul(turn.transpose(0, 2, 1), np.matmul(beam, turn))
    base = 3 * pairs
    dofs = np.stack([base, base + 1, base + 2], axis=2).reshape(count, 6)
    return assembled(element, dofs, 3 * len(mesh.points))


def rib_axial(mesh: Mesh, chain: Chain, axial_N: float) -> sparse.csc_matrix:
    """Return the stiffness of a bar along a chain on the in-plane freedoms (quadratic along each edge).

    Parameters
    ----------
    mesh : Mesh
        Triangles; the chain runs along their edges.
    chain : Chain
        Nodes of the bar.
    axial_N : float
        Modulus times section area [N].
    """
    pairs = chain.pairs
    run = mesh.points[pairs[:, 1]] - mesh.points[pairs[:, 0]]
    length = np.hypot(run[:, 0], run[:, 1])
    along = run / length[:, None]
    middle = len(mesh.points) + mesh.edge_numbers(pairs)
    nodes = np.column_stack([pairs, middle])
    bar = np.array([[7.0, 1.0, -8.0], [1.0, 7.0, -8.0], [-8.0, -8.0, 16.0]]) / 3.0
    outer = along[:, :, None] * along[:, None, :]
    element = np.einsum("ab,nij->naibj", bar, outer).reshape(len(pairs), 6, 6)
    element *= (axial_N / length)[:, None, None]
    dofs = np.stack([2 * nodes, 2 * nodes + 1], axis=2).reshape(len(pairs), 6)
    return assembled(element, dofs, membrane_count(mesh))
