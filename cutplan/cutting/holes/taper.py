"""What the trial piece says of the taper of cut holes: how much wider they come out at one face than at the other."""

from __future__ import annotations

from collections.abc import Sequence
from math import radians, tan

from cutplan.cutting.words import names
from cutplan.findings import Finding
from cutplan.pattern.plate import Hole
from cutplan.pattern.shop import Shop
from cutplan.texts import Message, mm, number, say

#: Difference between the faces below which nothing is said [mm]: the reading error of a caliper, twice.
_LEAST_MM = 0.1
#: Difference above which a hole that takes a bolt or a pin is better drilled [mm]: half of a fine clearance (our own).
_DRILL_MM = 0.3


def taper_findings(process: str, thickness_mm: float, holes: Sequence[Hole], shop: Shop) -> list[Finding]:
    """Return what is to be expected of the cut round holes by the taper measured on the trial piece.

    A hole tapered by an angle differs between the faces by twice the thickness times its tangent (exact geometry).

    Parameters
    ----------
    process : str
        Process.
    thickness_mm : float
        Thickness of the plate [mm]
    holes : sequence of Hole
        The holes that are cut.
    shop : Shop
        Its measured holes.
    """
    found: dict[float, list[Hole]] = {}
    for hole in holes:
        if hole.diameter_mm is not None:
            found.setdefault(round(hole.diameter_mm, 2), []).append(hole)
    out = []
    for size, alike in sorted(found.items()):
        taper = shop.hole_taper(process, thickness_mm, size)
        if taper is None:
            continue
        apart = 2.0 * thickness_mm * tan(radians(abs(taper)))
        if apart < _LEAST_MM:
            continue
        tight = [h for h in alike if h.purpose in ("bolt", "locating")]
        what = say(
            "{names}, {size}: by the trial piece {apart} wider at the {face} (taper {taper}): {small} to {large}",
            names=names([h.name for h in alike]),
            size=mm(size, 2),
            apart=mm(apart, 2),
            face=_face(taper),
            taper=number(abs(taper), "deg", digits=1),
            small=mm(size - 0.5 * apart, 2),
            large=mm(size + 0.5 * apart, 2),
        )
        drill = bool(tight) and apart > _DRILL_MM
        hint = say("drill or ream it: a bolt or pin bears on the narrow face only") if drill else say("allow for it")
        out.append(Finding("hole-tapers", "warning" if drill else "note", what, "", hint))
    return out


def _face(taper_deg: float) -> Message:
    return say("top face") if taper_deg > 0.0 else say("bottom face")
