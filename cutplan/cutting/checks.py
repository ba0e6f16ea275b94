"""Doubts about the plate as something to be cut: inside corners, and distances between holes and edges."""

from __future__ import annotations

from math import pi, radians

from cutplan.cutting.distances import bolt_findings, web_findings
from cutplan.cutting.path.corners import InsideCorner, inside_corners
from cutplan.cutting.words import OUTLINE, cited, hole_word
from cutplan.findings import Finding
from cutplan.geometry.region import Region
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.tables.cutting.holes import CORNER_FLOOR_MM, CORNER_LEAST_MM, CORNER_THICKNESSES
from cutplan.texts import Message, every, mm, place, plural, say

#: Metal left in a corner that is worth telling [mm], and the kink up to which a joint of an outline is part of a curve
#: drawn in chords and starts no crack [rad] (both our own).
LEFT_OVER_MM, KINK_RAD = 0.005, radians(15.0)


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
        *web_findings(job, cut_holes),
        *bolt_findings(job),
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
            say(
                "a disc cuts straight: at {hollow} and {sharp} it overruns the line at the surface",
                hollow=plural("{count} hollow curve", "{count} hollow curves", hollow),
                sharp=_counted(sharp),
            ),
            fix=say("drill the inside corners first, stop the disc short of them, finish with a saw and a file"),
        )
    ]


def _corner_findings(job: Job, net: Region, cut_holes: tuple[Hole, ...], kerf_mm: float) -> list[Finding]:
    findings: list[Finding] = []
    called = [OUTLINE, *(hole_word(h.name) for h in cut_holes)]
    half = 0.5 * kerf_mm
    wanted = max(CORNER_THICKNESSES * job.plate.thickness_mm, CORNER_FLOOR_MM)
    for k, (what, corners) in enumerate(zip(called, inside_corners(net), strict=True)):
        tight = [c for c in corners if c.left_over_mm(kerf_mm) > LEFT_OVER_MM]
        if tight:
            over = max(c.left_over_mm(kerf_mm) for c in tight)
            findings.append(
                Finding(
                    "inside-corner-below-kerf",
                    "warning" if over > 1.0 else "note",
                    _tight(what, len(tight), half, over),
                    where=_places(tight),
                    fix=say("file the corner, or draw the radius"),
                )
            )
        least = min(wanted, CORNER_LEAST_MM) - 1e-6
        sharp = [c for c in corners if c.radius_mm < least and c.angle_rad < pi - KINK_RAD]
        if k == 0 and sharp:
            findings.append(
                Finding(
                    "sharp-inside-corner",
                    "warning",
                    plural(
                        "{what}: {count} inside corner sharper than {least} starts cracks; a radius of {wanted} is "
                        "suggested ({source}; 3 x thickness and {own} are our own)",
                        "{what}: {count} inside corners sharper than {least} start cracks; a radius of {wanted} is "
                        "suggested ({source}; 3 x thickness and {own} are our own)",
                        len(sharp),
                        what=what,
                        least=mm(CORNER_LEAST_MM, None),
                        wanted=mm(wanted, 0),
                        source=cited("en1090-corner"),
                        own=mm(8.0, None),
                    ),
                    where=_places(sharp),
                    fix=say(
                        "draw a radius of {wanted}, at least {least}",
                        wanted=mm(wanted, 0),
                        least=mm(CORNER_LEAST_MM, None),
                    ),
                )
            )
    return findings


def _tight(what: Message, count: int, half_mm: float, over_mm: float) -> Message:
    """What becomes of inside corners tighter than half the kerf."""
    return plural(
        "{what}: {count} inside corner tighter than half the kerf comes out with a radius of {radius} and keeps {rest} of "
        "metal",
        "{what}: {count} inside corners tighter than half the kerf come out with a radius of {radius} and keep up to "
        "{rest} of metal",
        count,
        what=what,
        radius=mm(half_mm, 2),
        rest=mm(over_mm, 2),
    )


def _counted(count: int) -> Message:
    return plural("{count} inside corner", "{count} inside corners", count)


def _places(corners: list[InsideCorner]) -> Message:
    told = every([place(c.x_mm, c.y_mm) for c in corners[:4]], "; ")
    return say("{places} and more", places=told) if len(corners) > 4 else say("{places}", places=told)
