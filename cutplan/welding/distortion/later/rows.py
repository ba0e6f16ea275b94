"""Rows of the welds after the stitches on the plate: what holds a sleeve or a rib to it, and what its beads put on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import sparse

from cutplan.fem import along
from cutplan.fem.mesh import Chain, Floats, Ints, Mesh
from cutplan.fem.outline import length_at, lengths_along
from cutplan.welding.distortion.later.line_loads import line_loads
from cutplan.welding.distortion.later.parts import LaterPart
from cutplan.welding.distortion.later.rib_bar import rib_bar, rib_fixings
from cutplan.welding.distortion.model.bodies import Body
from cutplan.welding.distortion.model.brace import make_brace
from cutplan.welding.distortion.model.condensed import MOVES
from cutplan.welding.distortion.model.rows import RowTable

#: A sleeve not yet welded is held this softly, each way and against turning over its radius [N/mm].
LOOSE_N_PER_MM = 100.0
#: A sleeve's hole is the one in the mesh whose middle lies this near to it, in its radii [1].
SAME_HOLE = 0.2


@dataclass(frozen=True, slots=True, eq=False)
class PartRows:
    """One sleeve or rib on the plate.

    Parameters
    ----------
    part : LaterPart
        What it is.
    springs : (sparse matrix, sparse matrix)
        Rows of what is joined, in the plate's plane and out of it (springs, freedoms).
    own : ndarray (springs, springs)
        Compliance of these rows besides the plate's: of the sleeve that moves as a whole, of the rib's stretches.
    loads : (sparse matrix, sparse matrix)
        Rows of shrinkage, pull and fold of one bead (3, freedoms); of a sleeve none.
    lengths_mm : ndarray
        Length of each bead of a sleeve [mm].
    """

    part: LaterPart
    springs: tuple[sparse.csr_matrix, sparse.csr_matrix]
    own: Floats
    loads: tuple[sparse.csr_matrix, sparse.csr_matrix]
    lengths_mm: Floats

    @property
    def count(self) -> int:
        """Number of springs."""
        return len(self.own)


def part_rows(plate: Body, parts: Sequence[LaterPart]) -> tuple[list[PartRows], tuple[str, ...]]:
    """Return the rows of each part, and the names of those that the mesh cannot take.

    Parameters
    ----------
    plate : Body
        The plate.
    parts : sequence of LaterPart
        Sleeves and ribs.
    """
    found, out = [], []
    for part in parts:
        rows = _sleeve(plate, part) if part.kind == "sleeve" else _rib(plate, part)
        if rows is None:
            out.append(part.name)
        else:
            found.append(rows)
    return found, tuple(out)


def _sizes(plate: Body) -> tuple[int, int]:
    return plate.membrane.shape[0], plate.bending.shape[0]


def resized(plate: Body, one: PartRows, part: LaterPart) -> PartRows:
    """Return the rows of a part as another one of other thickness and depth; what its beads put on stays as it is.

    Parameters
    ----------
    plate : Body
        The plate.
    one : PartRows
        A part on it.
    part : LaterPart
        The same, thinner or thicker.
    """
    if part is one.part:
        return one
    springs, own = _bar(plate, part, rib_fixings(plate.mesh, part.beads[0]))
    return replace(one, part=part, springs=springs, own=own)


def _rib(plate: Body, part: LaterPart) -> PartRows | None:
    """A rib: stretches of a beam, and line loads of its two fillets, which lie on the same line."""
    vertices = rib_fixings(plate.mesh, part.beads[0])
    if len(vertices) < 2:
        return None
    springs, own = _bar(plate, part, vertices)
    loads = line_loads(plate.sheet, plate.mesh, part.beads[0], part.pieces_mm, part.height_mm)
    return PartRows(part, springs, own, (loads.membrane, loads.bending), np.empty(0))


def _bar(plate: Body, part: LaterPart, vertices: Ints) -> tuple[tuple[sparse.csr_matrix, sparse.csr_matrix], Floats]:
    """Rows of a rib's stretches, and their own compliance."""
    bar = rib_bar(part.name, plate.mesh.points[vertices], part.section_mm, plate.sheet)
    springs = make_brace(bar, (plate, plate))
    table = RowTable(len(springs.give), [])
    springs.add_rows(table, 0)
    inside, out = table.matrices(_sizes(plate))
    return (inside, out), np.diag(springs.give)


def _sleeve(plate: Body, part: LaterPart) -> PartRows | None:
    """A sleeve: four movements of each quarter of the hole's edge against a ring that is stiff and loose."""
    middle = np.mean([b.mean(axis=0) for b in part.beads], axis=0)
    radius = float(np.hypot(*(part.beads[0] - middle).T).mean())
    chain = _hole(plate.mesh, middle, radius)
    if chain is None:
        return None
    table = RowTable(MOVES * len(part.beads), [])
    rigid = np.zeros((table.count, 6))
    length = np.zeros(len(part.beads))
    for number, bead in enumerate(part.beads):
        stretch = _stretch(plate.mesh, chain, bead, middle, len(part.beads))
        length[number] = stretch.total_mm
        row = MOVES * number
        _add_edge(table, row, stretch, part.height_mm)
        rigid[row : row + MOVES] = _ring(stretch, plate.mesh, middle, part.height_mm)
    loose = np.array([1.0, 1.0, 1.0 / radius**2, 1.0, 1.0 / radius**2, 1.0 / radius**2]) / LOOSE_N_PER_MM
    own = rigid * loose @ rigid.T + np.diag(_fillet_give(plate, part, length))
    inside, out = table.matrices(_sizes(plate))
    none = tuple(sparse.csr_matrix((0, size)) for size in _sizes(plate))
    return PartRows(part, (inside, out), own, (none[0], none[1]), length)


def _hole(mesh: Mesh, middle: Floats, radius: float) -> Chain | None:
    """The edge of the hole that a sleeve stands in, clockwise: the plate lies on its left."""
    for chain in mesh.chains[1:]:
        nodes = mesh.points[chain.nodes]
        if not chain.closed or np.abs(np.hypot(*(nodes - middle).T) - radius).max() > SAME_HOLE * radius:
            continue
        x, y = (nodes - middle).T
        left_round = float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum()) > 0.0
        return Chain(chain.nodes[::-1], True) if left_round else chain
    return None


def _stretch(mesh: Mesh, chain: Chain, bead: Floats, middle: Floats, count: int) -> along.Stretch:
    """The part of a hole's edge that one of so many equal beads covers."""
    half, radius = np.pi / count, float(np.hypot(*(bead - middle).T).mean())
    x, y = bead.mean(axis=0) - middle
    angles = np.arctan2(y, x) + np.array([half, -half])
    ends = middle + radius * np.column_stack([np.cos(angles), np.sin(angles)])
    line = mesh.points[chain.nodes]
    start, end = (float(v) for v in length_at(line, True, ends))
    return along.stretch_of(mesh, chain, start, end if end > start else end + float(lengths_along(line, True)[-1]))


def _add_edge(table: RowTable, row: int, stretch: along.Stretch, height_mm: float) -> None:
    """Closing, sliding, step and fold of the hole's edge, its material on the left, taken at a height."""
    across = along.mean_slope_across(stretch)
    table.add(row, 0, along.mean_in_plane(stretch, across=True), 1.0)
    table.add(row, 1, across, -height_mm)
    table.add(row + 1, 0, along.mean_in_plane(stretch, across=False), 1.0)
    table.add(row + 1, 1, along.mean_slope_along(stretch), -height_mm)
    table.add(row + 2, 1, along.mean_height(stretch), 1.0)
    table.add(row + 3, 1, across, 1.0)


def _ring(stretch: along.Stretch, mesh: Mesh, middle: Floats, height_mm: float) -> Floats:
    """The same four movements of a stiff ring, (4, 6): per shift x and y, turn, lift, slope x and slope y."""
    share = (stretch.last - stretch.first) * stretch.length_mm / stretch.total_mm
    at = 0.5 * (stretch.first + stretch.last)[:, None]
    off = (1.0 - at) * mesh.points[stretch.start] + at * mesh.points[stretch.end] - middle
    across, forth = share @ stretch.across, share @ stretch.along
    rows = np.zeros((MOVES, 6))
    for row, way in ((0, stretch.across), (1, stretch.along)):
        rows[row, :2] = share @ way
        rows[row, 2] = share @ (off[:, 0] * way[:, 1] - off[:, 1] * way[:, 0])
    rows[0, 4:], rows[1, 4:] = -height_mm * across, -height_mm * forth
    rows[2, 3], rows[2, 4:] = 1.0, share @ off
    rows[3, 4:] = across
    return rows


def _fillet_give(plate: Body, part: LaterPart, length: Floats) -> Floats:
    """Compliance of a fillet as a strip as wide as its throat: stretched, sheared, sheared and bent."""
    modulus, poisson = plate.sheet.modulus_N_per_mm2, plate.sheet.poisson
    pull = 1.0 / (modulus * length)
    slide = 2.0 * (1.0 + poisson) * pull
    fold = 12.0 * (1.0 - poisson**2) / (modulus * part.throat_mm**2 * length)
    return np.column_stack([pull, slide, slide, fold]).ravel()
