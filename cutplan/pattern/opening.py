"""The net cut line of the opening in the skin, derived from plate and joint."""

from __future__ import annotations

from cutplan.errors import GeometryError
from cutplan.geometry.contour import Contour
from cutplan.geometry.offset.regions import offset_contour
from cutplan.pattern.job import Job


def opening_line(job: Job) -> Contour:
    """Return the opening's net contour, counter-clockwise, in the plate's coordinates [mm].

    Butt: the plate's outline moved outward by the gap (sharp corners stay sharp, so the gap is even along every
    edge). Lap: moved inward by the overlap. The one place where the opening is defined: opening file, template and
    opening plan all take it from here.

    Raises
    ------
    GeometryError
        When the overlap leaves no opening or splits it.
    """
    joint = job.joint
    distance_mm = joint.gap_mm if joint.kind == "butt" else -joint.overlap_mm
    if distance_mm == 0.0:
        return job.plate.outline.oriented(ccw=True)
    pieces = offset_contour(job.plate.outline.oriented(ccw=True), distance_mm, join="sharp")
    outer = [p for p in pieces if p.ccw]
    if len(outer) != 1:
        raise GeometryError(
            "the overlap leaves no single opening" if distance_mm < 0.0 else "the gap closes the outline on itself",
            where=f"joint, {joint.kind}, {abs(distance_mm):g} mm; the outline gives {len(outer)} pieces",
            hint="use a smaller gap or overlap, or a simpler outline",
        )
    return outer[0]
