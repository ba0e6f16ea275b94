"""A thin plate on a grid of equal rectangles, some of them cut out: bending stiffness at chosen nodes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

_CORNERS = ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))
_POWERS = ((0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2), (3, 0), (2, 1), (1, 2), (0, 3), (3, 1), (1, 3))


@dataclass(frozen=True, slots=True)
class Grid:
    """A rectangle of ``nx`` by ``ny`` cells from a lower left corner [mm]."""

    x_mm: float
    y_mm: float
    nx: int
    ny: int
    dx_mm: float
    dy_mm: float

    @property
    def nodes(self) -> np.ndarray:
        """Node positions, row by row from the bottom [mm]."""
        gx, gy = np.meshgrid(
            self.x_mm + self.dx_mm * np.arange(self.nx + 1), self.y_mm + self.dy_mm * np.arange(self.ny + 1)
        )
        nodes: np.ndarray = np.column_stack((gx.ravel(), gy.ravel()))
        return nodes

    @property
    def centres(self) -> np.ndarray:
        """Cell centres, row by row from the bottom [mm]."""
        gx, gy = np.meshgrid(
            self.x_mm + self.dx_mm * (np.arange(self.nx) + 0.5), self.y_mm + self.dy_mm * (np.arange(self.ny) + 0.5)
        )
        centres: np.ndarray = np.column_stack((gx.ravel(), gy.ravel()))
        return centres

    @property
    def cells(self) -> np.ndarray:
        """Node indexes of each cell, counter-clockwise from its lower left corner."""
        i, j = np.meshgrid(np.arange(self.nx), np.arange(self.ny))
        first = (j * (self.nx + 1) + i).ravel()
        corners: np.ndarray = np.column_stack((first, first + 1, first + self.nx + 2, first + self.nx + 1))
        return corners

    @property
    def border(self) -> np.ndarray:
        """Indexes of the nodes on the outer edge."""
        k = np.arange((self.nx + 1) * (self.ny + 1))
        i, j = k % (self.nx + 1), k // (self.nx + 1)
        border: np.ndarray = k[(i == 0) | (i == self.nx) | (j == 0) | (j == self.ny)]
        return border


@lru_cache(maxsize=64)
def cell_stiffness(dx_mm: float, dy_mm: float, rigidity_N_mm: float, poisson: float) -> np.ndarray:
    """Return the 12 x 12 stiffness of one cell: at each corner w [mm], dw/dx and dw/dy [1].

    Parameters
    ----------
    dx_mm, dy_mm : float
        Sides [mm].
    rigidity_N_mm : float
        Plate rigidity E t^3 / (12 (1 - nu^2)) [N mm].
    poisson : float
        Poisson's ratio [1].

    Notes
    -----
    The twelve-term polynomial element of Adini, Clough and Melosh; stiffness by exact Gauss integration [1]_. It does
    not keep slopes across cell borders, so it converges from below or above; it passes the patch test on a rectangle
    grid.

    References
    ----------
    .. [1] O. C. Zienkiewicz, The Finite Element Method, chapter on plate bending (from memory).
    """
    a, b = 0.5 * dx_mm, 0.5 * dy_mm
    to_dofs = np.zeros((12, 12))
    for k, (sx, sy) in enumerate(_CORNERS):
        x, y = sx * a, sy * b
        for t, (p, q) in enumerate(_POWERS):
            to_dofs[3 * k, t] = x**p * y**q
            to_dofs[3 * k + 1, t] = p * x ** max(p - 1, 0) * y**q if p else 0.0
            to_dofs[3 * k + 2, t] = q * x**p * y ** max(q - 1, 0) if q else 0.0
    law = rigidity_N_mm * np.array([[1.0, poisson, 0.0], [poisson, 1.0, 0.0], [0.0, 0.0, 0.5 * (1.0 - poisson)]])
    spots, weights = np.polynomial.legendre.leggauss(3)
    stiffness = np.zeros((12, 12))
    for u, wu in zip(spots, weights, strict=True):
        for v, wv in zip(spots, weights, strict=True):
            x, y = u * a, v * b
            bend = np.zeros((3, 12))
            for t, (p, q) in enumerate(_POWERS):
                bend[0, t] = p * (p - 1) * x ** max(p - 2, 0) * y**q if p > 1 else 0.0
                bend[1, t] = q * (q - 1) * x**p * y ** max(q - 2, 0) if q > 1 else 0.0
                bend[2, t] = 2.0 * p * q * x ** max(p - 1, 0) * y ** max(q - 1, 0) if p and q else 0.0
            stiffness += wu * wv * a * b * bend.T @ law @ bend
    back = np.linalg.inv(to_dofs)
    result: np.ndarray = back.T @ stiffness @ back
    even: np.ndarray = 0.5 * (result + result.T)
    return even


@lru_cache(maxsize=64)
def membrane_stiffness(
    dx_mm: float, dy_mm: float, modulus_N_per_mm2: float, poisson: float, thickness_mm: float
) -> np.ndarray:
    """Return the 8 x 8 plane-stress stiffness of one cell: u and v at each corner [mm].

    Parameters
    ----------
    dx_mm, dy_mm : float
        Sides [mm].
    modulus_N_per_mm2 : float
        Modulus of elasticity [N/mm2].
    poisson : float
        Poisson's ratio [1].
    thickness_mm : float
        Thickness [mm].

    Notes
    -----
    Bilinear element with two incompatible bending shapes condensed out (Wilson's element), so that a rim one cell wide
    bends right [1]_.

    References
    ----------
    .. [1] E. L. Wilson and others, Incompatible displacement models, in Numerical and Computer Methods in Structural
       Mechanics (1973) (from memory).
    """
    a, b = 0.5 * dx_mm, 0.5 * dy_mm
    e, nu = modulus_N_per_mm2, poisson
    law = thickness_mm * e / (1.0 - nu * nu) * np.array([[1.0, nu, 0.0], [nu, 1.0, 0.0], [0.0, 0.0, 0.5 * (1.0 - nu)]])
    spots, weights = np.polynomial.legendre.leggauss(2)
    full = np.zeros((12, 12))
    for u, wu in zip(spots, weights, strict=True):
        for v, wv in zip(spots, weights, strict=True):
            strain = np.zeros((3, 12))
            slopes = [(float(0.25 * sx * (1 + sy * v) / a), float(0.25 * sy * (1 + sx * u) / b)) for sx, sy in _CORNERS]
            slopes += [(-2.0 * float(u) / a, 0.0), (0.0, -2.0 * float(v) / b)]
            for k, (gx, gy) in enumerate(slopes):
                strain[:, 2 * k] = (gx, 0.0, gy)
                strain[:, 2 * k + 1] = (0.0, gy, gx)
            full += wu * wv * a * b * strain.T @ law @ strain
    inner = np.linalg.solve(full[8:, 8:], full[8:, :8])
    result: np.ndarray = full[:8, :8] - full[:8, 8:] @ inner
    even: np.ndarray = 0.5 * (result + result.T)
    return even


def compliance(grid: Grid, keep: np.ndarray, cell: np.ndarray, fixed: np.ndarray, dofs: np.ndarray) -> np.ndarray:
    """Return the compliance matrix between chosen degrees of freedom of the kept cells.

    Parameters
    ----------
    grid : Grid
        The plate.
    keep : array of bool
        Which cells are there.
    cell : array (4 k, 4 k)
        Stiffness of one cell with k degrees of freedom at each node.
    fixed : array of int
        Degrees of freedom held by the support (k n + i for node n).
    dofs : array of int
        Degrees of freedom asked for; each must belong to a node of a kept cell, free of support.

    Returns
    -------
    array
        Displacement at one for a unit load at another [mm/N and so on].

    Notes
    -----
    Banded Cholesky factor with the nodes numbered along the shorter side.
    """
    from scipy.linalg import cho_solve_banded, cholesky_banded

    k = len(cell) // 4
    order = _short_first(grid)
    cells = order[grid.cells[keep]]
    where = (k * cells[:, :, None] + np.arange(k)).reshape(len(cells), 4 * k)
    n = k * (grid.nx + 1) * (grid.ny + 1)
    used = np.zeros(n, dtype=bool)
    used[where.ravel()] = True
    used[k * order[fixed // k] + fixed % k] = False
    place = np.cumsum(used) - 1
    free = int(used.sum())
    rows, cols = np.repeat(where, 4 * k, axis=1).ravel(), np.tile(where, (1, 4 * k)).ravel()
    ok = used[rows] & used[cols] & (rows >= cols)
    r, c = place[rows[ok]], place[cols[ok]]
    width = int((r - c).max()) + 1
    band = np.zeros((width, free))
    np.add.at(band, (r - c, c), np.tile(cell.ravel(), len(cells))[ok])
    loads = np.zeros((free, len(dofs)))
    asked = place[k * order[dofs // k] + dofs % k]
    loads[asked, np.arange(len(dofs))] = 1.0
    solved = cho_solve_banded((cholesky_banded(band, lower=True), True), loads)
    result: np.ndarray = solved[asked]
    return result


def _short_first(grid: Grid) -> np.ndarray:
    """New number of each node, counted along the grid's shorter side first: keeps the band narrow."""
    k = np.arange((grid.nx + 1) * (grid.ny + 1))
    i, j = k % (grid.nx + 1), k // (grid.nx + 1)
    order: np.ndarray = k if grid.nx <= grid.ny else i * (grid.ny + 1) + j
    return order
