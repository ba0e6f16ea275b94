"""The condensed model: one compliance over stations, tendons, brace and pads, from which every order is a chain.

Plate and skin are factored once; after that no mesh is touched. Rows are ordered: brace stretches, station movements
(four each: closing, sliding, step, fold), pad outputs, tendons.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import sparse

from cutplan.errors import JobError
from cutplan.fem.along import Row
from cutplan.fem.mesh import Floats, Ints
from cutplan.fem.outline import lengths_along
from cutplan.texts import say
from cutplan.welding.distortion.model.bodies import Body, make_bodies, pad_points
from cutplan.welding.distortion.model.brace import make_brace, make_magnets
from cutplan.welding.distortion.model.fields import (
    box_of,
    condensed_field,
    field_scales,
    joined_fields,
    on_box,
    stiffened_field,
    with_edge,
)
from cutplan.welding.distortion.model.rows import RowTable, add_station, add_tendon
from cutplan.welding.distortion.model.stations import Stations, make_stations
from cutplan.welding.distortion.task import Bead, BracePath, FixedBrace, Inherent, OrderOptions, WeldTask

#: Movements of a station: closing, sliding, step, fold.
MOVES = 4
#: Up to this many stations each field's own compliance is kept, so that the box may be varied.
KEPT_STATIONS = 200
#: Kinds of inherent deformation, and levels of a band, by number.
SHRINK, TENDON, ANGLE = 0, 1, 2
LOW, MIDDLE, HIGH = 0, 1, 2
#: No compliance.
_NONE: Floats = np.empty((0, 0))


@dataclass(frozen=True, slots=True, eq=False)
class PadSet:
    """Vertices at which pads are measured.

    ``place`` (p, 2) [mm] are the vertices; ``centre`` (q, 2) [mm] the middle of each pad's vertices; ``sizes`` how many
    vertices each pad has.
    """

    place: Floats
    centre: Floats
    names: tuple[str, ...]
    sizes: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Sheets:
    """Plate and skin as they were condensed: what a variant of the box or of the weld's height is made from.

    Parameters
    ----------
    bodies : (Body, Body)
        Plate and skin.
    unit_rows : tuple of sparse matrix
        What one unit on each row means as loads of the plate's membrane and bending, then of the skin's, for a weld one
        millimetre over the middle of its sheet; after these rows, those of the skin's edge where it stands on a box.
    fields : tuple of ndarray
        Compliance of each of these fields alone, rows that feel the weld's height with a lever of one millimetre; empty
        for very long seams.
    bare : ndarray (rows + edge, rows + edge)
        Compliance of all these fields together before the box is put on, where they are not kept; else empty.
    lever : ndarray (rows + edge,)
        1 for rows that feel the height of the weld over the middle of a sheet, else 0.
    edge : ndarray (edge, rows)
        Forces that the box puts on the skin's edge per unit on each row.
    weld_z_mm : float
        Height of the weld [mm].
    """

    bodies: tuple[Body, Body]
    unit_rows: tuple[sparse.csr_matrix, ...]
    fields: tuple[Floats, ...]
    bare: Floats
    lever: Floats
    edge: Floats
    weld_z_mm: float

    @property
    def rows(self) -> tuple[sparse.csr_matrix, ...]:
        """What one unit on each row means as loads, the weld where it is."""
        scales = field_scales(self.bodies, self.lever, self.weld_z_mm)
        return tuple(sparse.csr_matrix(sparse.diags(c) @ r) for c, r in zip(scales, self.unit_rows, strict=True))


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
    brace_parts : tuple of int
        Number of stretches of what keeps the plate flush, then of each brace.
    output_count : int
        Number of pad outputs.
    wish : ndarray (3 kinds, 3 levels, stations)
        Shrinkage [mm], tendon force [N], angle [rad] of each station's bead; low, middle, high.
    section_mm2 : ndarray
        Throat times length of each station [mm2].
    sheets : Sheets
        Plate and skin as they were condensed.
    bars : tuple of BracePath or FixedBrace
        The braces.
    size : float
        Where what nobody measured of the box lies: -1 as small as it may be, 0 as taken, 1 as large [1].
    """

    task: WeldTask
    beads: tuple[Bead, ...]
    inherent: tuple[Inherent, ...]
    stations: Stations
    compliance: Floats
    give: Floats
    brace_parts: tuple[int, ...]
    output_count: int
    wish: Floats
    section_mm2: Floats
    pads: PadSet
    sheets: Sheets
    bars: tuple[BracePath | FixedBrace, ...]
    size: float = 0.0

    @property
    def brace_count(self) -> int:
        """Stretches of all braces."""
        return sum(self.brace_parts)

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
    task: WeldTask,
    beads: Sequence[Bead],
    inherent: Sequence[Inherent],
    options: OrderOptions,
    braces: Sequence[BracePath | FixedBrace] | None = None,
    like: Model | None = None,
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
    braces : sequence of BracePath or FixedBrace, or None
        Braces, all of them on; None takes the task's own. See `restricted` for trying some of them.
    like : Model or None
        A model, with its fields, that differs in the skin only: its plate is taken over, mesh and fields.

    Raises
    ------
    JobError
        When beads are missing or do not match their shrinkages.
    """
    if not beads or len(beads) != len(inherent):
        raise JobError(
            say("each bead needs its shrinkage"),
            say("{beads} beads, {shrinkages} shrinkages", beads=len(beads), shrinkages=len(inherent)),
        )
    stations = make_stations(task.path, beads)
    bodies = make_bodies(task, options, _shortest(stations, beads), (like.task, like.sheets.bodies) if like else None)
    if like is not None and bodies[1].mesh is like.sheets.bodies[1].mesh:
        return _stiffened(like, task, inherent, bodies)
    own = (task.brace,) if task.brace else ()
    paths = own if braces is None else braces
    magnets = [make_magnets(bodies[0], options.flush_N_per_mm)] if options.flush_N_per_mm > 0.0 else []
    bars = magnets + [make_brace(b, bodies) for b in paths]
    parts = tuple(len(b.give) for b in bars) if magnets else (0, *(len(b.give) for b in bars))
    braced = sum(parts)
    pads, pad_vertices = _pads(task, bodies[0])
    springs = braced + MOVES * stations.count
    outputs = len(pads.place) + 2 * len(pads.centre)
    table = RowTable(springs + outputs + stations.count, [])
    for number, bar in enumerate(bars):
        bar.add_rows(table, sum(parts[: number + (0 if magnets else 1)]))
    length = np.zeros(stations.count)
    facing = (b.stretches(task.path, stations.start_mm, stations.end_mm) for b in bodies)
    for i, stretches in enumerate(zip(*facing, strict=True)):
        length[i] = stretches[0].total_mm
        add_station(table, braced + MOVES * i, bodies, stretches)
        add_tendon(table, springs + outputs + i, bodies, stretches)
    _add_pads(table, springs, pad_vertices)
    stiff = [m for b in bodies for m in (b.membrane, b.bending)]
    rows = with_edge(table.matrices([m.shape[0] for m in stiff]), bodies[1])
    lever = np.zeros(rows[0].shape[0])
    at = braced + MOVES * np.arange(stations.count)
    lever[np.concatenate([at, at + 1, springs + outputs + np.arange(stations.count)])] = 1.0
    scales = field_scales(bodies, lever, task.weld_z_mm)
    solved = _solved(stiff, rows, like)
    # of a very long seam no field is kept for itself: they would fill the memory
    fields = tuple(solved) if stations.count <= KEPT_STATIONS else ()
    whole = joined_fields(fields or solved, scales)
    compliance, edge = on_box(whole, box_of(bodies[1]))
    throat = np.array([beads[int(b)].throat_mm or _thinner(task) for b in stations.bead])
    give = np.concatenate([*(b.give for b in bars), _metal_give(task, throat, length)])
    return Model(
        task, tuple(beads), tuple(inherent), stations, compliance, give, parts, outputs,
        _wishes(stations, inherent), throat * length, pads, Sheets(bodies, rows, fields, whole if not fields else _NONE, lever, edge, task.weld_z_mm), tuple(paths),
    )  # fmt: skip


def _stiffened(like: Model, task: WeldTask, inherent: Sequence[Inherent], bodies: tuple[Body, Body]) -> Model:
    """A model, with its fields, whose skin is stiffer or softer on the same mesh: only what its ribs change is worked out."""
    sheets = like.sheets
    before, after = ((b.membrane, b.bending) for b in (sheets.bodies[1], bodies[1]))
    skin = zip(sheets.fields[2:], before, after, sheets.unit_rows[2:], strict=True)
    fields = (*sheets.fields[:2], *(stiffened_field(*one) for one in skin))
    whole = joined_fields(fields, field_scales(bodies, sheets.lever, task.weld_z_mm))
    compliance, edge = on_box(whole, box_of(bodies[1]))
    sheets = replace(sheets, bodies=bodies, fields=fields, edge=edge)
    wish = _wishes(like.stations, inherent)
    return replace(like, task=task, inherent=tuple(inherent), compliance=compliance, wish=wish, sheets=sheets)


def _solved(
    stiff: Sequence[sparse.csc_matrix], rows: Sequence[sparse.csr_matrix], like: Model | None
) -> Iterator[Floats]:
    """Compliance of each field, one at a time; those of the plate as another model has them, for this skin's edge."""
    taken = like.sheets.fields[:2] if like is not None else ()
    for field in taken:
        own = len(like.compliance) if like is not None else 0
        total = np.zeros((rows[0].shape[0], rows[0].shape[0]))
        total[:own, :own] = field[:own, :own]
        yield total
    yield from (condensed_field(k, r) for k, r in zip(stiff[len(taken) :], rows[len(taken) :], strict=True))


def _shortest(stations: Stations, beads: Sequence[Bead]) -> float:
    """Length of the shortest station of a stitch; of a tack where there are only tacks [mm]."""
    length = stations.end_mm - stations.start_mm
    stitch = np.array([beads[int(b)].kind == "stitch" for b in stations.bead])
    return float(length[stitch].min() if stitch.any() else length.min())


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


def _wishes(stations: Stations, inherent: Sequence[Inherent]) -> Floats:
    """Bands of each station's bead, (3 kinds, 3 levels, stations)."""
    one = [inherent[int(b)] for b in stations.bead]
    bands = [[i.shrink_mm for i in one], [i.tendon_N for i in one], [i.angle_rad for i in one]]
    return np.array([[[getattr(b, level) for b in kind] for level in ("low", "mid", "high")] for kind in bands])


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
    return PadSet(mesh.points[np.concatenate(vertices)], centre, names, tuple(len(v) for v in vertices)), vertices


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


def station_shift(shrink_mm: Floats, angle_rad: Floats) -> Floats:
    """Return the movement each station wants when its bead cools, (stations, 4).

    Closing by the shrinkage; folding so that both far ends rise towards the torch side.
    """
    shift = np.zeros((len(shrink_mm), MOVES))
    shift[:, 0] = shrink_mm
    shift[:, 3] = -angle_rad
    return shift


def restricted(model: Model, beads: Sequence[int], braces: Sequence[int]) -> Model:
    """Return the model with only some of its beads and braces; nothing is meshed or solved again.

    It is not to be varied and holds no fields: they are most of a model's memory.

    Parameters
    ----------
    model : Model
        Condensed with all beads and braces that may be wanted.
    beads, braces : sequence of int
        Numbers to keep, ascending; magnets always stay.
    """
    kept = np.flatnonzero(np.isin(model.stations.bead, beads))
    edges = np.concatenate([[0], np.cumsum(model.brace_parts)])
    parts = [0, *(b + 1 for b in braces)]
    bars = np.concatenate([np.arange(edges[p], edges[p + 1]) for p in parts])
    springs = np.concatenate([bars, (model.brace_count + MOVES * kept[:, None] + np.arange(MOVES)).ravel()]).astype(int)
    rows = np.concatenate([springs, np.arange(model.spring_count, model.tendons.start), model.tendons.start + kept])
    every = np.concatenate([rows, np.arange(len(model.compliance), len(model.sheets.lever))])
    new = {int(old): i for i, old in enumerate(kept)}
    melts = tuple(tuple(new[t] for t in model.stations.melts[s] if t in new) for s in kept)
    order = {int(b): i for i, b in enumerate(beads)}
    stations = Stations(
        np.array([order[int(b)] for b in model.stations.bead[kept]], dtype=np.int64),
        model.stations.start_mm[kept],
        model.stations.end_mm[kept],
        melts,
    )
    return replace(
        model,
        beads=tuple(model.beads[b] for b in beads),
        inherent=tuple(model.inherent[b] for b in beads),
        stations=stations,
        compliance=model.compliance[np.ix_(rows, rows)],
        give=model.give[springs],
        brace_parts=tuple(model.brace_parts[p] for p in parts),
        wish=model.wish[:, :, kept],
        section_mm2=model.section_mm2[kept],
        sheets=replace(
            model.sheets,
            unit_rows=tuple(m[every] for m in model.sheets.unit_rows),
            fields=(),
            bare=_NONE,
            lever=model.sheets.lever[every],
            edge=model.sheets.edge[:, rows],
        ),
        bars=tuple(model.bars[b] for b in braces),
    )
