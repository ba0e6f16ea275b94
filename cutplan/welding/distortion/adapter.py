"""A checked job as plain geometry for the distortion model."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutplan.errors import CutplanError, JobError
from cutplan.fem.mesh import Floats
from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_array
from cutplan.pattern.job import Job
from cutplan.pattern.opening import opening_line
from cutplan.pattern.pads import Brace
from cutplan.tables.band import Band
from cutplan.tables.steel import CARBON_STEEL, grade
from cutplan.texts import mm, name, say
from cutplan.welding.distortion.task import BracePath, Doubt, PadPoints, Point2, Rib, Sheet, WeldTask

#: Largest distance between an outline and its chords in the mesh input [mm]; mesh edges are far coarser.
CHORDS_MM = 0.02
#: Depth taken for a rib whose depth is not known [mm] (our own).
RIB_DEPTH_MM = 25.0
#: Least width of weld metal between plate and skin, where the gap is closed [mm] (our own).
LEAST_GAP_MM = 0.5
#: Depth of a box that the job does not state [mm] (our own).
BOX_DEPTH_MM = 90.0
#: Share of a wall's depth that works along with the skin in its plane [1]: low, middle, high (our judgement).
WALL_SHARE = (0.3, 0.6, 1.0)
#: How stiffly the vehicle holds the skin over what the model takes [1]: low, middle, high (our judgement).
GRIP = (0.3, 1.0, 3.0)
#: How far a gap set by hand is off [mm] (our judgement).
GAP_ERROR_MM = 0.3
#: Section that stands for the real mating part bolted on: far stiffer than any plate here [mm4], [mm2].
PART_SECOND_MOMENT_MM4 = 5e6
PART_AREA_MM2 = 5e3


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
    findings: list[Finding] = []
    plate_mm, skin_mm = job.plate.thickness_mm, job.skin.thickness_mm
    lap = job.joint.kind == "lap"
    thin = min(plate_mm, skin_mm)
    # heights over the torch-side face of the skin: faces flush for a butt, plate on top for a lap
    plate_z = 0.5 * plate_mm if lap else -0.5 * plate_mm
    weld_z = thin / 3.0 if lap else -0.5 * thin
    path = _chords(outline)
    plate = Sheet(
        path,
        tuple(_chords(h.contour) for h in job.plate.holes),
        plate_mm,
        plate_z,
        CARBON_STEEL.modulus_N_per_mm2,
        CARBON_STEEL.poisson,
        _yield(job.plate.steel),
    )
    opening = opening_line(job)
    skin = Sheet(
        _walls(job, opening),
        (_chords(opening),),
        skin_mm,
        -0.5 * skin_mm,
        CARBON_STEEL.modulus_N_per_mm2,
        CARBON_STEEL.poisson,
        _yield(job.skin.steel),
        wall_held=True,
        wall_depth_mm=_wall_depth(job).mid,
    )
    for number, rib in enumerate(job.skin.ribs):
        if rib.joined and rib.depth_mm is None:
            text = say(
                "depth of rib {rib} is not known: {depth} taken for the distortion",
                rib=name(rib.name),
                depth=mm(RIB_DEPTH_MM, None),
            )
            findings.append(Finding("rib-depth-assumed", "note", text, f"skin.rib[{number}].depth"))
    ribs = tuple(
        Rib(np.array(r.path, dtype=float), r.thickness_mm, r.depth_mm or RIB_DEPTH_MM)
        for r in job.skin.ribs
        if r.joined
    )
    pads = tuple(
        PadPoints(p.name, (p.centre.x, p.centre.y), (), 0.5 * p.diameter_mm, p.flatness_mm, p.pitch_mm)
        for p in job.pads
    )
    gap = thin if lap else max(job.joint.gap_mm, LEAST_GAP_MM)
    task = WeldTask(
        plate,
        skin,
        path,
        weld_z,
        gap,
        lap,
        ribs,
        pads,
        _brace(job),
        doubt=_doubt(job, weld_z, gap, thin),
    )
    return task, tuple(findings)


def _wall_depth(job: Job) -> Band:
    """Depth of the box's walls that works along with the skin: a share of the whole wall, larger where it is shallow."""
    depth, source = job.skin.box_depth_mm, "share of the box's depth (our judgement)"
    if depth is None:
        depth, source = BOX_DEPTH_MM, "share of a usual box's depth (our judgement)"
    low, mid, high = (depth * share for share in WALL_SHARE)
    return Band(low, mid, high, "mm", source)


def _doubt(job: Job, weld_z_mm: float, gap_mm: float, thin_mm: float) -> Doubt:
    """What is not known about box and joint (our judgement, but for the gap: feelers and a straight eye)."""
    own = "our judgement"
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


def _brace(job: Job) -> BracePath | None:
    brace = job.brace
    if brace is None:
        return None
    centres = [(p.centre.x, p.centre.y) for p in job.pads]
    ends = [(brace.start.x, brace.start.y), (brace.end.x, brace.end.y)]
    if brace.kind == "part" and len(centres) >= 2:
        return BracePath("mating part", tuple(_chain(centres)), PART_SECOND_MOMENT_MM4, PART_AREA_MM2)
    if brace.kind == "part":
        return BracePath("mating part", tuple(ends), PART_SECOND_MOMENT_MM4, PART_AREA_MM2)
    run = np.subtract(ends[1], ends[0])
    length = float(np.hypot(*run))
    if length == 0.0:
        raise JobError(say("the brace has no length"), "brace", say("give two different ends"))
    on_line: list[tuple[float, Point2]] = [(0.0, ends[0]), (length, ends[1])]
    for pad, centre in zip(job.pads, centres, strict=True):
        offset = np.subtract(centre, ends[0])
        part = float(offset @ run) / length
        aside = abs(float(offset[0] * run[1] - offset[1] * run[0])) / length
        if aside <= 0.5 * (brace.size_mm + pad.diameter_mm) and 0.05 * length < part < 0.95 * length:
            on_line.append((part, (ends[0][0] + run[0] * part / length, ends[0][1] + run[1] * part / length)))
    second, area = section_of(brace)
    return BracePath(brace.kind, tuple(p for _, p in sorted(on_line)), second, area)


def _chain(centres: Sequence[Point2]) -> list[Point2]:
    """Pads in the order of a walk to the nearest one left, from the lowest-left."""
    left = sorted(centres)
    walk = [left.pop(0)]
    while left:
        nearest = min(left, key=lambda c: (np.hypot(c[0] - walk[-1][0], c[1] - walk[-1][1]), c))
        left.remove(nearest)
        walk.append(nearest)
    return walk


def section_of(brace: Brace) -> tuple[float, float]:
    """Return second moment [mm4] and area [mm2] of a brace, bent away from the plate.

    Square tube; flat bar lying flat; equal angle about the axis along its lying leg's side.

    Parameters
    ----------
    brace : Brace
        Kind, size, wall.
    """
    size, wall = brace.size_mm, brace.wall_mm
    if brace.kind == "tube":
        inner = max(size - 2.0 * wall, 0.0)
        return (size**4 - inner**4) / 12.0, size**2 - inner**2
    if brace.kind == "bar":
        return size * wall**3 / 12.0, size * wall
    # equal angle: two rectangles about their common centroid
    lying, standing = size * wall, (size - wall) * wall
    low, high = 0.5 * wall, wall + 0.5 * (size - wall)
    centre = (lying * low + standing * high) / (lying + standing)
    second = size * wall**3 / 12.0 + lying * (centre - low) ** 2
    second += wall * (size - wall) ** 3 / 12.0 + standing * (high - centre) ** 2
    return second, lying + standing
