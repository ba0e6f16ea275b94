"""The condensed model: one compliance over stations, tendons, brace and pads, from which every order is a chain.

Plate and skin are factored once; after that no mesh is touched. Rows are ordered: brace stretches, station movements
(four each: closing, sliding, step, fold), pad outputs, tendons.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import sparse

from cutplan.errors import JobError
from cutplan.fem.along import Row
from cutplan.fem.mesh import Floats, Ints
from cutplan.fem.outline import lengths_along
from cutplan.fem.solve import factored
from cutplan.welding.distortion.bodies import Body, make_bodies, pad_points
from cutplan.welding.distortion.brace import BraceSprings, make_brace
from cutplan.welding.distortion.rows import RowTable, add_station, add_tendon
from cutplan.welding.distortion.stations import Stations, make_stations
from cutplan.welding.distortion.task import Bead, Inherent, OrderOptions, WeldTask

#: Movements of a station: closing, sliding, step, fold.
MOVES = 4
#: The three kinds of inherent deformation.
KINDS = ("shrink", "tendon", "angle")


@dataclass(frozen=True, slots=True, eq=False)
class PadSet:
    """Vertices at which pads are measured.

    ``place`` (p, 2) [mm] are the vertices; ``centre`` (q, 2) [mm] the middle of each pad's vertices.
    """

    place: Floats
    centre: Floats
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """Everything that orders need.

    Parameters
    ----------
    stations : Stations
        Stations of the beads.
    compliance : ndarray
        Movement of each row per unit force on each row, plate and skin not yet joined.
    give : ndarray (brace + 4 stations,)
        Compliance of brace stretches, then of the weld metal of each station's movements.
    brace_count, output_count : int
        Numbers of rows of brace stretches and of pad outputs.
    shift : dict of str to ndarray (4 stations,)
        Stress-free movement that each station's bead wants when it cools, by kind, middle values.
    tendon_N : ndarray
        Tendon force of each station's bead, middle values [N].
    section_mm2 : ndarray
        Throat times length of each station [mm2].
    lift : ndarray (vertices, rows)
        Height of every vertex of plate then skin per unit force on each row; empty unless asked for.
    """

    task: WeldTask
    beads: tuple[Bead, ...]
    inherent: tuple[Inherent, ...]
    stations: Stations
    compliance: Floats
    give: Floats
    brace_count: int
    output_count: int
    shift: dict[str, Floats]
    tendon_N: Floats
    section_mm2: Floats
    pads: PadSet
    bodies: tuple[Body, Body]
    rows: tuple[sparse.csr_matrix, ...]
    lift: Floats

    @property
    def spring_count(self) -> int:
        """Brace stretches and station movements."""
        return self.brace_count + MOVES * self.stations.count

    @property
    def outputs(self) -> slice:
        return slice(self.spring_count, self.spring_count + self.output_count)

    @property
    def tendons(self) -> slice:
        start = self.spring_count + self.output_count
        return slice(start, start + self.stations.count)


def make_model(
    task: WeldTask, beads: Sequence[Bead], inherent: Sequence[Inherent], options: OrderOptions, with_lift: bool = False
) -> Model:
    """Mesh and condense one welded insert.

    Parameters
    ----------
    task : WeldTask
        Geometry.
    beads : sequence of Bead
        Tacks and stitches.
    inherent : sequence of Inherent
        What each bead does when it cools.
    options : OrderOptions
        Mesh size and hold.
    with_lift : bool
        Keep what is needed for displaced shapes.

    Raises
    ------
    JobError
        When beads are missing or do not match their shrinkages.
    """
    if not beads or len(beads) != len(inherent):
        raise JobError("each bead needs its shrinkage", where=f"{len(beads)} beads, {len(inherent)} shrinkages")
    bodies = make_bodies(task, options)
    stations = make_stations(task.path, beads)
    brace = make_brace(task.brace, bodies) if task.brace else None
    braced = len(brace.give) if brace else 0
    pads, pad_vertices = _pads(task, bodies[0])
    springs = braced + MOVES * stations.count
    outputs = len(pads.place) + 2 * len(pads.centre)
    table = RowTable(springs + outputs + stations.count, [])
    if brace:
        brace.add_rows(table, 0)
    length = np.zeros(stations.count)
    for i in range(stations.count):
        stretches = [b.stretch(task.path, stations.start_mm[i], stations.end_mm[i]) for b in bodies]
        length[i] = stretches[0].total_mm
        add_station(table, braced + MOVES * i, bodies, stretches, task.weld_z_mm)
        add_tendon(table, springs + outputs + i, bodies, stretches, task.weld_z_mm)
    _add_pads(table, springs, pad_vertices)
    fields = [m for b in bodies for m in (b.membrane, b.bending)]
    rows = table.matrices([m.shape[0] for m in fields])
    compliance, lift = _condensed(fields, rows, with_lift)
    throat = np.array([beads[b].throat_mm or _thinner(task) for b in stations.bead])
    shift, tendon = _wishes(stations, inherent)
    give = np.concatenate([brace.give if brace else np.empty(0), _metal_give(task, throat, length)])
    return Model(
        task, tuple(beads), tuple(inherent), stations, compliance, give, braced, outputs, shift, tendon,
        throat * length, pads, bodies, rows, lift,
    )  # fmt: skip


def _thinner(task: WeldTask) -> float:
    return min(task.plate.thickness_mm, task.skin.thickness_mm)


def _metal_give(task: WeldTask, throat: Floats, length: Floats) -> Floats:
    """Compliance of the weld metal at each station: a strip as wide as the gap, stretched, sheared and bent."""
    modulus, poisson = task.plate.modulus_N_per_mm2, task.plate.poisson
    shear = modulus / (2.0 * (1.0 + poisson))
    wide = max(task.ligament_mm, 0.1)
    pull = wide / (modulus * throat * length)
    slide = wide / (shear * throat * length)
    fold = 12.0 * (1.0 - poisson**2) * wide / (modulus * throat**3 * length)
    return np.column_stack([pull, slide, slide, fold]).ravel()


def _wishes(stations: Stations, inherent: Sequence[Inherent]) -> tuple[dict[str, Floats], Floats]:
    """Middle values of what each station's bead wants: closing +S, fold -angle (both far ends rise to the torch side)."""
    shift = {kind: np.zeros(MOVES * stations.count) for kind in ("shrink", "angle")}
    shift["shrink"][0::MOVES] = [inherent[b].shrink_mm.mid for b in stations.bead]
    shift["angle"][3::MOVES] = [-inherent[b].angle_rad.mid for b in stations.bead]
    return shift, np.array([inherent[b].tendon_N.mid for b in stations.bead])


def _pads(task: WeldTask, plate: Body) -> tuple[PadSet, list[Ints]]:
    """Vertices of each pad; without pads, vertices spread over the plate stand for one."""
    mesh = plate.mesh
    if task.pads:
        vertices = [np.unique(mesh.nearest(pad_points(p))) for p in task.pads]
        names = tuple(p.name for p in task.pads)
    else:
        ring = mesh.chains[0].nodes
        line = mesh.points[ring]
        spots = np.linspace(0.0, lengths_along(line, True)[-1], 13)[:-1]
        vertices = [np.unique(ring[np.searchsorted(lengths_along(line, True)[:-1], spots, side="right") - 1])]
        names = ("plate",)
    centre = np.array([mesh.points[v].mean(axis=0) for v in vertices])
    return PadSet(mesh.points[np.concatenate(vertices)], centre, names), vertices


def _add_pads(table: RowTable, row: int, vertices: list[Ints]) -> None:
    """Heights of all pad vertices, then x and y of each pad's middle."""
    one = np.ones(1)
    for vertex in np.concatenate(vertices):
        table.add(row, 1, Row(np.array([3 * vertex]), one), 1.0)
        row += 1
    for group in vertices:
        even = np.full(len(group), 1.0 / len(group))
        for axis in range(2):
            table.add(row, 0, Row(2 * group + axis, even), 1.0)
            row += 1


def _condensed(
    fields: Sequence[sparse.csc_matrix], rows: Sequence[sparse.csr_matrix], with_lift: bool
) -> tuple[Floats, Floats]:
    """Compliance between all rows, and heights of all vertices per unit row force."""
    count = rows[0].shape[0]
    total = np.zeros((count, count))
    lifts = []
    for number, (stiffness, matrix) in enumerate(zip(fields, rows, strict=True)):
        used = np.flatnonzero(np.diff(matrix.indptr))
        some = matrix[used]
        moved = factored(stiffness)(some.T.toarray())
        total[np.ix_(used, used)] += some @ moved
        if with_lift and number % 2:
            lift = np.zeros((stiffness.shape[0] // 3, count))
            lift[:, used] = moved[0::3]
            lifts.append(lift)
    return 0.5 * (total + total.T), np.vstack(lifts) if lifts else np.empty((0, count))
