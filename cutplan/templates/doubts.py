"""What is doubtful about a job's templates before they are printed."""

from __future__ import annotations

from itertools import combinations

from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.tables.paper import MARGIN_MM
from cutplan.templates.template import Template


def template_doubts(job: Job, templates: tuple[Template, ...]) -> tuple[Finding, ...]:
    """Return findings: holes on the opening's line, arrows that say the same, tight bends, a narrow border."""
    found: list[Finding] = []
    for (one, a), (other, b) in combinations(job.marks.arrows, 2):
        if abs((b - a + 180.0) % 360.0 - 180.0) < 1.0:
            found.append(
                Finding(
                    "arrows-same-way",
                    "warning",
                    f"{one} and {other} point the same way on the templates",
                    f"marks, {one} and {other} {b:g} degrees",
                    "leave out what points out of the plate, or correct one of them",
                )
            )
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
        where = ", ".join(f"{name} ({away:.1f} mm from its centre)" for name, away in crossed.items())
        found.append(
            Finding(
                "hole-on-opening-line",
                "warning",
                "the opening is cut through holes to be drilled",
                where,
                "move the holes, or change the overlap",
            )
        )
    for f in job.flanges:
        # least leg 3 t + R, least radius t: sheet-metal shop lists (csandw.com, npd-solutions.com); they disagree a bit
        least = 3.0 * f.thickness_mm + f.radius_mm
        if min(f.legs_mm) < least:
            found.append(
                Finding(
                    "short-leg",
                    "warning",
                    f"a leg of {min(f.legs_mm):g} mm may slip in the bending tool",
                    f"flange {f.name}",
                    f"make every leg at least 3 t + R = {least:g} mm",
                )
            )
        if f.radius_mm < f.thickness_mm:
            found.append(
                Finding(
                    "tight-bend",
                    "warning",
                    f"an inside radius of {f.radius_mm:g} mm is less than the thickness and may crack",
                    f"flange {f.name}",
                    "bend with the sheet's thickness as radius, or more",
                )
            )
    if job.paper.margin_mm < MARGIN_MM - 1e-9:
        found.append(
            Finding(
                "narrow-border",
                "note",
                f"a border of {job.paper.margin_mm:g} mm is narrower than some printers reach",
                "paper.margin",
                "look whether both rulers are printed whole",
            )
        )
    return tuple(found)
