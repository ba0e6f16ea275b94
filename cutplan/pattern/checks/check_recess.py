"""Recesses of the outline so narrow that the skin reaching into them is a tongue between two seams."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import to_shapely
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.texts import mm, place, say

#: A tongue of the skin narrower than so many of its thicknesses melts away between its two seams (our own choice).
_MELTS = 2.0
#: A tongue narrower than so many thicknesses gets hot from both sides (our own choice).
_HOT = 4.0
#: A recess is one from so many half widths of depth on; a rounded corner is none [1].
_DEEP = 2.0
#: Chords lie this near to the outline [mm].
_CHORD_MM = 0.01


class Recess(NamedTuple):
    """A narrow recess: about how wide and how deep it is [mm], and where."""

    width_mm: float
    depth_mm: float
    at: Point


def recess_findings(job: Job) -> list[Finding]:
    """Return the recesses of a butt plate that the skin would have to reach into as a tongue."""
    if job.joint.kind != "butt":
        return []
    gap, skin = job.joint.gap_mm, job.skin.thickness_mm
    found = []
    for recess in narrow_recesses(job.plate.outline, gap + 0.5 * _HOT * skin):
        tongue = recess.width_mm - 2.0 * gap
        what = say(
            "the outline has a recess about {width} wide and {depth} deep",
            width=mm(recess.width_mm),
            depth=mm(recess.depth_mm),
        )
        if tongue <= 0.0:
            message = say("{recess}: with a gap of {gap} no skin reaches into it to be welded to", recess=what,
                          gap=mm(gap, None))  # fmt: skip
        elif tongue < _MELTS * skin:
            message = say("{recess}: the skin in it is a tongue of {tongue}, which melts away between two seams",
                          recess=what, tongue=mm(tongue))  # fmt: skip
        else:
            message = say("{recess}: the skin in it is a tongue of {tongue}, heated by two seams", recess=what,
                          tongue=mm(tongue))  # fmt: skip
        melts = tongue < _MELTS * skin
        fix = say(
            "draw the outline closed there and cut the recess after welding, or make it at least {least} wide "
            "(our own choice)",
            least=mm(2.0 * gap + (_MELTS if melts else _HOT) * skin),
        )
        where = say("{place}", place=place(recess.at.x, recess.at.y))
        found.append(Finding("recess-narrow", "error" if melts else "warning", message, where, fix))
    return found


@lru_cache(maxsize=4)
def narrow_recesses(outline: Contour, half_width_mm: float) -> tuple[Recess, ...]:
    """Return what a disc of a radius cannot reach into from outside and is deeper than twice that radius.

    Parameters
    ----------
    outline : Contour
        Outer contour of a plate [mm].
    half_width_mm : float
        Radius of the disc [mm].
    """
    from shapely import get_coordinates, get_parts, maximum_inscribed_circle, points

    plate = to_shapely(outline, _CHORD_MM)
    closed = plate.buffer(half_width_mm, quad_segs=16).buffer(-half_width_mm, quad_segs=16)
    edge = plate.boundary.buffer(3.0 * _CHORD_MM, quad_segs=2)
    found = []
    for part in get_parts(closed.difference(plate)):
        mouth = part.boundary.difference(edge)
        if mouth.is_empty:
            continue
        depth = float(mouth.distance(points(get_coordinates(part))).max())
        if depth > _DEEP * half_width_mm:
            radius = maximum_inscribed_circle(part, tolerance=_CHORD_MM)
            x, y = radius.coords[0]
            found.append(Recess(2.0 * radius.length, depth, Point(x, y)))
    return tuple(sorted(found, key=lambda r: r.at))
