"""Fields of the sheets condensed onto rows: each alone, joined at the height of the weld, and with the box put on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import pairwise

import numpy as np
from scipy import sparse

from cutplan.fem.box import BoxShape, box_stiffness
from cutplan.fem.box_edge import edge_forces, edge_rows
from cutplan.fem.mesh import Floats, Ints
from cutplan.fem.solve import COLUMNS, factored
from cutplan.welding.distortion.model.bodies import Body

#: Share of the largest change of stiffness that counts as none [1].
_NOTHING = 1e-12


def condensed_field(stiffness: sparse.csc_matrix, rows: sparse.csr_matrix) -> Floats:
    """Return the compliance between all rows in one field; solved block by block, so that memory holds one at a time.

    Parameters
    ----------
    stiffness : sparse matrix
        Stiffness of the field.
    rows : sparse matrix (rows, freedoms)
        What one unit on each row means as loads.
    """
    used = np.flatnonzero(np.diff(rows.indptr))
    first, number, way = _alike(rows[used])
    some = rows[used[first]]
    between = np.empty((len(first), len(first)))
    solve = factored(stiffness)
    # rows feel few freedoms: no more of the movement is looked at
    felt = np.unique(some.indices)
    near = sparse.csr_matrix(some[:, felt])
    for i in range(0, len(first), COLUMNS):
        between[:, i : i + COLUMNS] = near @ solve(some[i : i + COLUMNS].toarray().T)[felt]
    total = np.zeros((rows.shape[0], rows.shape[0]))
    total[np.ix_(used, used)] = way[:, None] * between[np.ix_(number, number)] * way
    total += total.T
    total *= 0.5
    return total


def stiffened_field(
    known: Floats, before: sparse.csc_matrix, after: sparse.csc_matrix, rows: sparse.csr_matrix
) -> Floats:
    r"""Return the compliance between all rows in one field whose stiffness became another one on few freedoms [1]_.

    .. math:: C - C_{rp} R\,(S + R^T C_{pp} R)^{-1} R^T C_{pr}, \qquad \Delta K = R\,S R^T, \quad S = \mathrm{diag}(\pm 1)

    Parameters
    ----------
    known : ndarray (rows, rows)
        The compliance before, C.
    before, after : sparse matrix
        Stiffness of the field.
    rows : sparse matrix (rows, freedoms)
        What one unit on each row means as loads.

    References
    ----------
    .. [1] Inverse of a matrix changed by one of low rank, M. A. Woodbury (1950), from memory.
    """
    change = sparse.csr_matrix(after - before)
    change.eliminate_zeros()
    felt = np.flatnonzero(np.diff(change.indptr))
    if len(felt) > np.count_nonzero(np.diff(rows.indptr)):
        return condensed_field(after, rows)
    value, vector = np.linalg.eigh(change[felt][:, felt].toarray())
    kept = np.abs(value) > _NOTHING * np.abs(value).max(initial=0.0)
    root = np.zeros((before.shape[0], int(kept.sum())))
    root[felt] = vector[:, kept] * np.sqrt(np.abs(value[kept]))
    moved = factored(before)(root)
    beside, inner = rows @ moved, root.T @ moved
    total = known - beside @ np.linalg.solve(0.5 * (inner + inner.T) + np.diag(np.sign(value[kept])), beside.T)
    return np.asarray(0.5 * (total + total.T))


def _alike(rows: sparse.csr_matrix) -> tuple[Ints, Ints, Floats]:
    """Rows that are neither an earlier one nor its opposite; for each row its number among these, and 1 or -1 as it goes.

    The lever of a station's closing is its fold the other way round.
    """
    seen: dict[bytes, tuple[int, float]] = {}
    first: list[int] = []
    found: list[tuple[int, float]] = []
    for i, (start, end) in enumerate(pairwise(rows.indptr.tolist())):
        where, what = rows.indices[start:end].tobytes(), rows.data[start:end]
        key = where + what.tobytes()
        if key not in seen:
            seen[key], seen[where + (-what).tobytes()] = (len(first), 1.0), (len(first), -1.0)
            first.append(i)
        found.append(seen[key])
    number, way = zip(*found, strict=True) if found else ((), ())
    return np.array(first, dtype=int), np.array(number, dtype=int), np.array(way)


def field_scales(bodies: tuple[Body, Body], lever: Floats, weld_z_mm: float) -> tuple[Floats, ...]:
    """Return the factor of each row in each field: the weld's height over the sheet's middle where a row feels it.

    Parameters
    ----------
    bodies : (Body, Body)
        Plate and skin.
    lever : ndarray (rows,)
        1 for rows that feel the height, else 0.
    weld_z_mm : float
        Height of the weld [mm].
    """
    scales = []
    for body in bodies:
        reach = weld_z_mm - body.sheet.middle_z_mm
        scales += [np.ones(len(lever)), np.where(lever > 0.0, reach, 1.0)]
    return tuple(scales)


def joined_fields(fields: Iterable[Floats], scales: Sequence[Floats]) -> Floats:
    """Return the compliance of all fields together, (rows, rows), their rows scaled; one field is held at a time."""
    total = np.zeros((len(scales[0]), len(scales[0])))
    for field, scale in zip(fields, scales, strict=True):
        if (scale == 1.0).all():
            total += field
        else:
            scaled = field * scale[:, None]
            scaled *= scale[None, :]
            total += scaled
    return total


def with_edge(rows: Sequence[sparse.csr_matrix], skin: Body) -> tuple[sparse.csr_matrix, ...]:
    """Return the rows of the four fields with those of the skin's edge after them, where it stands on a box.

    Parameters
    ----------
    rows : sequence of sparse matrix
        Rows of the plate's two fields, then of the skin's.
    skin : Body
        The skin.
    """
    if not skin.sheet.wall_held:
        return tuple(rows)
    edge = edge_rows(skin.mesh, skin.mesh.chains[0])
    empty = [sparse.csr_matrix((edge[0].shape[0], r.shape[1])) for r in rows[:2]]
    return tuple(sparse.csr_matrix(sparse.vstack([r, e])) for r, e in zip(rows, (*empty, *edge), strict=True))


def box_of(skin: Body) -> Floats:
    """Return the stiffness of the box behind a skin on its edge, (edge, edge); of shape (0, 0) where it stands on none."""
    sheet = skin.sheet
    if not sheet.wall_held:
        return np.empty((0, 0))
    shape = BoxShape(
        sheet.wall_depth_mm, sheet.thickness_mm, sheet.modulus_N_per_mm2, sheet.poisson, skin.hold_N_per_mm
    )
    return _box(skin.mesh.points[skin.mesh.chains[0].nodes].tobytes(), shape)


@lru_cache(maxsize=8)
def _box(ring: bytes, shape: BoxShape) -> Floats:
    """The same box is asked for with and without a brace."""
    stiffness = box_stiffness(np.frombuffer(ring).reshape(-1, 2), shape)
    stiffness.setflags(write=False)
    return stiffness


def on_box(compliance: Floats, box: Floats) -> tuple[Floats, Floats]:
    """Return the compliance of all rows with the box put on, and the forces on the edge per unit on each row.

    Parameters
    ----------
    compliance : ndarray (rows + edge, rows + edge)
        Of all rows and, last, of the edge, without the box.
    box : ndarray (edge, edge)
        Stiffness of the box on the edge.
    """
    if not len(box):
        return compliance, np.empty((0, len(compliance)))
    forces = edge_forces(compliance, box)
    rows = len(compliance) - len(box)
    total = compliance[:rows, :rows] + compliance[:rows, rows:] @ forces
    total += total.T
    total *= 0.5
    return total, forces
