"""Pads and the brace that holds them, against the plate."""

from __future__ import annotations

from cutplan.findings import Finding
from cutplan.geometry.vector import Box
from cutplan.pattern.checks.check_ribs import crosses_box
from cutplan.pattern.job import Job
from cutplan.pattern.pads import Pad
from cutplan.texts import Message, code, mm, name, place, plural, say, size

#: Pads of one centre lie within this distance [mm].
_SAME_MM = 0.05


def pad_findings(job: Job) -> list[Finding]:
    """Return pads outside the plate, over its edge, and those that are one pad twice."""
    found = []
    outline = job.plate.outline
    for i, pad in enumerate(job.pads):
        where = say("pad[{i}] {pad} (centre {at})", i=i, pad=name(pad.name), at=place(pad.centre.x, pad.centre.y))
        if not outline.contains(pad.centre):
            fix = say("the plate spans {span}: move the pad or enlarge the plate", span=_span(outline.box))
            found.append(Finding("pad-outside", "error", say("the pad lies outside the plate"), where, fix))
        elif outline.nearest(pad.centre)[1] < 0.5 * pad.diameter_mm:
            message = say("the pad reaches over the plate's edge and so over the weld")
            fix = say("make the pad smaller or move it inward")
            found.append(Finding("pad-over-edge", "warning", message, where, fix))
    return found + _doubles(job.pads)


def _doubles(pads: tuple[Pad, ...]) -> list[Finding]:
    """Return pads of one name, which no sheet could tell apart, and pads of one centre."""
    found = []
    names = [p.name.strip().casefold() for p in pads]
    for i, pad in enumerate(pads):
        first = names.index(names[i])
        if first < i:
            message = say("pad[{i}] and pad[{k}] are both called {pad}", i=first, k=i, pad=name(pad.name))
            fix = say("give each pad its own name")
            found.append(Finding("pad-name-twice", "error", message, say("pad[{i}].name", i=i), fix))
        near = next((k for k in range(i) if pads[k].centre.distance(pad.centre) <= _SAME_MM), None)
        if near is not None:
            message = say("pad[{i}] and pad[{k}] have the same centre", i=near, k=i)
            found.append(Finding("pad-twice", "error", message, say("pad[{i}].at", i=i), say("remove one of them")))
    return found


def _span(box: Box) -> Message:
    return say("{size} from {corner}", size=size(box.width, box.height), corner=place(box.xmin, box.ymin))


def brace_findings(job: Job) -> list[Finding]:
    """Return what is wrong with the brace, or that there is none although pads are named."""
    if job.brace is None:
        if not job.pads:
            return []
        message = plural(
            "the job names a pad but no brace to hold it while welding",
            "the job names {count} pads but no brace to hold them while welding",
            len(job.pads),
        )
        fix = say(
            "tack a {tube} square tube beside the mounting face or bolt on the real part (common practice)",
            tube=mm(38.0, 0),
        )
        return [Finding("no-brace", "note", message, "brace", fix)]
    if not crosses_box((job.brace.start, job.brace.end), job.plate.outline.box):
        message = say("the brace does not pass over the plate")
        fix = say("check {a} and {b}", a=code("from"), b=code("to"))
        return [Finding("brace-outside", "error", message, "brace", fix)]
    if job.brace.kind == "tube" and 2.0 * job.brace.wall_mm >= job.brace.size_mm:
        message = say("the brace's wall is thicker than half the tube")
        return [Finding("brace-wall", "error", message, "brace.wall", say("check the value"))]
    return []
