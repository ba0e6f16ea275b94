"""What is doubtful about a job's templates before they are printed."""

from __future__ import annotations

from itertools import combinations

from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.pattern.wishes import Flange, Marks
from cutplan.tables.paper import MARGIN_MM
from cutplan.templates.shapes.template import Template
from cutplan.texts import code, every, mm, name, number, say

#: Words for the directions of the vehicle.
_WAY = {"forward": say("forward"), "up": say("up"), "left": say("left")}


def template_doubts(job: Job, templates: tuple[Template, ...]) -> tuple[Finding, ...]:
    """Return findings: holes on the opening's line, arrows that say the same, tight bends, a narrow border."""
    found = [*_arrows(job.marks), *_crossed(templates)]
    for flange in job.beside.flanges:
        found += _bends(flange)
    if job.paper.margin_mm < MARGIN_MM - 1e-9:
        found.append(
            Finding(
                "narrow-border",
                "note",
                say("a border of {border} is narrower than some printers reach", border=mm(job.paper.margin_mm, None)),
                "paper.margin",
                say("look whether both rulers are printed whole"),
            )
        )
    return tuple(found)


def _arrows(marks: Marks) -> list[Finding]:
    """Directions that point the same way."""
    found: list[Finding] = []
    for (one, a), (other, b) in combinations(marks.arrows, 2):
        if abs((b - a + 180.0) % 360.0 - 180.0) < 1.0:
            found.append(
                Finding(
                    "arrows-same-way",
                    "warning",
                    say("{one} and {other} point the same way on the templates", one=_WAY[one], other=_WAY[other]),
                    say("marks, {one} and {other} {angle}", one=code(one), other=code(other), angle=number(b, "deg")),
                    say("leave out what points out of the plate, or correct one of them"),
                )
            )
    return found


def _crossed(templates: tuple[Template, ...]) -> list[Finding]:
    """Holes that the opening's line runs through."""
    found: list[Finding] = []
    crossed: dict[str, float] = {}
    for template in templates:
        if template.kind not in ("opening", "skin holes"):
            continue
        cut = [s for line in template.lines if line.tag == "cut" for s in line.segments]
        for spot in template.spots:
            if spot.contour is None or not cut:
                continue
            away = min(s.nearest(spot.centre)[1] for s in cut)
            if away < spot.radius_mm:
                crossed[spot.name] = away
    if crossed:
        where = every(
            say("{hole} ({away} from its centre)", hole=name(hole), away=mm(away)) for hole, away in crossed.items()
        )
        found.append(
            Finding(
                "hole-on-opening-line",
                "warning",
                say("the opening is cut through holes to be drilled"),
                say("{places}", places=where),
                say("move the holes, or change the overlap"),
            )
        )
    return found


def _bends(flange: Flange) -> list[Finding]:
    """Legs and radii that the bending tool does not like."""
    found: list[Finding] = []
    # least leg 3 t + R, least radius t: sheet-metal shop lists (csandw.com, npd-solutions.com); they disagree a bit
    least = 3.0 * flange.thickness_mm + flange.radius_mm
    if min(flange.legs_mm) < least:
        found.append(
            Finding(
                "short-leg",
                "warning",
                say("a leg of {leg} may slip in the bending tool", leg=mm(min(flange.legs_mm), None)),
                say("flange {flange}", flange=name(flange.name)),
                say("make every leg at least 3 t + R = {least}", least=mm(least, None)),
            )
        )
    if flange.radius_mm < flange.thickness_mm:
        found.append(
            Finding(
                "tight-bend",
                "warning",
                say(
                    "an inside radius of {radius} is less than the thickness and may crack",
                    radius=mm(flange.radius_mm, None),
                ),
                say("flange {flange}", flange=name(flange.name)),
                say("bend with the sheet's thickness as radius, or more"),
            )
        )
    return found
