"""The net cut line of the opening in the skin, derived from plate and joint."""

from __future__ import annotations

from cutplan.errors import GeometryError
from cutplan.geometry.clearance import Clearance
from cutplan.geometry.contour import Contour
from cutplan.geometry.offset.proved import edge_places, left_out, safe_offset
from cutplan.geometry.region import Region
from cutplan.pattern.job import Job
from cutplan.texts import mm, place, say

#: How far the opening's line may lie from where it should [mm].
FARTHER_MM = 0.001


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
    outline = job.plate.outline.oriented(ccw=True)
    if distance_mm == 0.0:
        return outline
    outer = [r.outer for r in safe_offset(outline, distance_mm, "sharp").result.regions]
    if len(outer) != 1:
        raise GeometryError(
            "the overlap leaves no single opening" if distance_mm < 0.0 else "the gap closes the outline on itself",
            where=f"joint, {joint.kind}, {abs(distance_mm):g} mm; the outline gives {len(outer)} pieces",
            hint="use a smaller gap or overlap, or a simpler outline",
        )
    _prove(outline, outer[0], distance_mm)
    return outer[0]


def _prove(outline: Contour, line: Contour, distance_mm: float) -> None:
    """Raise an error where the opening's line lies farther from the outline than gap or overlap though it need not."""
    places = edge_places(Region(outline))
    over, fits = left_out(places, Clearance(outline.segments), line.segments, distance_mm)
    over[~fits] = 0.0
    worst = int(over.argmax())
    if over[worst] > FARTHER_MM:
        x, y = places.points[worst]
        raise GeometryError(
            say("the opening's line lies {over} too far from the plate's outline", over=mm(float(over[worst]), 3)),
            where=say("{place}", place=place(float(x), float(y), 3)),
            hint=say("simplify the outline there, or change gap or overlap by a hundredth of a millimetre"),
        )
