"""Factors of symmetric matrices: sparse ones of stiffnesses, dense ones in their own memory."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy import sparse
from scipy.linalg.blas import dgemm
from scipy.linalg.lapack import dpotrf
from scipy.sparse.linalg import splu

from cutplan.fem.mesh import Floats, Ints

#: Right-hand sides solved at a time: few enough to stay in a processor's near memory, which halves the time.
COLUMNS = 32


def factored(stiffness: sparse.csc_matrix) -> Callable[[Floats], Floats]:
    """Return a function that solves with a symmetric positive definite matrix of shape (n, n); right-hand sides (n,) or (n, k) columns."""
    options = {"SymmetricMode": True}
    factor = splu(sparse.csc_matrix(stiffness), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options=options)

    def solve(right: Floats) -> Floats:
        if right.ndim == 1:
            return np.asarray(factor.solve(right))
        moved = np.empty(right.shape, order="F")
        for i in range(0, right.shape[1], COLUMNS):
            moved[:, i : i + COLUMNS] = factor.solve(np.asfortranarray(right[:, i : i + COLUMNS]))
        return moved

    return solve


def lower_factor(matrix: Floats) -> Floats:
    """Return L of a symmetric positive definite matrix = L L^T, written over it.

    Parameters
    ----------
    matrix : ndarray (n, n)
        Full, row after row in memory; it holds L afterwards, zeros above the diagonal.

    Raises
    ------
    numpy.linalg.LinAlgError
        When the matrix is not positive definite.
    """
    # row after row is column after column of the transpose, whose upper factor is L^T
    upper, info = dpotrf(matrix.T, lower=0, clean=1, overwrite_a=1)
    if info:
        raise np.linalg.LinAlgError(f"not positive definite at row {info}")
    return np.asarray(upper.T)


def add_square(total: Floats, rows: Floats, size: int) -> None:
    """Add the square R^T R of some rows to a symmetric matrix, in its own memory.

    Parameters
    ----------
    total : ndarray (n, n)
        Full, row after row in memory.
    rows : ndarray (k, n)
        The rows R, full, zero past their first numbers.
    size : int
        How many of these there are.
    """
    # row after row is column after column of the transpose, whose first columns are a matrix of their own
    dgemm(1.0, rows.T, rows[:, :size].T, beta=1.0, c=total.T[:, :size], trans_b=1, overwrite_c=1)


def held(stiffness: sparse.csc_matrix, dofs: Ints) -> sparse.csc_matrix:
    """Return the stiffness with some freedoms held at zero: their rows and columns cleared, the diagonal kept."""
    free = np.ones(stiffness.shape[0])
    free[dofs] = 0.0
    keep = sparse.diags(free)
    return sparse.csc_matrix(keep @ stiffness @ keep + sparse.diags((1.0 - free) * stiffness.diagonal()))


def solved(stiffness: sparse.csc_matrix, load: Floats, dofs: Ints) -> Floats:
    """Return the displacement (n,) under a load (n,) with some freedoms held at zero.

    Parameters
    ----------
    stiffness : sparse matrix
        Stiffness.
    load : ndarray
        Forces.
    dofs : ndarray of int
        Freedoms held.
    """
    load = load.copy()
    load[dofs] = 0.0
    return factored(held(stiffness, dofs))(load)
