"""The joint between plate and skin: gap, overlap and the two thicknesses against each other."""

from __future__ import annotations

from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.texts import mm, number, say

#: A butt gap wider than this many skin thicknesses is hard to bridge (common practice: root gap about one thickness).
_WIDE_GAP_THICKNESSES = 1.5
#: Least overlap of a lap joint: 5 t of the thinner part and 25 mm (AISC 360 J2.2b, as read in a secondary copy).
_LEAST_OVERLAP_MM = 25.0
#: One part so many times as thick as the other deserves a remark (common practice).
_UNLIKE = 2.5
#: A plate of at most this share of the skin's thickness is weaker than what it replaces (our own choice).
_THINNER = 0.8


def joint_findings(job: Job) -> list[Finding]:
    """Return the doubts about gap or overlap, and about plate and skin of unlike thickness."""
    found = _butt(job) if job.joint.kind == "butt" else _lap(job)
    plate, skin = job.plate.thickness_mm, job.skin.thickness_mm
    if plate <= _THINNER * skin:
        message = say(
            "the plate of {plate} is thinner than the skin of {skin} that it replaces",
            plate=mm(plate, None),
            skin=mm(skin, None),
        )
        fix = say("check both thicknesses; a weld-in plate is as thick as the skin or thicker (common practice)")
        found.append(Finding("plate-thinner-than-skin", "warning", message, "plate.thickness", fix))
    return found


def _butt(job: Job) -> list[Finding]:
    found = []
    thin, gap = min(job.plate.thickness_mm, job.skin.thickness_mm), job.joint.gap_mm
    if gap == 0.0:
        message = say("a butt joint without a gap: the plate cannot be moved and roots stay unfused")
        fix = say("common practice: about half to one thickness of the thinner part")
        found.append(Finding("gap-zero", "warning", message, "joint.gap", fix))
    elif gap > _WIDE_GAP_THICKNESSES * thin:
        message = say(
            "a gap of {gap} is more than {times} times the thinner part ({thin})",
            gap=mm(gap, None),
            times=number(_WIDE_GAP_THICKNESSES),
            thin=mm(thin, None),
        )
        fix = say("make the plate larger, or build up the edge before welding")
        found.append(Finding("gap-wide", "warning", message, "joint.gap", fix))
    if job.plate.thickness_mm > _UNLIKE * job.skin.thickness_mm:
        message = say("the plate is more than {times} times as thick as the skin", times=number(_UNLIKE))
        fix = say("a lap joint, or a thinner plate, puts less heat into the skin")
        found.append(Finding("thickness-ratio", "warning", message, "plate.thickness", fix))
    return found


def _lap(job: Job) -> list[Finding]:
    thin = min(job.plate.thickness_mm, job.skin.thickness_mm)
    least, overlap = max(5.0 * thin, _LEAST_OVERLAP_MM), job.joint.overlap_mm
    if overlap >= least - 1e-9:
        return []
    message = say("an overlap of {overlap} is less than {least}", overlap=mm(overlap, None), least=mm(least, None))
    fix = say(
        "{times} times the thinner part and {least} (AISC 360 J2.2b, secondary copy)",
        times=5,
        least=mm(_LEAST_OVERLAP_MM, 0),
    )
    return [Finding("overlap-short", "warning", message, "joint.overlap", fix)]
