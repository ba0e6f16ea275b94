"""The edge of a skin on its box: rows that pick the edge's freedoms, and a compliance with the box put on."""

from __future__ import annotations

import numpy as np
from scipy import sparse
from scipy.linalg import cho_factor, cho_solve

from cutplan.fem.bending import dof_count as bending_count
from cutplan.fem.box import PER_VERTEX
from cutplan.fem.membrane import dof_count as membrane_count
from cutplan.fem.mesh import Chain, Floats, Mesh


def edge_rows(mesh: Mesh, ring: Chain) -> tuple[sparse.csr_matrix, sparse.csr_matrix]:
    """Return rows on the in-plane and on the out-of-plane freedoms of a sheet that pick its edge's as a box has them.

    Parameters
    ----------
    mesh : Mesh
        The sheet.
    ring : Chain
        Its outer edge.
    """
    count = len(ring.nodes)
    vertex = np.arange(count)
    size = (PER_VERTEX + 1) * count
    run = mesh.points[ring.pairs[:, 1]] - mesh.points[ring.pairs[:, 0]]
    direction = run / np.hypot(run[:, 0], run[:, 1])[:, None]
    middle = len(mesh.points) + mesh.edge_numbers(ring.pairs)
    two, three = np.arange(2), np.arange(3)
    rows = np.concatenate(
        [(PER_VERTEX * vertex[:, None] + two).ravel(), np.repeat(PER_VERTEX * count + vertex, 2)],
    )
    columns = np.concatenate([(2 * ring.nodes[:, None] + two).ravel(), (2 * middle[:, None] + two).ravel()])
    values = np.concatenate([np.ones(2 * count), direction.ravel()])
    flat = sparse.csr_matrix((values, (rows, columns)), shape=(size, membrane_count(mesh)))
    rows = (PER_VERTEX * vertex[:, None] + 2 + three).ravel()
    columns = (3 * ring.nodes[:, None] + three).ravel()
    out = sparse.csr_matrix((np.ones(3 * count), (rows, columns)), shape=(size, bending_count(mesh)))
    return flat, out


def edge_forces(compliance: Floats, box: Floats) -> Floats:
    """Return the forces that a box puts on the edge per unit on each row, (edge, rows) [N per unit].

    Parameters
    ----------
    compliance : ndarray (rows + edge, rows + edge)
        Of all rows and, last, the edge's freedoms, without the box.
    box : ndarray (edge, edge)
        Stiffness of the box on the edge.
    """
    rows = len(compliance) - len(box)
    # box = G G^T, so that what is to be factored is symmetric and well away from singular
    root = _root(box)
    inner = root.T @ compliance[rows:, rows:] @ root
    inner[np.diag_indices(len(inner))] += 1.0
    return np.asarray(-root @ cho_solve(cho_factor(inner), root.T @ compliance[rows:, :rows]))


def _root(box: Floats) -> Floats:
    """A matrix G with G G^T = box, which may be singular but for rounding."""
    try:
        return np.asarray(np.linalg.cholesky(box))
    except np.linalg.LinAlgError:
        value, vector = np.linalg.eigh(box)
        return np.asarray(vector * np.sqrt(np.maximum(value, 0.0)))
