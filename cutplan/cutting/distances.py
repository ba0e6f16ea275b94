"""Distances that a plate should keep: metal between cuts, bolts to the edge and to each other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.cutting.gaps import gap_between
from cutplan.cutting.words import cited
from cutplan.findings import Finding
from cutplan.geometry.clearance import Clearance
from cutplan.geometry.flatten import flatten
from cutplan.geometry.pairs import near_pairs
from cutplan.geometry.slots import as_slot
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.tables.bolts import MIN_EDGE, MIN_EDGE_SLOT, MIN_PITCH, least_edge_mm, least_pitch_mm
from cutplan.tables.cutting.holes import LEAST_FEATURE_MM, LEAST_WEB
from cutplan.texts import Message, mm, name, number, place, plural, say

#: Findings of one kind beyond which the rest is counted instead of told.
TOLD = 6


@dataclass(frozen=True, slots=True)
class _Close:
    """Two things that lie too close: their distance [mm], what is said of it, and where."""

    gap_mm: float
    message: Message
    at: Point


def web_findings(job: Job, cut_holes: tuple[Hole, ...]) -> list[Finding]:
    """Return the findings about metal between a cut hole and its neighbours or the outline: the thickness rule."""
    least = max(LEAST_WEB * job.plate.thickness_mm, LEAST_FEATURE_MM)
    found: list[_Close] = []

    def tell(gap: float, what: Message, at: Point) -> None:
        if gap < least - 1e-6:
            message = say(
                "only {gap} of metal is left between {what}; the rule is {least} (1.5 x thickness, {source})",
                gap=mm(gap),
                what=what,
                least=mm(least),
                source=cited("service"),
            )
            found.append(_Close(gap, message, at))

    for i, j in near_pairs([h.contour.box for h in cut_holes], least):
        a, b = cut_holes[i], cut_holes[j]
        both = say("holes {first} and {second}", first=name(a.name), second=name(b.name))
        tell(gap_between(a.contour, b.contour), both, _between(a, b))
    for hole, gap in zip(cut_holes, _edge_gaps(job, cut_holes, least), strict=True):
        tell(gap, say("hole {hole} and the outline", hole=name(hole.name)), hole.centre)
    return _told(
        found,
        "web-too-thin",
        say("move them apart, or drill one of them"),
        plural(
            "{count} more place leaves too little metal",
            "{count} more places leave too little metal",
            len(found) - TOLD,
        ),
    )


def _edge_gaps(job: Job, holes: tuple[Hole, ...], hint_mm: float) -> list[float]:
    """Least distance of each hole to the outline [mm]: exact for round holes."""
    if not holes:
        return []
    edge = Clearance(job.plate.outline.segments)
    gaps = [0.0] * len(holes)
    rounds = [(k, c) for k, h in enumerate(holes) if (c := h.contour.as_circle())]
    if rounds:
        far = edge.of_points(np.array([tuple(c[0]) for _, c in rounds]), 4.0 * hint_mm)
        for (k, c), d in zip(rounds, far, strict=True):
            gaps[k] = float(d) - c[1]
    for k, h in enumerate(holes):
        if h.contour.as_circle() is None:
            gaps[k] = float(edge.of_points(np.array(flatten(h.contour, 0.05)), 4.0 * hint_mm).min())
    return gaps


def _between(a: Hole, b: Hole) -> Point:
    return Point(0.5 * (a.centre.x + b.centre.x), 0.5 * (a.centre.y + b.centre.y))


@dataclass(frozen=True, slots=True)
class _Bolt:
    """A bolt hole: its size or a slot's width [mm], and the centres that count."""

    hole: Hole
    size_mm: float
    slot: bool
    centres: tuple[Point, ...]


def bolt_findings(job: Job) -> list[Finding]:
    """Return the findings about edge and pitch of bolt holes by EN 1993-1-8 Table 3.3, cut or drilled alike."""
    bolts: list[_Bolt] = []
    for hole in job.plate.holes:
        if hole.purpose != "bolt":
            continue
        if hole.diameter_mm is not None:
            bolts.append(_Bolt(hole, hole.diameter_mm, False, (hole.centre,)))
        elif slot := as_slot(hole.contour):
            bolts.append(_Bolt(hole, slot[2], True, (slot[0], slot[1])))
    return [*_edge_distances(job, bolts), *_pitches(bolts)] if bolts else []


def _edge_distances(job: Job, bolts: list[_Bolt]) -> list[Finding]:
    edge = Clearance(job.plate.outline.segments)
    hint = 2.0 * MIN_EDGE_SLOT * max(b.size_mm for b in bolts)
    found: list[_Close] = []
    for b in bolts:
        gap = float(edge.of_points(np.array(b.centres), hint).min())
        least = least_edge_mm(b.size_mm, slot=b.slot)
        if gap < least - 1e-6:
            message = say(
                "bolt hole {hole} lies {gap} from the edge; least: {least} ({factor} x {size}), {source}",
                hole=name(b.hole.name),
                gap=mm(gap),
                least=mm(least),
                factor=number(MIN_EDGE_SLOT if b.slot else MIN_EDGE),
                size=mm(b.size_mm),
                source=cited("en1993-1-8"),
            )
            found.append(_Close(gap, message, b.hole.centre))
    return _told(
        found,
        "bolt-edge-distance",
        say("move the hole inward, enlarge the plate or use a smaller bolt"),
        plural(
            "one more bolt hole lies too near to the edge",
            "{count} more bolt holes lie too near to the edge",
            len(found) - TOLD,
        ),
    )


def _pitches(bolts: list[_Bolt]) -> list[Finding]:
    found: list[_Close] = []
    largest = max(b.size_mm for b in bolts)
    for i, j in near_pairs([b.hole.contour.box for b in bolts], MIN_PITCH * largest):
        a, b = bolts[i], bolts[j]
        d0 = max(a.size_mm, b.size_mm)
        pitch, least = a.hole.centre.distance(b.hole.centre), least_pitch_mm(d0)
        if pitch < least - 1e-6:
            message = say(
                "bolt holes {first} and {second} are {pitch} apart; least: {least} ({factor} x {size}), {source}",
                first=name(a.hole.name),
                second=name(b.hole.name),
                pitch=mm(pitch),
                least=mm(least),
                factor=number(MIN_PITCH),
                size=mm(d0),
                source=cited("en1993-1-8"),
            )
            found.append(_Close(pitch, message, _between(a.hole, b.hole)))
    return _told(
        found,
        "bolt-pitch",
        say("move them apart or use smaller bolts"),
        plural(
            "{count} more pair of bolt holes is too close",
            "{count} more pairs of bolt holes are too close",
            len(found) - TOLD,
        ),
    )


def _told(found: list[_Close], code: str, fix: Message, more: Message) -> list[Finding]:
    """Tell the worst few one by one and count the rest."""
    found.sort(key=lambda f: f.gap_mm)
    findings = [
        Finding(code, "warning", f.message, say("{place}", place=place(f.at.x, f.at.y)), fix) for f in found[:TOLD]
    ]
    if len(found) > TOLD:
        findings.append(Finding(code, "warning", more, "", fix))
    return findings
