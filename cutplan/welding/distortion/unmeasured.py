"""What is not known about the box and the joint, as bands: narrow what was measured, wide what nobody measured."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cutplan.fem.mesh import Floats
from cutplan.findings import Finding
from cutplan.geometry.vector import Box
from cutplan.pattern import skin as pattern
from cutplan.pattern.job import Job
from cutplan.pattern.skin import WALL_SIDES
from cutplan.tables.band import Band
from cutplan.texts import code, mm, name, say
from cutplan.welding.beside import beside_mm2
from cutplan.welding.distortion.task import BoxSize, Doubt, FixedBrace, Rib

#: Depth taken for a rib whose depth is not known [mm] (our own).
RIB_DEPTH_MM = 25.0
#: Depth of a box that the job does not state [mm] (our own).
BOX_DEPTH_MM = 90.0
#: Depth of the walls over what was measured behind the skin [1]: low, middle, high (our judgement).
MEASURED_DEPTH = (0.9, 1.0, 1.3)
#: What nobody measured over what is taken for it [1]: low, middle, high (our judgement).
UNMEASURED = (0.5, 1.0, 2.0)
#: Least distance of a wall from a foot of the brace, which stands on the skin before it [mm] (our own).
FOOT_MM = 5.0
#: How stiffly the vehicle holds the box over what the model takes [1]: low, middle, high (our judgement).
GRIP = (0.3, 1.0, 3.0)
#: How stiffly magnets or clamps keep the plate flush over what the options take [1]: low, middle, high (our judgement).
FLUSH = (0.3, 1.0, 3.0)
#: How far a gap set by hand is off [mm] (our judgement).
GAP_ERROR_MM = 0.3


def wall_depth(job: Job) -> Band:
    """Return the depth of the box's walls: what was measured reaches to the next wall, pipe or cable, so they may be deeper."""
    depth, source = job.skin.box_depth_mm, say("the box's depth as measured (band: our judgement)")
    shares = MEASURED_DEPTH
    if depth is None:
        depth, shares = BOX_DEPTH_MM, UNMEASURED
        source = say("not measured: half to twice a usual box's depth (our judgement)")
    low, mid, high = (depth * share for share in shares)
    return Band(low, mid, high, "mm", source)


def walls_round(job: Job, box: Box, share: float = 1.0) -> Floats:
    """Return the rectangle on which the box's walls hold the skin, (4, 2) [mm].

    Parameters
    ----------
    job : Job
        Its walls.
    box : Box
        Of opening and plate.
    share : float
        Factor on the distances that nobody measured [1].
    """
    walls = job.skin.walls
    left, right, bottom, top = (walls.mm(s) * (share if s in walls.assumed else 1.0) for s in WALL_SIDES)
    xs, ys = (box.xmin - left, box.xmax + right), (box.ymin - bottom, box.ymax + top)
    return np.array([[xs[0], ys[0]], [xs[1], ys[0]], [xs[1], ys[1]], [xs[0], ys[1]]])


def ribs_of(job: Job, share: float = 1.0) -> tuple[Rib, ...]:
    """Return the ribs that are joined to the skin; ``share`` is a factor on what nobody measured of them [1]."""
    deepest = job.skin.box_depth_mm or np.inf
    return tuple(Rib(np.array(r.path, dtype=float), *rib_section(r, share, deepest)) for r in job.skin.ribs if r.joined)


def rib_section(rib: pattern.Rib, share: float = 1.0, deepest_mm: float = np.inf) -> tuple[float, float]:
    """Return thickness and depth of a rib [mm].

    Parameters
    ----------
    rib : Rib
        A rib of the job.
    share : float
        Factor on what nobody measured of it [1].
    deepest_mm : float
        Depth of the box, which a depth that nobody measured does not pass [mm].
    """
    thickness = rib.thickness_mm * (share if rib.thickness_assumed else 1.0)
    return thickness, rib.depth_mm or min(share * RIB_DEPTH_MM, deepest_mm)


def measured(rib: pattern.Rib) -> bool:
    """Return whether sheet and depth of a rib were measured."""
    return rib.depth_mm is not None and not rib.thickness_assumed


def doubt_of(job: Job, box: Box, brace: FixedBrace | None, weld_z_mm: float, gap_mm: float) -> Doubt:
    """Return what is not known about box and joint (our judgement, but for the gap: feelers and a straight eye).

    Parameters
    ----------
    job : Job
        The job.
    box : Box
        Of opening and plate.
    brace : FixedBrace or None
        Its feet stand on the skin, so that this reaches as far at least.
    weld_z_mm, gap_mm : float
        Height of the weld and width of its metal, as planned [mm].
    """
    own = say("our judgement")
    thin = min(job.plate.thickness_mm, job.skin.thickness_mm)
    return Doubt(
        wall_depth(job),
        Band(*GRIP, "1", own),
        Band(weld_z_mm - 0.15 * thin, weld_z_mm, weld_z_mm + 0.15 * thin, "mm", own),
        Band(max(gap_mm - GAP_ERROR_MM, 0.2), gap_mm, gap_mm + GAP_ERROR_MM, "mm", own),
        _sizes(job, box, brace),
        Band(*FLUSH, "1", own),
    )


def _sizes(job: Job, box: Box, brace: FixedBrace | None) -> tuple[BoxSize, BoxSize] | None:
    """The smallest and the largest box; None where all of it was measured."""
    if not job.skin.walls.assumed and all(measured(r) for r in job.skin.ribs if r.joined):
        return None
    feet = np.empty((0, 2)) if brace is None else brace.places[~np.array(brace.on_plate, dtype=bool)]
    least, most = np.full(2, np.inf), np.full(2, -np.inf)
    if len(feet):
        # no farther out than the walls that are taken: those the brace was fitted to
        taken = walls_round(job, box)
        least = np.maximum(feet.min(axis=0) - FOOT_MM, taken.min(axis=0))
        most = np.minimum(feet.max(axis=0) + FOOT_MM, taken.max(axis=0))
    small = walls_round(job, box, UNMEASURED[0])
    small = np.where(small < small.mean(axis=0), np.minimum(small, least), np.maximum(small, most))
    large = walls_round(job, box, UNMEASURED[2])
    beside = [beside_mm2(job, UNMEASURED[end]) / beside_mm2(job) for end in (0, 2)]
    return (
        BoxSize(small, ribs_of(job, UNMEASURED[0]), beside[0]),
        BoxSize(large, ribs_of(job, UNMEASURED[2]), beside[1]),
    )


def unmeasured(job: Job) -> Iterator[Finding]:
    """Yield what nobody measured of the box and what is taken for it; its side walls are told by the job's own check."""
    if job.skin.box_depth_mm is None:
        text = say(
            "how deep the box is was not measured: {depth} taken for the distortion, half to twice that in the drawn cases",
            depth=mm(BOX_DEPTH_MM, None),
        )
        fix = say(
            "measure from the skin to the wall behind it, with a rod through a hole, and give it as {this}",
            this=code("[skin] box_depth"),
        )
        yield Finding("box-depth-assumed", "note", text, "skin.box_depth", fix)
    for number, rib in enumerate(job.skin.ribs):
        where = f"skin.rib[{number}]"
        if rib.joined and rib.depth_mm is None:
            text = say(
                "depth of rib {rib} is not known: {depth} taken for the distortion, half to twice that in the drawn cases",
                rib=name(rib.name),
                depth=mm(RIB_DEPTH_MM, None),
            )
            yield Finding("rib-depth-assumed", "note", text, f"{where}.depth")
        if rib.joined and rib.thickness_assumed:
            text = say(
                "nobody measured the sheet of rib {rib}: {sheet} taken for the distortion, half to twice that in the drawn cases",
                rib=name(rib.name),
                sheet=mm(rib.thickness_mm, None),
            )
            yield Finding("rib-sheet-assumed", "note", text, f"{where}.thickness")
