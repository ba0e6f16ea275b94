"""Doubts about the plate as something to be cut: inside corners, and distances between holes and edges."""

from __future__ import annotations

from cutplan.cutting.distances import bolt_findings, web_findings
from cutplan.cutting.path.corners import InsideCorner, inside_corners
from cutplan.cutting.words import OUTLINE, cited, hole_word
from cutplan.findings import Finding
from cutplan.geometry.region import Region
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.tables.cutting.holes import CORNER_FLOOR_MM, CORNER_LEAST_MM, CORNER_THICKNESSES
from cutplan.texts import Message, every, mm, place, plural, say


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
                "a disc cuts straight: at {hollow} hollow curves and {sharp} inside corners it overruns the line at the "
                "surface",
                hollow=hollow,
                sharp=sharp,
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
        tight = [c for c in corners if c.radius_mm < half - 1e-6]
        if tight:
            worst = max(tight, key=lambda c: c.left_over_mm(kerf_mm) if c.radius_mm == 0.0 else 0.0)
            over = worst.left_over_mm(kerf_mm) if worst.radius_mm == 0.0 else 0.0
            findings.append(
                Finding(
                    "inside-corner-below-kerf",
                    "warning" if over > 1.0 else "note",
                    _tight(what, len(tight), half, over),
                    where=_places(tight),
                    fix=say("file the corner, or draw the radius"),
                )
            )
        sharp = [c for c in corners if c.radius_mm < min(wanted, CORNER_LEAST_MM) - 1e-6]
        if k == 0 and sharp:
            findings.append(
                Finding(
                    "sharp-inside-corner",
                    "warning",
                    say(
                        "{what}: {corners} sharper than {least} start cracks; a radius of {wanted} is suggested "
                        "({source}; 3 x thickness and {own} are our own)",
                        what=what,
                        corners=_counted(len(sharp)),
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
    if over_mm < 0.005:
        return say(
            "{what}: {corners} tighter than half the kerf come out with a radius of {radius}",
            what=what,
            corners=_counted(count),
            radius=mm(half_mm, 2),
        )
    return say(
        "{what}: {corners} tighter than half the kerf come out with a radius of {radius} and keep {rest} of metal in the "
        "corner",
        what=what,
        corners=_counted(count),
        radius=mm(half_mm, 2),
        rest=mm(over_mm, 2),
    )


def _counted(count: int) -> Message:
    return plural("{count} inside corner", "{count} inside corners", count)


def _places(corners: list[InsideCorner]) -> Message:
    told = every([place(c.x_mm, c.y_mm) for c in corners[:4]], "; ")
    return say("{places} and more", places=told) if len(corners) > 4 else say("{places}", places=told)
