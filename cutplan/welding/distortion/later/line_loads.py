r"""A shrinking line within a sheet as loads: across, along and as a fold.

A bead on a sheet that is whole shrinks a strip far narrower than the mesh. As inherent strain on the line it is
:math:`\epsilon^* = -S\,\delta(n)\,n n^T` across, a pull :math:`-F\,\delta(n)\,t t^T` along, and
:math:`\kappa^* = \theta\,\delta(n)\,n n^T` as a fold; its loads are :math:`\int B^T N^* ds` along the line, whatever edges the
mesh has there [1]_.

References
----------
.. [1] Inherent deformation as eigenstrain on a line: Y. Ueda, H. Murakawa, N. Ma, Welding Deformation and Residual
   Stress Prevention (2012) (from memory); proven here against the exact movements of a free strip.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from cutplan.fem.bending import dof_count as bending_count
from cutplan.fem.bending import element_dofs as bending_dofs
from cutplan.fem.bending import slope_map
from cutplan.fem.membrane import barycentric_slopes, plane_stress
from cutplan.fem.membrane import dof_count as membrane_count
from cutplan.fem.membrane import element_dofs as membrane_dofs
from cutplan.fem.mesh import Floats, Ints, Mesh
from cutplan.welding.distortion.task import Sheet

#: How far outside a triangle a place still counts as in it, in barycentric coordinates [1].
EDGE = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class LineLoads:
    """Loads of a line on a sheet, in its plane and out of it: (3, freedoms) each, for a unit of what a bead wants.

    Rows: shrinkage across of 1 mm, pull along of 1 N, fold of 1 rad towards the upper side.
    """

    membrane: sparse.csr_matrix
    bending: sparse.csr_matrix


def line_loads(sheet: Sheet, mesh: Mesh, places: Floats, pieces_mm: Floats, height_mm: float) -> LineLoads:
    """Return the loads of a line; places in holes or beside the sheet are left out.

    Parameters
    ----------
    sheet : Sheet
        Thickness and elastic constants.
    mesh : Mesh
        Its triangles.
    places : ndarray (n, 2)
        Places along the line [mm].
    pieces_mm : ndarray (n,)
        Length at each [mm].
    height_mm : float
        Height of the pull over the middle surface [mm].
    """
    number, at = _found(mesh, places)
    inside = np.flatnonzero(number >= 0)
    number, at, length = number[inside], at[inside], pieces_mm[inside]
    along = _directions(places)[inside]
    thick = sheet.thickness_mm
    law = plane_stress(sheet.modulus_N_per_mm2, sheet.poisson)
    across, pull = _strain(np.column_stack([along[:, 1], -along[:, 0]])), _strain(along)
    # a resultant t t^T works on the strain along: its shear part is the tensor's, half of the shear angle's
    pulled = pull * np.array([1.0, 1.0, 0.5])
    flat = _gradients(mesh, number, at)
    bent = np.matmul(flat, slope_map(mesh)[number])
    in_plane = [-thick * across @ law, -pulled, np.zeros_like(pulled)]
    out = [np.zeros_like(pulled), height_mm * pulled, thick**3 / 12.0 * across @ law]
    return LineLoads(
        _rows(in_plane, flat, length, membrane_dofs(mesh)[number], membrane_count(mesh)),
        _rows(out, bent, length, bending_dofs(mesh)[number], bending_count(mesh)),
    )


def _rows(resultants: list[Floats], strain: Floats, length: Floats, dofs: Ints, count: int) -> sparse.csr_matrix:
    """One row for each resultant (n, 3), worked on the strains (n, 3, freedoms) over the lengths (n,)."""
    rows = []
    for resultant in resultants:
        load = np.einsum("ns,nsf->nf", resultant * length[:, None], strain)
        rows.append(np.bincount(dofs.ravel(), load.ravel(), count))
    return sparse.csr_matrix(np.array(rows))


def _strain(unit: Floats) -> Floats:
    """A unit stretch along (n, 2) directions as strain (xx, yy, shear angle)."""
    x, y = unit.T
    return np.column_stack([x * x, y * y, 2.0 * x * y])


def _gradients(mesh: Mesh, number: Ints, at: Floats) -> Floats:
    """Strains of the quadratic field of some triangles at a place in each, (n, 3, 12)."""
    slopes = barycentric_slopes(mesh)[number]
    corners = slopes * (4.0 * at - 1.0)[:, :, None]
    following = np.roll(slopes, -1, axis=1)
    sides = 4.0 * (slopes * np.roll(at, -1, axis=1)[:, :, None] + following * at[:, :, None])
    gradient = np.concatenate([corners, sides], axis=1)
    strain = np.zeros((len(number), 3, 12))
    strain[:, 0, 0::2] = gradient[:, :, 0]
    strain[:, 1, 1::2] = gradient[:, :, 1]
    strain[:, 2, 0::2] = gradient[:, :, 1]
    strain[:, 2, 1::2] = gradient[:, :, 0]
    return strain


def _found(mesh: Mesh, places: Floats) -> tuple[Ints, Floats]:
    """The triangle of each place, -1 where there is none, and barycentric coordinates (n, 3)."""
    slopes = barycentric_slopes(mesh)
    first = mesh.points[mesh.triangles[:, 0]]
    number, at = np.full(len(places), -1, dtype=np.int64), np.zeros((len(places), 3))
    for i, place in enumerate(places):
        share = np.einsum("mcx,mx->mc", slopes, place - first)
        share[:, 0] += 1.0
        best = int(np.argmax(share.min(axis=1)))
        if share[best].min() >= -EDGE:
            number[i], at[i] = best, share[best]
    return number, at


def _directions(places: Floats) -> Floats:
    """Unit direction of a line at each of its places, (n, 2)."""
    step = np.gradient(places, axis=0)
    return np.asarray(step / np.hypot(step[:, 0], step[:, 1])[:, None])
