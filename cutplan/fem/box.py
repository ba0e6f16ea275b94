"""A box behind a skin, its walls and far face folded along the skin's edge, brought down to that edge.

Every plate is plane stress and thin-plate bending of the same elements as the skin. Where plates meet in a fold, vertices
share three displacements and three rotations; the middle of a fold moves along it by a freedom of its own and across it
with the cubic that its ends give, which is what the bending of the other plate does there.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import sparse
from scipy.linalg import cho_factor, cho_solve

from cutplan.fem.bending import bending_stiffness
from cutplan.fem.box_mesh import FlatPlate, box_plates
from cutplan.fem.membrane import membrane_stiffness
from cutplan.fem.mesh import Floats, Ints
from cutplan.fem.solve import COLUMNS, factored

#: Freedoms of the skin's edge at each vertex: x, y, height, slope x, slope y; and one at each edge's middle, along it.
PER_VERTEX, PER_EDGE = 5, 1
#: Stiffness against turning about a plate's normal, which thin plates lack, as a share of bending rigidity [1].
_DRILL = 1e-6

#: Entries of a sparse matrix: rows, columns, values, of one shape each.
Entry = tuple[Ints, Ints, Floats]
Entries = list[Entry]


@dataclass(frozen=True, slots=True)
class BoxShape:
    """A box of even sheet.

    Parameters
    ----------
    depth_mm, thickness_mm : float
        Depth of the walls; thickness of walls and far face [mm].
    modulus_N_per_mm2, poisson : float
        Elastic constants [N/mm2], [1].
    hold_N_per_mm : float
        How stiffly the vehicle holds the box, each way, spread over the far edges of its walls [N/mm].
    """

    depth_mm: float
    thickness_mm: float
    modulus_N_per_mm2: float
    poisson: float
    hold_N_per_mm: float


def box_stiffness(ring: Floats, shape: BoxShape) -> Floats:
    """Return the stiffness of a box on the edge of its skin.

    Parameters
    ----------
    ring : ndarray (n, 2)
        Vertices of the skin's outer edge, counter-clockwise, corners among them; convex [mm].
    shape : BoxShape
        The box.

    Returns
    -------
    ndarray (6 n, 6 n)
        On x, y, height, slope x, slope y of each vertex in turn, then on the displacement along each edge at its middle,
        from vertex i to i + 1 [N/mm], [N], [N mm].

    Notes
    -----
    Walls stand square to the skin. Thin sheet; the plates are not stiffened by curvature or beads.
    """
    count = PER_VERTEX + PER_EDGE
    loose, far = _loose(ring.tobytes(), shape.depth_mm, shape.thickness_mm, shape.modulus_N_per_mm2, shape.poisson)
    edge = count * len(ring)
    # the far freedoms give way to the hold
    held = loose[edge:, edge:] + shape.hold_N_per_mm / (far / 3) * np.eye(far)
    result = loose[:edge, :edge] - loose[:edge, edge:] @ cho_solve(cho_factor(held), loose[edge:, :edge])
    return np.asarray(0.5 * (result + result.T))


@lru_cache(maxsize=4)
def _loose(
    ring: bytes, depth_mm: float, thickness_mm: float, modulus_N_per_mm2: float, poisson: float
) -> tuple[Floats, int]:
    """Stiffness of a box that nothing holds on the edge of its skin, then on what would be held; and how many those are."""
    line = np.frombuffer(ring).reshape(-1, 2)
    plates, place, far = box_plates(line, depth_mm)
    total = _assembled(plates, place, len(line), (thickness_mm, modulus_N_per_mm2, poisson))
    size = total.shape[0]
    edge = _edge_freedoms(len(line), 6 * len(place), size)
    grip = (6 * far[:, None] + np.arange(3)).ravel()
    one = sparse.csr_matrix((np.ones(len(grip)), (np.arange(len(grip)), grip)), shape=(len(grip), size))
    bring = sparse.csr_matrix(sparse.vstack([edge, one]))
    inner = np.setdiff1d(np.arange(size), bring.indices)
    across = sparse.csc_matrix(total[inner]) @ bring.T
    solve = factored(sparse.csc_matrix(total[inner][:, inner]))
    result = (bring @ total @ bring.T).toarray()
    columns = across.toarray()
    for i in range(0, columns.shape[1], COLUMNS):
        result[:, i : i + COLUMNS] -= across.T @ solve(columns[:, i : i + COLUMNS])
    result = 0.5 * (result + result.T)
    result.setflags(write=False)
    return result, len(grip)


def _edge_freedoms(count: int, middles: int, size: int) -> sparse.csr_matrix:
    """Rows that pick the edge's freedoms out of all, slopes out of rotations: dw/dx = -turn y, dw/dy = turn x."""
    vertex = np.arange(count)
    rows = np.concatenate([(PER_VERTEX * vertex[:, None] + np.arange(PER_VERTEX)).ravel(), PER_VERTEX * count + vertex])
    columns = np.concatenate([(6 * vertex[:, None] + np.array([0, 1, 2, 4, 3])).ravel(), middles + vertex])
    values = np.concatenate([np.tile([1.0, 1.0, 1.0, -1.0, 1.0], count), np.ones(count)])
    return sparse.csr_matrix((values, (rows, columns)), shape=((PER_VERTEX + PER_EDGE) * count, size))


def _assembled(
    plates: list[FlatPlate], place: Floats, count: int, elastic: tuple[float, float, float]
) -> sparse.csc_matrix:
    """Stiffness of all plates on six freedoms of every vertex, then one of each fold, then two of each other middle."""
    folds = _fold_numbers(plates, count)
    size = 6 * len(place) + len(folds)
    parts = []
    for plate in plates:
        flat, out, size = _brought(plate, place, folds, size)
        parts.append((plate, flat, out))
    drill = _DRILL * elastic[0] ** 3 / 12.0 * elastic[1]
    total = sparse.csc_matrix((size, size))
    for plate, flat, out in parts:
        mesh = plate.mesh
        own = _matrix(flat, 2 * (len(mesh.points) + len(mesh.edges)), size)
        bent = _matrix(out, 3 * len(mesh.points), size)
        turned = _matrix(_turns(plate), len(mesh.points), size)
        total = total + own.T @ membrane_stiffness(mesh, *elastic) @ own
        total = total + bent.T @ bending_stiffness(mesh, *elastic) @ bent + drill * (turned.T @ turned)
    return sparse.csc_matrix(total)


def _matrix(entries: Entries, rows: int, columns: int) -> sparse.csr_matrix:
    row, column, value = (np.concatenate([np.ravel(part[k]) for part in entries]) for k in range(3))
    return sparse.csr_matrix((value, (row.astype(np.int64), column.astype(np.int64))), shape=(rows, columns))


def _spread(rows: Ints, columns: Ints, values: Floats) -> Entry:
    """Entries of rows (n) in columns (n, k) with the same values (k) in each."""
    return np.broadcast_to(rows[:, None], columns.shape), columns, np.broadcast_to(values, columns.shape)


def _fold_numbers(plates: list[FlatPlate], count: int) -> dict[tuple[int, int], int]:
    """Number of each edge that is a fold; the skin's edges first, each by the number of its start."""
    folds = {(min(i, j), max(i, j)): i for i, j in ((i, (i + 1) % count) for i in range(count))}
    seen = set(folds)
    for plate in plates:
        for a, b in plate.vertex[plate.mesh.edges].tolist():
            key = (min(a, b), max(a, b))
            if key in seen and key not in folds:
                folds[key] = len(folds)
            seen.add(key)
    return folds


def _turns(plate: FlatPlate) -> Entries:
    """Rotation of each vertex about the plate's normal."""
    turns = 6 * plate.vertex[:, None] + np.arange(3, 6)
    return [_spread(np.arange(len(turns)), turns, plate.axes[2])]


def _brought(
    plate: FlatPlate, place: Floats, folds: dict[tuple[int, int], int], size: int
) -> tuple[Entries, Entries, int]:
    """From all freedoms to the plate's own, in plane and out of it; and how many freedoms there are then."""
    local = np.arange(len(plate.vertex))
    moves = 6 * plate.vertex[:, None] + np.arange(3)
    flat = [_spread(2 * local + k, moves, plate.axes[k]) for k in range(2)]
    # slope along the first axis is minus the turn about the second, along the second the turn about the first
    out = [
        _spread(3 * local, moves, plate.axes[2]),
        _spread(3 * local + 1, moves + 3, -plate.axes[1]),
        _spread(3 * local + 2, moves + 3, plate.axes[0]),
    ]
    free: list[int] = []
    middles: list[tuple[int, int, int, int]] = []
    for number, (a, b) in enumerate(plate.vertex[plate.mesh.edges].tolist()):
        row = 2 * (len(local) + number)
        ends = (min(a, b), max(a, b))
        fold = folds.get(ends)
        if fold is None:
            free += [row, row + 1]
        else:
            # the skin's edges run round the ring from the vertex of their number; other folds from low to high
            order = ends[::-1] if fold == ends[1] else ends
            middles.append((*order, 6 * len(place) + fold, row))
    flat += [_fold_middles(plate, place, np.array(middles))] if middles else []
    more = len(free)
    flat.append((np.array(free, dtype=np.int64), size + np.arange(more), np.ones(more)))
    return flat, out, size + more


def _fold_middles(plate: FlatPlate, place: Floats, middles: Ints) -> Entry:
    """The middles of folds: along each a freedom of its own, across it the cubic of its ends.

    ``middles`` (folds, 4): start and end of each, its freedom, and the first of its rows in the plate.
    """
    start, end, number, row = middles.T
    run = place[end] - place[start]
    length = np.sqrt((run * run).sum(axis=1))
    along = run / length[:, None]
    across = np.cross(plate.axes[2], along)
    step, bend = 0.5 * across, 0.125 * length[:, None] * np.cross(along, across)
    ends = (6 * np.column_stack([start, end])[:, :, None] + np.arange(6)).reshape(-1, 12)
    columns = np.broadcast_to(np.column_stack([number, ends])[:, None, :], (len(middles), 2, 13))
    values = (across @ plate.axes[:2].T)[:, :, None] * np.hstack([0.0 * length[:, None], step, bend, step, -bend])[
        :, None
    ]
    values[:, :, 0] = along @ plate.axes[:2].T
    return np.broadcast_to((row[:, None] + np.arange(2))[:, :, None], columns.shape), columns, values
