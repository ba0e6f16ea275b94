"""A welded insert on a grid: plate, skin, box by rectangular elements, solved whole at every step with metal that yields.

Nothing is shared with the package but the law of a station: four mean movements at the height of the weld, stress-free
joining, a spring that flows at its limit. Elements, mesh, rows, box and solver are others; plates are sharp rectangles
whose sides lie on grid lines.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy import sparse
from scipy.linalg import solve_triangular
from scipy.optimize import lsq_linear
from scipy.sparse.linalg import splu

from oracles.box_grid import GridBox

MOVES = 4
#: Two grid points and the distance between them [mm].
Edge = tuple[tuple[int, int], tuple[int, int], float]


@dataclass(frozen=True)
class GridInsert:
    """A rectangular plate flush in the skin of a box.

    Parameters
    ----------
    box : GridBox
        Box with the skin on top.
    plate_mm : (float, float, float, float)
        Left, bottom, right, top of the plate in the box's axes [mm].
    plate_thick_mm : float
        Thickness [mm].
    heights_mm : (float, float, float)
        Middle of plate, middle of skin, weld [mm].
    hold_N_per_mm : float
        Springs on the far edge of the box, each way, together [N/mm].
    soft_N_per_mm : (float, float)
        Springs that hold the plate in its plane and out of it, together [N/mm].
    """

    box: GridBox
    plate_mm: tuple[float, float, float, float]
    plate_thick_mm: float
    heights_mm: tuple[float, float, float]
    hold_N_per_mm: float
    soft_N_per_mm: tuple[float, float]


class GridWeld:
    """The assembled system with the rows of its stations."""

    def __init__(self, insert: GridInsert, stretches: list[tuple[float, float]]) -> None:
        self.insert, self.box = insert, insert.box
        nx, ny, nz = self.box.counts
        dx, dy, _ = self.box.steps
        left, bottom, right, top = insert.plate_mm
        self.low = (round(left / dx), round(bottom / dy))
        self.high = (round(right / dx), round(top / dy))
        self.skin_nodes = (nx + 1) * (ny + 1) * (nz + 1)
        self.width = self.high[0] - self.low[0] + 1
        whole = self._assembled()
        self.used = np.flatnonzero(whole.diagonal() > 0.0)
        self.whole = sparse.csc_matrix(whole[self.used][:, self.used])
        self.size = whole.shape[0]
        self.path = self._path()
        springs, tendons = [], []
        for start, end in stretches:
            rows, pull = self._station(start, end)
            springs += rows
            tendons.append(pull)
        self.springs = self._matrix(springs)
        self.tendons = self._matrix(tendons)

    def node(self, on_plate: bool, i: int, j: int) -> int:
        """Number of a grid point of the plate or of the skin."""
        if on_plate:
            return self.skin_nodes + (i - self.low[0]) + self.width * (j - self.low[1])
        return self.box.node(i, j, self.box.counts[2])

    def _assembled(self) -> sparse.csc_matrix:
        insert, box = self.insert, self.box
        inside = [
            [
                self.node(False, i, j),
                self.node(False, i + 1, j),
                self.node(False, i + 1, j + 1),
                self.node(False, i, j + 1),
            ]
            for i in range(self.low[0], self.high[0])
            for j in range(self.low[1], self.high[1])
        ]
        plate = [
            [self.node(True, i, j), self.node(True, i + 1, j), self.node(True, i + 1, j + 1), self.node(True, i, j + 1)]
            for i in range(self.low[0], self.high[0])
            for j in range(self.low[1], self.high[1])
        ]
        count = self.skin_nodes + self.width * (self.high[1] - self.low[1] + 1)
        whole = box.assembled(
            6 * count, without={tuple(c) for c in inside}, more=(np.array(plate), insert.plate_thick_mm)
        )
        hold = np.zeros(6 * count)
        far = box.far_edge()
        hold[(6 * far[:, None] + np.arange(3)).ravel()] = insert.hold_N_per_mm / len(far)
        corners = np.bincount(np.array(plate).ravel(), minlength=count) / (4.0 * len(plate))
        for axis in range(3):
            hold[axis::6] += insert.soft_N_per_mm[0 if axis < 2 else 1] * corners
        return sparse.csc_matrix(whole + sparse.diags(hold))

    def _path(self) -> list[tuple[int, int]]:
        """Grid points round the plate, counter-clockwise from its lower left corner."""
        (a, b), (c, d) = self.low, self.high
        bottom = [(i, b) for i in range(a, c)]
        right = [(c, j) for j in range(b, d)]
        top = [(i, d) for i in range(c, a, -1)]
        return bottom + right + top + [(a, j) for j in range(d, b, -1)]

    def _station(self, start: float, end: float) -> tuple[list[dict[int, float]], dict[int, float]]:
        """Rows of one stretch that begins and ends on grid points, and the elongation that its tendon works on."""
        plate_z, skin_z, weld_z = self.insert.heights_mm
        rows: list[dict[int, float]] = [{} for _ in range(MOVES)]
        pull: dict[int, float] = {}
        edges = self._edges(start, end)
        total = sum(e[2] for e in edges)
        thick = (self.insert.plate_thick_mm, self.box.thickness_mm)
        for body, sign, z in ((True, 1.0, plate_z), (False, -1.0, skin_z)):
            reach = weld_z - z
            for p, q, step in edges:
                along = np.array([q[0] - p[0], q[1] - p[1]], dtype=float)
                out = np.array([along[1], -along[0]])
                for point in (p, q):
                    base = 6 * self.node(body, *point)
                    # slopes: dw/dx = -turn y, dw/dy = turn x
                    slope = {0: (base + 4, -1.0), 1: (base + 3, 1.0)}
                    half = 0.5 * step / total
                    for axis in range(2):
                        dof, factor = slope[axis]
                        _add(rows[0], base + axis, sign * half * out[axis])
                        _add(rows[0], dof, -sign * reach * half * out[axis] * factor)
                        _add(rows[1], base + axis, sign * half * along[axis])
                        _add(rows[1], dof, -sign * reach * half * along[axis] * factor)
                        _add(rows[3], dof, sign * half * out[axis] * factor)
                    _add(rows[2], base + 2, sign * half)
            self._pull(pull, edges, body, thick[0 if body else 1] / sum(thick), reach)
        return rows, pull

    def _edges(self, start: float, end: float) -> list[Edge]:
        """Grid edges of a stretch, with their lengths."""
        dx, dy, _ = self.box.steps
        at, edges = 0.0, []
        for p, q in pairwise([*self.path, *self.path]):
            step = float(dx if p[1] == q[1] else dy)
            if start - 1e-6 <= at and at + step <= end + 1e-6:
                edges.append((p, q, step))
            at += step
        assert abs(sum(e[2] for e in edges) - (end - start)) < 1e-6, "a stretch must begin and end on grid points"
        return edges

    def _pull(self, pull: dict[int, float], edges: list[Edge], body: bool, share: float, reach: float) -> None:
        """Elongation of a stretch, edge by edge: what a tension along it works on."""
        for p, q, _ in edges:
            along = np.array([q[0] - p[0], q[1] - p[1]], dtype=float)
            for sign, point in ((-1.0, p), (1.0, q)):
                base = 6 * self.node(body, *point)
                for axis, (dof, factor) in enumerate(((base + 4, -1.0), (base + 3, 1.0))):
                    _add(pull, base + axis, share * sign * along[axis])
                    _add(pull, dof, -share * reach * sign * along[axis] * factor)

    def _matrix(self, rows: list[dict[int, float]]) -> sparse.csr_matrix:
        triples = [(i, j, v) for i, row in enumerate(rows) for j, v in row.items()]
        i, j, v = (np.array(t) for t in zip(*triples, strict=True))
        return sparse.csr_matrix(sparse.csr_matrix((v, (i, j)), shape=(len(rows), self.size))[:, self.used])

    def heights(self, moved: np.ndarray, places: np.ndarray) -> np.ndarray:
        """Heights of the plate at grid points given by their coordinates [mm]."""
        full = np.zeros(self.size)
        full[self.used] = moved
        dx, dy, _ = self.box.steps
        return np.array([full[6 * self.node(True, round(x / dx), round(y / dy)) + 2] for x, y in places])

    def follow(
        self, sequence: list[int], shift: np.ndarray, pull: np.ndarray, give: np.ndarray, limit: np.ndarray
    ) -> np.ndarray:
        """Displacements after an order: shift, give, limit (stations, 4), pull (stations,); tacks are not melted."""
        force = np.zeros(limit.size)
        moved = np.zeros(self.whole.shape[0])
        joined: list[int] = []
        for station in sequence:
            joined += list(range(MOVES * station, MOVES * (station + 1)))
            wish = np.zeros(limit.size)
            wish[MOVES * station : MOVES * (station + 1)] = shift[station]
            load = -pull[station] * self.tendons[station].toarray().ravel()
            change, force[joined] = self._step(joined, wish[joined], load, force[joined], give.ravel(), limit.ravel())
            moved = moved + change
        return moved

    def _step(
        self,
        joined: list[int],
        wish: np.ndarray,
        load: np.ndarray,
        before: np.ndarray,
        give: np.ndarray,
        limit: np.ndarray,
    ) -> tuple[np.ndarray, np.ndarray]:
        """One step: the whole system for a set of full springs, the step halved until the potential falls."""
        rows, stiff, most = self.springs[joined], 1.0 / give[joined], limit[joined]
        change = np.zeros(self.whole.shape[0])

        def potential(moved: np.ndarray) -> float:
            trial = np.abs(before + stiff * (wish - rows @ moved))
            held = np.where(trial <= most, 0.5 * trial**2, most * trial - 0.5 * most**2)
            return float(
                0.5 * moved @ (self.whole @ moved) - load @ moved + before @ (rows @ moved) + (held / stiff).sum()
            )

        for _ in range(100):
            trial = before + stiff * (wish - rows @ change)
            soft = rows[np.abs(trial) <= most]
            rest = load + rows.T @ (np.clip(trial, -most, most) - before) - self.whole @ change
            whole = sparse.csc_matrix(self.whole + soft.T @ sparse.diags(stiff[np.abs(trial) <= most]) @ soft)
            way = splu(whole, "MMD_AT_PLUS_A", 0.0, options={"SymmetricMode": True}).solve(rest)
            now, step = potential(change), 1.0
            if rest @ way <= 1e-10 * max(1.0, abs(now)):
                break
            while potential(change + step * way) > now - 1e-4 * step * (rest @ way) and step > 1e-6:
                step *= 0.5
            change = change + step * way
        else:
            raise AssertionError("the set of springs at their limit did not settle")
        return change, np.clip(before + stiff * (wish - rows @ change), -most, most)


@dataclass(frozen=True)
class Bounded:
    """The same joint by its give alone, its forces by bounded least squares of another library.

    Quicker where many orders are asked for on a fine grid, and another way to find what flows.
    """

    grid: GridWeld
    give: np.ndarray
    heights: np.ndarray

    @classmethod
    def of(cls, grid: GridWeld, places: np.ndarray) -> Bounded:
        """Solve the assembled system once for every movement and pull."""
        loads = sparse.vstack([grid.springs, grid.tendons]).toarray().T
        moved = splu(grid.whole, "MMD_AT_PLUS_A", 0.0, options={"SymmetricMode": True}).solve(loads)
        heights = np.array([grid.heights(m, places) for m in moved.T]).T
        return cls(grid, grid.springs @ moved, heights)

    def follow(
        self, sequence: list[int], shift: np.ndarray, pull: np.ndarray, give: np.ndarray, limit: np.ndarray
    ) -> np.ndarray:
        """Heights of the places after an order; see `GridWeld.follow`."""
        count = limit.size
        force, load = np.zeros(count), np.zeros(len(pull))
        own, wishes = self.give[:, :count], shift.ravel()
        joined: list[int] = []
        for station in sequence:
            mine = list(range(MOVES * station, MOVES * (station + 1)))
            joined += mine
            loaded = self.give[:, count + station] * -pull[station]
            load[station] = -pull[station]
            part = own[np.ix_(joined, joined)] + np.diag(give.ravel()[joined])
            wish = np.where(np.isin(joined, mine), wishes[joined], 0.0)
            right = wish - loaded[joined] + part @ force[joined]
            lower = np.linalg.cholesky(part)
            most = limit.ravel()[joined]
            new = lsq_linear(
                lower.T, solve_triangular(lower, right, lower=True), (-most, most), method="bvls", tol=1e-12
            ).x
            force[joined] = new
        return np.asarray(self.heights[:, :count] @ force + self.heights[:, count:] @ load)


def _add(row: dict[int, float], key: int, value: float) -> None:
    row[key] = row.get(key, 0.0) + value
