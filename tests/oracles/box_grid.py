"""A closed box of flat plates on a grid of bricks' faces: another element than the package's, assembled in space.

Membrane: four-node rectangle with incompatible modes; bending: the twelve-term rectangle. Six freedoms at each node.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from oracles.plate_grid import cell_stiffness, membrane_stiffness


@dataclass(frozen=True)
class GridBox:
    """A box from the origin to (length, width) and down to -depth [mm], with cells of about one size.

    Parameters
    ----------
    length_mm, width_mm, depth_mm, thickness_mm, cell_mm : float
        Sizes [mm].
    modulus_N_per_mm2, poisson : float
        Elastic constants [N/mm2], [1].
    """

    length_mm: float
    width_mm: float
    depth_mm: float
    thickness_mm: float
    cell_mm: float
    modulus_N_per_mm2: float = 206_000.0
    poisson: float = 0.3

    @property
    def counts(self) -> tuple[int, int, int]:
        """Cells along length, width, depth."""
        x, y, z = (max(2, round(v / self.cell_mm)) for v in (self.length_mm, self.width_mm, self.depth_mm))
        return x, y, z

    def node(self, i: int, j: int, k: int) -> int:
        """Number of a grid point; those inside the box are never used."""
        nx, ny, _ = self.counts
        return i + (nx + 1) * (j + (ny + 1) * k)

    @property
    def steps(self) -> np.ndarray:
        """Size of a cell each way [mm]."""
        return np.array([self.length_mm, self.width_mm, self.depth_mm]) / self.counts

    def faces(self) -> list[tuple[np.ndarray, np.ndarray, np.ndarray, int]]:
        """Cells of each plate: its axes (two in its plane and the normal), corners, and the axis that stands on it."""
        nx, ny, nz = self.counts
        found = []
        for normal, (a, b), ends in ((2, (0, 1), (0, nz)), (1, (0, 2), (0, ny)), (0, (1, 2), (0, nx))):
            count = (nx, ny, nz)
            for end in ends:
                cells = []
                for p in range(count[a]):
                    for q in range(count[b]):
                        corners = []
                        for dp, dq in ((0, 0), (1, 0), (1, 1), (0, 1)):
                            at = [0, 0, 0]
                            at[a], at[b], at[normal] = p + dp, q + dq, end
                            corners.append(self.node(*at))
                        cells.append(corners)
                axes = np.zeros((3, 3))
                axes[0, a], axes[1, b] = 1.0, 1.0
                axes[2] = np.cross(axes[0], axes[1])
                found.append((axes, np.array(cells), np.array([self.steps[a], self.steps[b]]), normal))
        return found

    def assembled(
        self,
        size: int,
        without: frozenset[tuple[int, ...]] | set[tuple[int, ...]] = frozenset(),
        more: tuple[np.ndarray, float] | None = None,
    ) -> sparse.csc_matrix:
        """Stiffness on three displacements and three rotations of every node; k counts from the far face up.

        Cells named by their corners are left out; further cells lie in the skin's plane with a thickness of their own.
        """
        rows, columns, values = [], [], []
        faces = [(axes, cells, steps, self.thickness_mm) for axes, cells, steps, _ in self.faces()]
        if more is not None:
            faces.append((np.eye(3), more[0], self.steps[:2], more[1]))
        for axes, every, (dx, dy), thick in faces:
            cells = np.array([c for c in every.tolist() if tuple(c) not in without])
            one = self._cell(axes, float(dx), float(dy), thick)
            dofs = (6 * cells[:, :, None] + np.arange(6)).reshape(len(cells), 24)
            rows.append(np.repeat(dofs, 24, axis=1).ravel())
            columns.append(np.tile(dofs, (1, 24)).ravel())
            values.append(np.tile(one.ravel(), len(cells)))
        total = sparse.coo_matrix(
            (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), (size, size)
        )
        return sparse.csc_matrix(total)

    def _cell(self, axes: np.ndarray, dx: float, dy: float, thick: float) -> np.ndarray:
        """One cell's stiffness in space, with a little against turning about its normal."""
        rigidity = self.modulus_N_per_mm2 * thick**3 / 12 / (1 - self.poisson**2)
        flat = membrane_stiffness(dx, dy, self.modulus_N_per_mm2, self.poisson, thick)
        bent = cell_stiffness(dx, dy, rigidity, self.poisson)
        bring = np.zeros((5, 6))
        bring[:2, :3], bring[2, :3] = axes[:2], axes[2]
        bring[3, 3:], bring[4, 3:] = -axes[1], axes[0]
        one = np.zeros((24, 24))
        for m in range(4):
            one[6 * m + 3 : 6 * m + 6, 6 * m + 3 : 6 * m + 6] += 1e-6 * rigidity * np.outer(axes[2], axes[2])
            for n in range(4):
                block = bring[:2].T @ flat[2 * m : 2 * m + 2, 2 * n : 2 * n + 2] @ bring[:2]
                block += bring[2:].T @ bent[3 * m : 3 * m + 3, 3 * n : 3 * n + 3] @ bring[2:]
                one[6 * m : 6 * m + 6, 6 * n : 6 * n + 6] += block
        return one

    def far_edge(self) -> np.ndarray:
        """Nodes round the far face."""
        nx, ny, _ = self.counts
        ring = {self.node(i, j, 0) for i in range(nx + 1) for j in range(ny + 1) if i in (0, nx) or j in (0, ny)}
        return np.array(sorted(ring))

    def solve(self, load: np.ndarray, hold_N_per_mm: float) -> np.ndarray:
        """Displacements under loads (nodes, 6) with springs each way round the far face's edge."""
        nx, ny, nz = self.counts
        total = self.assembled(6 * (nx + 1) * (ny + 1) * (nz + 1))
        ring = self.far_edge()
        hold = np.zeros(total.shape[0])
        hold[(6 * ring[:, None] + np.arange(3)).ravel()] = hold_N_per_mm / len(ring)
        total = sparse.csc_matrix(total + sparse.diags(hold))
        used = np.flatnonzero(total.diagonal() > 0.0)
        moved = np.zeros(total.shape[0])
        moved[used] = splu(sparse.csc_matrix(total[used][:, used])).solve(load.ravel()[used])
        return moved.reshape(-1, 6)
