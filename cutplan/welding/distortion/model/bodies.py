"""Plate and skin as meshes with stiffness, and rows that measure them where beads, pads and brace act."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import sparse

from cutplan.fem import along
from cutplan.fem.bending import bending_stiffness
from cutplan.fem.bending import dof_count as bending_count
from cutplan.fem.generate import mesh_region
from cutplan.fem.membrane import dof_count as membrane_count
from cutplan.fem.membrane import membrane_stiffness
from cutplan.fem.mesh import Chain, Floats, Mesh
from cutplan.fem.outline import clipped, length_at, lengths_along, place_at
from cutplan.fem.ribs import rib_axial, rib_bending
from cutplan.welding.distortion.task import FixedBrace, OrderOptions, PadPoints, Rib, Sheet, WeldTask

#: How much more stiffly the vehicle holds the box than magnets hold the plate in its plane [1]; a judgement.
_VEHICLE = 100.0
#: Stiffness of springs that only keep a sheet from floating before its box is put on, each way [N/mm].
_AFLOAT_N_PER_MM = 1.0
#: Most edges along the edge of a skin on its box: what the box does to the joint is smooth (see the halved meshes).
_BOX_EDGES = 48
#: Mesh edges along the joint as a share of the shortest station of a stitch [1].
_EDGE_PER_STATION = 0.6
#: Holes smaller than this share of the mesh size are left out: they soften nothing that the mesh could show [1].
_SMALL_HOLE = 0.3
#: Of the larger holes, so many of the largest are meshed; the rest soften the plate evenly [1].
_MOST_HOLES = 24


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """One sheet: its mesh, the chain of the joint, in-plane and out-of-plane stiffness, how its box is held [N/mm].

    ``ribs`` are the pieces of its ribs on the mesh, each with the number of its rib.
    """

    sheet: Sheet
    mesh: Mesh
    joint: Chain
    membrane: sparse.csc_matrix
    bending: sparse.csc_matrix
    hold_N_per_mm: float
    ribs: tuple[tuple[int, Chain], ...] = ()

    def stretches(self, path: Floats, start_mm: Floats, end_mm: Floats) -> list[along.Stretch]:
        """Return the parts of this body's joint chain that face stretches (n,) of the joint path [mm]."""
        chain = self.mesh.points[self.joint.nodes]
        whole = float(lengths_along(chain, True)[-1])
        first, last = (length_at(chain, True, place_at(path, True, at)) for at in (start_mm, end_mm))
        last = np.where(last <= first, last + whole, last)
        return [
            along.stretch_of(self.mesh, self.joint, f, e) for f, e in zip(first.tolist(), last.tolist(), strict=True)
        ]


def make_bodies(
    task: WeldTask, options: OrderOptions, station_mm: float, like: tuple[WeldTask, tuple[Body, Body]] | None = None
) -> tuple[Body, Body]:
    """Return plate and skin as meshed bodies.

    Parameters
    ----------
    task : WeldTask
        Geometry.
    options : OrderOptions
        Wanted number of triangles and stiffness of the loose plate's hold.
    station_mm : float
        Length of the shortest station of a stitch: edges along the joint stay well below it, since more ties than the
        edges between them have freedoms would lock each other [mm].
    like : (WeldTask, (Body, Body)) or None
        A task that differs in its skin and ribs only, with its bodies: its plate is taken over, and the mesh of its skin
        where only thickness and depth of ribs differ.
    """
    plate_area, skin_area = _area(task.plate), _area(task.skin)
    # the skin may be coarser away from the joint
    size = float(np.sqrt((plate_area + 0.5 * skin_area) / options.triangles / 0.433))
    joint = min(size, max(_EDGE_PER_STATION * station_mm, 0.2 * size))
    if like is not None:
        was, (plate, skin) = like
        if _same_lines(was, task):
            return plate, _body(task.skin, skin.mesh, skin.joint, task.ribs, skin.ribs, options)
    else:
        holes, sheet = _meshed_holes(task.plate, size)
        mesh = mesh_region(sheet.outer, holes, size_mm=size, places=_pad_places(task), outer_size_mm=joint)
        plate = _body(sheet, mesh, mesh.chains[0], (), (), options)
    skin_mesh, ribs = _skin_mesh(task, size, joint)
    line = skin_mesh.chains[1 + len(task.skin.holes)] if task.lap else skin_mesh.chains[1]
    return plate, _body(task.skin, skin_mesh, line, task.ribs, ribs, options)


def _same_lines(one: WeldTask, other: WeldTask) -> bool:
    """Whether two tasks that differ in skin and ribs only have the same lines to be meshed."""
    lines = ([t.skin.outer, *t.skin.holes, *(r.line for r in t.ribs)] for t in (one, other))
    return all(np.array_equal(a, b) for a, b in zip(*lines, strict=True))


def _meshed_holes(sheet: Sheet, size_mm: float) -> tuple[list[Floats], Sheet]:
    """Holes to be meshed, and the sheet softened evenly by those that are left out.

    Round holes far apart that cover a share f of a sheet lower its modulus to E / (1 + 3 f): the exact result for few
    holes, from Kirsch's solution (from memory: Kachanov, Elastic solids with many cracks and related problems, 1993).
    """
    areas = np.array([_loop_area(h) for h in sheet.holes])
    largest = np.argsort(-areas, kind="stable")[:_MOST_HOLES]
    kept = sorted(int(i) for i in largest if np.sqrt(areas[i]) >= _SMALL_HOLE * size_mm)
    left = float(areas.sum() - areas[kept].sum())
    if left == 0.0:
        return [sheet.holes[i] for i in kept], sheet
    softer = sheet.modulus_N_per_mm2 / (1.0 + 3.0 * left / _loop_area(sheet.outer))
    return [sheet.holes[i] for i in kept], replace(sheet, modulus_N_per_mm2=softer)


def _skin_mesh(task: WeldTask, size: float, joint: float) -> tuple[Mesh, list[tuple[int, Chain]]]:
    """Mesh of the skin with its ribs as lines; each piece of a rib with its number."""
    skin = task.skin
    loops = [skin.outer, *skin.holes]
    lines = [task.path] if task.lap else []
    closed = [True] * len(lines)
    pieces: list[tuple[int, Floats]] = []
    for number, rib in enumerate(task.ribs):
        pieces += [(number, piece) for piece in clipped(rib.line, loops, 0.45 * joint, lines)]
    mesh = mesh_region(
        skin.outer,
        skin.holes,
        [*lines, *(piece for _, piece in pieces)],
        size_mm=1.8 * size,
        places=_feet(task),
        closed_lines=[*closed, *([False] * len(pieces))],
        line_size_mm=joint,
        outer_size_mm=max(1.8 * size, float(lengths_along(skin.outer, True)[-1]) / _BOX_EDGES)
        if skin.wall_held
        else None,
    )
    chains = mesh.chains[len(loops) + len(lines) :]
    return mesh, [(number, chain) for (number, _), chain in zip(pieces, chains, strict=True)]


def _body(
    sheet: Sheet,
    mesh: Mesh,
    joint: Chain,
    ribs: Sequence[Rib],
    chains: Sequence[tuple[int, Chain]],
    options: OrderOptions,
) -> Body:
    elastic = sheet.modulus_N_per_mm2, sheet.poisson
    membrane = membrane_stiffness(mesh, sheet.thickness_mm, *elastic)
    bending = bending_stiffness(mesh, sheet.thickness_mm, *elastic)
    for number, chain in chains:
        rib = ribs[number]
        section = rib.thickness_mm * rib.depth_mm
        # on edge behind the skin: about the skin's middle surface
        reach = 0.5 * (rib.depth_mm + sheet.thickness_mm)
        second = rib.thickness_mm * rib.depth_mm**3 / 12.0 + section * reach**2
        twist = rib.depth_mm * rib.thickness_mm**3 / 3.0
        shear = elastic[0] / (2.0 * (1.0 + elastic[1]))
        bending = bending + rib_bending(mesh, chain, elastic[0] * second, shear * twist)
        membrane = membrane + rib_axial(mesh, chain, elastic[0] * section)
    share = mesh.vertex_areas / mesh.vertex_areas.sum()
    on_box = sheet.wall_held
    flat = _AFLOAT_N_PER_MM if on_box else options.hold_in_plane_N_per_mm
    lift = _AFLOAT_N_PER_MM if on_box else options.hold_out_of_plane_N_per_mm
    membrane = membrane + sparse.diags(_soft(membrane_count(mesh), flat * np.repeat(share, 2), 1))
    bending = bending + sparse.diags(_soft(bending_count(mesh), lift * share, 3))
    hold = _VEHICLE * options.hold_in_plane_N_per_mm if on_box else 0.0
    return Body(sheet, mesh, joint, sparse.csc_matrix(membrane), sparse.csc_matrix(bending), hold, tuple(chains))


def _soft(count: int, springs: Floats, step: int) -> Floats:
    """Springs on the first freedoms, or on every third, of a field."""
    soft = np.zeros(count)
    soft[: step * len(springs) : step] = springs
    return soft


def _area(sheet: Sheet) -> float:
    return _loop_area(sheet.outer) - sum(_loop_area(h) for h in sheet.holes)


def _loop_area(loop: Floats) -> float:
    x, y = (loop - loop[0]).T
    return abs(0.5 * float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum()))


def pad_points(pad: PadPoints) -> Floats:
    """Return the points at which a pad's height is taken, (n, 2) [mm]: its own, or a ring of eight."""
    if pad.points:
        return np.array(pad.points, dtype=float)
    turn = np.arange(8) * np.pi / 4.0
    return np.asarray(np.array(pad.centre) + pad.radius_mm * np.column_stack([np.cos(turn), np.sin(turn)]))


def _feet(task: WeldTask) -> Floats:
    """Fixings of a brace on the skin."""
    if not isinstance(task.brace, FixedBrace):
        return np.empty((0, 2))
    return np.asarray(task.brace.places[~np.array(task.brace.on_plate, dtype=bool)])


def _pad_places(task: WeldTask) -> Floats:
    return np.vstack([pad_points(p) for p in task.pads]) if task.pads else np.empty((0, 2))
