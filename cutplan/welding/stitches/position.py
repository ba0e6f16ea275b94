"""Welding position of each stitch by ISO 6947, and which way to travel where gravity has a say."""

from __future__ import annotations

from math import cos, radians, sin, sqrt

from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Span
from cutplan.welding.stitches.along import place

#: Up to this thickness a vertical stretch is welded downward: quick, and the pool does not sag through [mm] (common
#: practice for short arc on sheet; thicker metal is welded upward for penetration).
DOWNWARD_TO_MM = 3.2
#: A stretch within this angle of the upright counts as vertical [rad] (our own: half way to level).
UPRIGHT_RAD = radians(45.0)


def position_of(job: Job, span: Span, thin_mm: float) -> tuple[str, int]:
    """Return the position of a stitch by ISO 6947 and its way: 1 along the outline, -1 against it, 0 as one likes.

    Parameters
    ----------
    job : Job
        Its own position, else the direction of up on its face; a face without one is taken to lie flat
    span : Span
        The stitch [mm]
    thin_mm : float
        Thinner part [mm]

    Returns
    -------
    (str, int)
        PA flat, PB and PD fillet above and below level, PC level on an upright face, PF upward, PG downward, PE overhead.
    """
    wish, up_deg = job.welding.position, job.marks.up_deg
    if wish in ("PA", "PE") or (wish is None and up_deg is None):
        return wish or "PA", 0
    angle = radians(90.0 if up_deg is None else up_deg)
    up = Point(cos(angle), sin(angle))
    outline = job.plate.outline
    start, end = place(outline, span.start_mm), place(outline, span.end_mm)
    run = end.minus(start)
    length = sqrt(run.dot(run))
    if length < 1e-9:
        return wish or "PC", 0
    rise = run.dot(up) / length
    if abs(rise) > cos(UPRIGHT_RAD):
        down = wish == "PG" or (wish != "PF" and thin_mm <= DOWNWARD_TO_MM)
        forward = (rise < 0.0) == down
        return ("PG" if down else "PF"), (1 if forward else -1)
    if job.joint.kind == "butt":
        return "PC", 0
    # the outline runs counter-clockwise: the skin lies to its right
    outward = Point(run.y, -run.x)
    return ("PB" if outward.dot(up) > 0.0 else "PD"), 0
