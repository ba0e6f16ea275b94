"""A checked job as plain geometry for the distortion model."""

from __future__ import annotations

import numpy as np

from cutplan.errors import CutplanError, JobError
from cutplan.fem.brace import brace_stiffness
from cutplan.fem.mesh import Floats
from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_array
from cutplan.geometry.vector import Box
from cutplan.pattern.brace_designs import braces_of
from cutplan.pattern.job import Job
from cutplan.pattern.opening import opening_line
from cutplan.tables.steel import CARBON_STEEL, grade
from cutplan.texts import say
from cutplan.welding.distortion.task import FixedBrace, PadPoints, Sheet, WeldTask
from cutplan.welding.distortion.unmeasured import doubt_of, ribs_of, unmeasured, wall_depth, walls_round

#: Largest distance between an outline and its chords in the mesh input [mm]; mesh edges are far coarser.
CHORDS_MM = 0.02
#: Least width of weld metal between plate and skin, where the gap is closed [mm] (our own).
LEAST_GAP_MM = 0.5


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
    # past the plate where that is larger than the opening
    box, brace = opening.box.joined(outline.box), _brace(job, opening)
    task = WeldTask(
        _plate(job, path),
        _skin(job, opening, box),
        path,
        weld_z,
        gap,
        lap,
        ribs_of(job),
        tuple(
            PadPoints(p.name, (p.centre.x, p.centre.y), (), 0.5 * p.diameter_mm, p.flatness_mm, p.pitch_mm)
            for p in job.pads
        ),
        brace,
        doubt=doubt_of(job, box, brace, weld_z, gap),
    )
    return task, tuple(unmeasured(job))


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


def _skin(job: Job, opening: Contour, box: Box) -> Sheet:
    return Sheet(
        walls_round(job, box),
        (_chords(opening),),
        job.skin.thickness_mm,
        -0.5 * job.skin.thickness_mm,
        CARBON_STEEL.modulus_N_per_mm2,
        CARBON_STEEL.poisson,
        _yield(job.skin.steel),
        wall_held=True,
        wall_depth_mm=wall_depth(job).mid,
    )


def _chords(contour: Contour) -> Floats:
    return np.asarray(flatten_array(contour, CHORDS_MM), dtype=float)


def _yield(steel: str) -> float:
    try:
        return grade(steel).yield_N_per_mm2
    except CutplanError:
        return grade("mild").yield_N_per_mm2


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
