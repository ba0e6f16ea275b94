"""What can be known about a job before anything is made: shapes, pads, ribs, brace and joint against each other."""

from __future__ import annotations

from itertools import pairwise

from cutplan.errors import CutplanError
from cutplan.findings import Finding
from cutplan.geometry.check import check_region
from cutplan.geometry.contour import Contour
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.job import Job
from cutplan.pattern.opening import opening_line

#: A butt gap wider than this many skin thicknesses is hard to bridge (common practice: root gap about one thickness).
_WIDE_GAP_THICKNESSES = 1.5
#: Least overlap of a lap joint: 5 t of the thinner part and 25 mm (AISC 360 J2.2b, as read in a secondary copy).
_LEAST_OVERLAP_MM = 25.0


def check_job(job: Job) -> tuple[Finding, ...]:
    """Return every doubt about a job that needs no plan: errors first come from shapes, then pads, ribs and joint.

    Returns
    -------
    tuple of Finding
        Each with its key path and what to try.
    """
    findings: list[Finding] = list(check_region(job.plate.region))
    try:
        opening = opening_line(job)
    except CutplanError as error:
        return (*findings, Finding("opening-impossible", "error", error.message, error.where, error.hint))
    findings += _pads(job)
    findings += _ribs(job, opening)
    findings += _brace(job)
    findings += _joint(job)
    return tuple(findings)


def skin_box(job: Job, opening: Contour) -> Box:
    """Return the outline of the skin between the side walls of the pressed box [mm]."""
    b, w = opening.box, job.skin.walls
    return Box(b.xmin - w.left_mm, b.ymin - w.bottom_mm, b.xmax + w.right_mm, b.ymax + w.top_mm)


def _at(p: Point) -> str:
    return f"{p.x:.1f}, {p.y:.1f} mm"


def _pads(job: Job) -> list[Finding]:
    found = []
    outline = job.plate.outline
    for i, pad in enumerate(job.pads):
        where = f"pad[{i}] {pad.name} (centre {_at(pad.centre)})"
        if not outline.contains(pad.centre):
            b = outline.box
            found.append(
                Finding(
                    "pad-outside",
                    "error",
                    "the pad lies outside the plate",
                    where,
                    f"the plate spans {b.span}: move the pad or enlarge the plate",
                )
            )
        elif outline.nearest(pad.centre)[1] < 0.5 * pad.diameter_mm:
            found.append(
                Finding(
                    "pad-over-edge",
                    "warning",
                    "the pad reaches over the plate's edge and so over the weld",
                    where,
                    "make the pad smaller or move it inward",
                )
            )
    return found


def _ribs(job: Job, opening: Contour) -> list[Finding]:
    found = []
    skin = skin_box(job, opening)
    for i, rib in enumerate(job.skin.ribs):
        where = f"skin.rib[{i}] {rib.name}"
        if not any(skin.holds(p) for p in rib.path) and not _crosses_box(rib.path, skin):
            found.append(
                Finding(
                    "rib-outside",
                    "error",
                    "the rib lies outside the skin between the box's walls",
                    where,
                    f"the skin spans {skin.span} in the plate's coordinates",
                )
            )
        if rib.depth_mm is not None and job.skin.box_depth_mm is not None and rib.depth_mm > job.skin.box_depth_mm:
            found.append(
                Finding(
                    "rib-deeper-than-box",
                    "warning",
                    "the rib is stated deeper than the box",
                    where,
                    "check both depths",
                )
            )
    return found


def _crosses_box(path: tuple[Point, ...], box: Box) -> bool:
    """Whether a polyline meets a box (Liang-Barsky on each piece)."""
    for a, b in pairwise(path):
        t0, t1 = 0.0, 1.0
        dx, dy = b.x - a.x, b.y - a.y
        for p, q in ((-dx, a.x - box.xmin), (dx, box.xmax - a.x), (-dy, a.y - box.ymin), (dy, box.ymax - a.y)):
            if p == 0.0:
                if q < 0.0:
                    t0 = 2.0
            elif p < 0.0:
                t0 = max(t0, q / p)
            else:
                t1 = min(t1, q / p)
        if t0 <= t1:
            return True
    return False


def _brace(job: Job) -> list[Finding]:
    if job.brace is None:
        if not job.pads:
            return []
        return [
            Finding(
                "no-brace",
                "note",
                "the job names pads but no brace to hold them while welding",
                "brace",
                "tack a 38 mm square tube beside the mounting face or bolt on the real part (common practice)",
            )
        ]
    if not _crosses_box((job.brace.start, job.brace.end), job.plate.outline.box):
        return [
            Finding("brace-outside", "error", "the brace does not pass over the plate", "brace", "check from and to")
        ]
    if job.brace.kind == "tube" and 2.0 * job.brace.wall_mm >= job.brace.size_mm:
        return [
            Finding("brace-wall", "error", "the brace's wall is thicker than half the tube", "brace.wall", "check it")
        ]
    return []


def _joint(job: Job) -> list[Finding]:
    found = []
    thin = min(job.plate.thickness_mm, job.skin.thickness_mm)
    joint = job.joint
    if joint.kind == "butt":
        if joint.gap_mm == 0.0:
            found.append(
                Finding(
                    "gap-zero",
                    "warning",
                    "a butt joint without a gap: the plate cannot be moved and roots stay unfused",
                    "joint.gap",
                    "common practice: about half to one thickness of the thinner part",
                )
            )
        elif joint.gap_mm > _WIDE_GAP_THICKNESSES * thin:
            found.append(
                Finding(
                    "gap-wide",
                    "warning",
                    f"a gap of {joint.gap_mm:g} mm is more than {_WIDE_GAP_THICKNESSES:g} times the thinner part "
                    f"({thin:g} mm)",
                    "joint.gap",
                    "make the plate larger, or build up the edge before welding",
                )
            )
        if job.plate.thickness_mm > 2.5 * job.skin.thickness_mm:
            found.append(
                Finding(
                    "thickness-ratio",
                    "warning",
                    "the plate is more than 2.5 times as thick as the skin",
                    "plate.thickness",
                    "a lap joint, or a thinner plate, puts less heat into the skin",
                )
            )
    elif joint.overlap_mm < max(5.0 * thin, _LEAST_OVERLAP_MM) - 1e-9:
        found.append(
            Finding(
                "overlap-short",
                "warning",
                f"an overlap of {joint.overlap_mm:g} mm is less than {max(5.0 * thin, _LEAST_OVERLAP_MM):g} mm",
                "joint.overlap",
                "5 t of the thinner part and 25 mm (AISC 360 J2.2b, secondary copy)",
            )
        )
    return found
