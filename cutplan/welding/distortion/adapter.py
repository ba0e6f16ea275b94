"""A checked job as plain geometry for the distortion model."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cutplan.errors import CutplanError, JobError
from cutplan.fem.brace import brace_stiffness
from cutplan.fem.mesh import Floats
from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_array
from cutplan.pattern.brace_designs import braces_of
from cutplan.pattern.job import Job
from cutplan.pattern.opening import opening_line
from cutplan.tables.band import Band
from cutplan.tables.steel import CARBON_STEEL, grade
from cutplan.texts import mm, name, say
from cutplan.welding.distortion.task import Doubt, FixedBrace, PadPoints, Rib, Sheet, WeldTask

#: Largest distance between an outline and its chords in the mesh input [mm]; mesh edges are far coarser.
CHORDS_MM = 0.02
#: Depth taken for a rib whose depth is not known [mm] (our own).
RIB_DEPTH_MM = 25.0
#: Least width of weld metal between plate and skin, where the gap is closed [mm] (our own).
LEAST_GAP_MM = 0.5
#: Depth of a box that the job does not state [mm] (our own).
BOX_DEPTH_MM = 90.0
#: Depth of the walls over what was measured behind the skin, and over a usual box's [1]: low, middle, high (our judgement).
MEASURED_DEPTH, USUAL_DEPTH = (0.9, 1.0, 1.3), (0.6, 1.0, 1.6)
#: How stiffly the vehicle holds the box over what the model takes [1]: low, middle, high (our judgement).
GRIP = (0.3, 1.0, 3.0)
#: How far a gap set by hand is off [mm] (our judgement).
GAP_ERROR_MM = 0.3


def task_of(job: Job) -> tuple[WeldTask, tuple[Finding, ...]]:
    """Return the geometry of a job for the distortion model, and what had to be assumed.

    Parameters
    ----------
    job : Job
        A checked job; its outline runs counter-clockwise.

    Raises
    ------
    JobError
        When the outline runs clockwise.
    GeometryError
        When the opening cannot be derived.
    """
    outline = job.plate.outline
    if not outline.ccw:
        raise JobError(say("the plate's outline runs clockwise"), "plate.outline", say("turn its direction round"))
    opening = opening_line(job)
    lap = job.joint.kind == "lap"
    thin = min(job.plate.thickness_mm, job.skin.thickness_mm)
    path = _chords(outline)
    weld_z = thin / 3.0 if lap else -0.5 * thin
    gap = thin if lap else max(job.joint.gap_mm, LEAST_GAP_MM)
    task = WeldTask(
        _plate(job, path),
        _skin(job, opening),
        path,
        weld_z,
        gap,
        lap,
        tuple(
            Rib(np.array(r.path, dtype=float), r.thickness_mm, r.depth_mm or RIB_DEPTH_MM)
            for r in job.skin.ribs
            if r.joined
        ),
        tuple(
            PadPoints(p.name, (p.centre.x, p.centre.y), (), 0.5 * p.diameter_mm, p.flatness_mm, p.pitch_mm)
            for p in job.pads
        ),
        _brace(job, opening),
        doubt=_doubt(job, weld_z, gap, thin),
    )
    return task, tuple(_rib_depths(job))


def _plate(job: Job, path: Floats) -> Sheet:
    """The plate; heights are over the torch-side face of the skin: faces flush for a butt, on top of it for a lap."""
    thick = job.plate.thickness_mm
    return Sheet(
        path,
        tuple(_chords(h.contour) for h in job.plate.holes),
        thick,
        0.5 * thick if job.joint.kind == "lap" else -0.5 * thick,
        CARBON_STEEL.modulus_N_per_mm2,
        CARBON_STEEL.poisson,
        _yield(job.plate.steel),
    )


def _skin(job: Job, opening: Contour) -> Sheet:
    return Sheet(
        _walls(job, opening),
        (_chords(opening),),
        job.skin.thickness_mm,
        -0.5 * job.skin.thickness_mm,
        CARBON_STEEL.modulus_N_per_mm2,
        CARBON_STEEL.poisson,
        _yield(job.skin.steel),
        wall_held=True,
        wall_depth_mm=_wall_depth(job).mid,
    )


def _rib_depths(job: Job) -> Iterator[Finding]:
    for number, rib in enumerate(job.skin.ribs):
        if rib.joined and rib.depth_mm is None:
            text = say(
                "depth of rib {rib} is not known: {depth} taken for the distortion",
                rib=name(rib.name),
                depth=mm(RIB_DEPTH_MM, None),
            )
            yield Finding("rib-depth-assumed", "note", text, f"skin.rib[{number}].depth")


def _wall_depth(job: Job) -> Band:
    """Depth of the box's walls: what was measured reaches to the next wall, pipe or cable, so they may be deeper."""
    depth, source = job.skin.box_depth_mm, say("the box's depth as measured (band: our judgement)")
    shares = MEASURED_DEPTH
    if depth is None:
        depth, shares, source = BOX_DEPTH_MM, USUAL_DEPTH, say("a usual box's depth (our judgement)")
    low, mid, high = (depth * share for share in shares)
    return Band(low, mid, high, "mm", source)


def _doubt(job: Job, weld_z_mm: float, gap_mm: float, thin_mm: float) -> Doubt:
    """What is not known about box and joint (our judgement, but for the gap: feelers and a straight eye)."""
    own = say("our judgement")
    return Doubt(
        _wall_depth(job),
        Band(*GRIP, "1", own),
        Band(weld_z_mm - 0.15 * thin_mm, weld_z_mm, weld_z_mm + 0.15 * thin_mm, "mm", own),
        Band(max(gap_mm - GAP_ERROR_MM, 0.2), gap_mm, gap_mm + GAP_ERROR_MM, "mm", own),
    )


def _chords(contour: Contour) -> Floats:
    return np.asarray(flatten_array(contour, CHORDS_MM), dtype=float)


def _yield(steel: str) -> float:
    try:
        return grade(steel).yield_N_per_mm2
    except CutplanError:
        return grade("mild").yield_N_per_mm2


def _walls(job: Job, opening: Contour) -> Floats:
    """Rectangle on which the box's walls hold the skin; past the plate where that is larger than the opening."""
    box, walls = opening.box.joined(job.plate.outline.box), job.skin.walls
    left, right = box.xmin - walls.left_mm, box.xmax + walls.right_mm
    bottom, top = box.ymin - walls.bottom_mm, box.ymax + walls.top_mm
    return np.array([[left, bottom], [right, bottom], [right, top], [left, top]])


def _brace(job: Job, opening: Contour) -> FixedBrace | None:
    """The brace that is on from the tacks until the last bead is cold, as it is fitted; None where none is."""
    on = [b for b in braces_of(job, opening) if b.is_on("tacked")]
    if not on:
        return None
    parts = []
    for brace in on:
        thick = job.skin.thickness_mm if brace.on_skin else job.plate.thickness_mm
        parts.append(brace_stiffness(brace, thick))
    places = np.vstack([p.places for p in parts])
    matrix = np.zeros((5 * len(places), 5 * len(places)))
    row = 0
    for part in parts:
        size = len(part.matrix)
        matrix[row : row + size, row : row + size] = part.matrix
        row += size
    return FixedBrace("brace", places, tuple(o == "pad" for p in parts for o in p.on), matrix)
