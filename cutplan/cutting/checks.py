"""Doubts about the plate as something to be cut: inside corners, webs between holes, edge and pitch distances."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from cutplan.cutting.gaps import gap_between
from cutplan.cutting.holes.slots import as_slot
from cutplan.cutting.path.corners import InsideCorner, inside_corners
from cutplan.findings import Finding
from cutplan.geometry.flatten import flatten
from cutplan.geometry.pairs import near_pairs
from cutplan.geometry.region import Region
from cutplan.geometry.segment_table import SegmentTable
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.tables.bolts import MIN_EDGE, MIN_EDGE_SLOT, MIN_PITCH, least_edge_mm, least_pitch_mm
from cutplan.tables.cut_sources import source_text
from cutplan.tables.holes import CORNER_FLOOR_MM, CORNER_LEAST_MM, CORNER_THICKNESSES, LEAST_FEATURE_MM, LEAST_WEB

#: Findings of one kind beyond which the rest is counted instead of told.
TOLD = 6


def plate_findings(job: Job, net: Region, cut_holes: tuple[Hole, ...], kerf_mm: float) -> tuple[Finding, ...]:
    """Return the findings about corners, webs and bolt distances.

    Parameters
    ----------
    job : Job
        The plate with all its holes, cut or drilled.
    net : Region
        Outline and cut holes.
    cut_holes : tuple of Hole
        The holes of ``net``, in the same order.
    kerf_mm : float
        Kerf [mm].
    """
    return (
        *_disc_findings(job, net),
        *_corner_findings(job, net, cut_holes, kerf_mm),
        *_web_findings(job, cut_holes),
        *_bolt_distances(job),
    )


def _disc_findings(job: Job, net: Region) -> list[Finding]:
    """A disc cuts straight lines: say where it must stop short."""
    if job.cutting.process != "cut-off disc":
        return []
    hollow = sum(c.radius_mm > 0.0 for corners in inside_corners(net) for c in corners)
    sharp = sum(c.radius_mm == 0.0 for corners in inside_corners(net) for c in corners)
    if not hollow and not sharp:
        return []
    return [
        Finding(
            "disc-cuts-straight",
            "note",
            f"a disc cuts straight: at {hollow} hollow curves and {sharp} inside corners it overruns the line "
            "at the surface",
            fix="drill the inside corners first, stop the disc short of them, finish with a saw and a file",
        )
    ]


def _corner_findings(job: Job, net: Region, cut_holes: tuple[Hole, ...], kerf_mm: float) -> list[Finding]:
    findings: list[Finding] = []
    names = ["outline", *(f"hole {h.name}" for h in cut_holes)]
    half = 0.5 * kerf_mm
    wanted = max(CORNER_THICKNESSES * job.plate.thickness_mm, CORNER_FLOOR_MM)
    for name, corners in zip(names, inside_corners(net), strict=True):
        tight = [c for c in corners if c.radius_mm < half - 1e-6]
        if tight:
            worst = max(tight, key=lambda c: c.left_over_mm(kerf_mm) if c.radius_mm == 0.0 else 0.0)
            over = worst.left_over_mm(kerf_mm) if worst.radius_mm == 0.0 else 0.0
            findings.append(
                Finding(
                    "inside-corner-below-kerf",
                    "warning" if over > 1.0 else "note",
                    f"{name}: {_counted(tight)} tighter than half the kerf come out with a radius of {half:.2f} mm"
                    + (f" and keep {over:.2f} mm of metal in the corner" if over >= 0.005 else ""),
                    where=_places(tight),
                    fix="file the corner, or draw the radius",
                )
            )
        sharp = [c for c in corners if c.radius_mm < min(wanted, CORNER_LEAST_MM) - 1e-6]
        if name == "outline" and sharp:
            findings.append(
                Finding(
                    "sharp-inside-corner",
                    "warning",
                    f"{name}: {_counted(sharp)} sharper than {CORNER_LEAST_MM:g} mm start cracks; a radius of "
                    f"{wanted:.0f} mm is suggested ({source_text('en1090-corner')}; 3 x thickness and 8 mm are our own)",
                    where=_places(sharp),
                    fix=f"draw a radius of {wanted:.0f} mm, at least {CORNER_LEAST_MM:g} mm",
                )
            )
    return findings


def _counted(corners: list[InsideCorner]) -> str:
    return "1 inside corner" if len(corners) == 1 else f"{len(corners)} inside corners"


def _places(corners: list[InsideCorner]) -> str:
    text = "; ".join(f"{c.x_mm:.1f}, {c.y_mm:.1f}" for c in corners[:4])
    return text + (" and more" if len(corners) > 4 else "") + " mm"


def _web_findings(job: Job, cut_holes: tuple[Hole, ...]) -> list[Finding]:
    """Metal between a cut hole and its neighbours or the outline, against the thickness rule."""
    least = max(LEAST_WEB * job.plate.thickness_mm, LEAST_FEATURE_MM)
    found: list[tuple[float, str, str]] = []
    for i, j in near_pairs([h.contour.box for h in cut_holes], least):
        a, b = cut_holes[i], cut_holes[j]
        gap = gap_between(a.contour, b.contour)
        if gap < least - 1e-6:
            found.append((gap, f"holes {a.name} and {b.name}", _between(a, b)))
    edge = SegmentTable(job.plate.outline.segments)
    for hole, gap in zip(cut_holes, _edge_gaps(cut_holes, edge), strict=True):
        if gap < least - 1e-6:
            found.append((gap, f"hole {hole.name} and the outline", f"{hole.centre.x:.1f}, {hole.centre.y:.1f} mm"))
    return _told(
        found,
        "web-too-thin",
        lambda gap, what: (
            f"only {gap:.1f} mm of metal is left between {what}; the rule is {least:.1f} mm "
            f"(1.5 x thickness, {source_text('service')})"
        ),
        "move them apart, or drill one of them",
        "web",
    )


def _edge_gaps(holes: tuple[Hole, ...], edge: SegmentTable) -> list[float]:
    """Least distance of each hole to the outline [mm]: exact for round holes."""
    if not holes:
        return []
    gaps = [0.0] * len(holes)
    rounds = [(k, c) for k, h in enumerate(holes) if (c := h.contour.as_circle())]
    if rounds:
        far = edge.distances(np.array([tuple(c[0]) for _, c in rounds]))
        for (k, c), d in zip(rounds, far, strict=True):
            gaps[k] = float(d) - c[1]
    for k, h in enumerate(holes):
        if h.contour.as_circle() is None:
            gaps[k] = float(edge.distances(np.array(flatten(h.contour, 0.05))).min())
    return gaps


def _between(a: Hole, b: Hole) -> str:
    return f"{0.5 * (a.centre.x + b.centre.x):.1f}, {0.5 * (a.centre.y + b.centre.y):.1f} mm"


def _bolt_distances(job: Job) -> list[Finding]:
    """Edge and pitch distances of bolt holes against EN 1993-1-8 Table 3.3, cut or drilled alike."""
    bolts: list[tuple[Hole, float, bool]] = []
    for hole in job.plate.holes:
        if hole.purpose != "bolt":
            continue
        if hole.diameter_mm is not None:
            bolts.append((hole, hole.diameter_mm, False))
        elif slot := as_slot(hole.contour):
            bolts.append((hole, slot[2], True))
    if not bolts:
        return []
    source = source_text("en1993-1-8")
    edge = SegmentTable(job.plate.outline.segments)
    ends: list[tuple[float, float]] = []
    owner: list[int] = []
    for k, (hole, _, is_slot) in enumerate(bolts):
        slot = as_slot(hole.contour) if is_slot else None
        for centre in (slot[0], slot[1]) if slot else (hole.centre,):
            ends.append((centre.x, centre.y))
            owner.append(k)
    far = edge.distances(np.array(ends))
    least_far = [float("inf")] * len(bolts)
    for k, d in zip(owner, far, strict=True):
        least_far[k] = min(least_far[k], float(d))
    close: list[tuple[float, str, str]] = []
    for k, (hole, d0, is_slot) in enumerate(bolts):
        e = least_far[k]
        least = least_edge_mm(d0, slot=is_slot)
        if e < least - 1e-6:
            factor = MIN_EDGE_SLOT if is_slot else MIN_EDGE
            close.append(
                (
                    e,
                    f"bolt hole {hole.name}|{least:.1f} mm ({factor:g} x {d0:.1f})",
                    f"{hole.centre.x:.1f}, {hole.centre.y:.1f} mm",
                )
            )
    findings = _told(
        close,
        "bolt-edge-distance",
        lambda e, what: f"{what.split('|')[0]} lies {e:.1f} mm from the edge; least: {what.split('|')[1]}, {source}",
        "move the hole inward, enlarge the plate or use a smaller bolt",
        "bolt edge distance",
    )
    near: list[tuple[float, str, str]] = []
    largest = max(d for _, d, _ in bolts)
    boxes = [h.contour.box for h, _, _ in bolts]
    for i, j in near_pairs(boxes, MIN_PITCH * largest):
        (a, da, _), (b, db, _) = bolts[i], bolts[j]
        d0 = max(da, db)
        pitch, least = a.centre.distance(b.centre), least_pitch_mm(d0)
        if pitch < least - 1e-6:
            near.append((pitch, f"{a.name} and {b.name}|{least:.1f} mm ({MIN_PITCH:g} x {d0:.1f})", _between(a, b)))
    findings.extend(
        _told(
            near,
            "bolt-pitch",
            lambda p, what: (
                f"bolt holes {what.split('|')[0]} are {p:.1f} mm apart; least: {what.split('|')[1]}, {source}"
            ),
            "move them apart or use smaller bolts",
            "bolt pitch",
        )
    )
    return findings


def _told(
    found: list[tuple[float, str, str]], code: str, message: Callable[[float, str], str], fix: str, word: str
) -> list[Finding]:
    """Tell the worst few one by one and count the rest."""
    found.sort(key=lambda f: f[0])
    findings = [Finding(code, "warning", message(gap, what), where, fix) for gap, what, where in found[:TOLD]]
    if len(found) > TOLD:
        more = f"{len(found) - TOLD} more places break the same rule of {word}"
        findings.append(Finding(code, "warning", more, "", fix))
    return findings
