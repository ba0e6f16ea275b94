"""Where a tool stands while it cuts, and the brace's feet that stand on the skin in its way."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import TYPE_CHECKING

from cutplan.geometry.contour import Contour
from cutplan.geometry.flatten import flatten_segment, to_shapely
from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.disc import chord_mm
from cutplan.pattern.brace_designs import braces_of
from cutplan.pattern.job import Job
from cutplan.tables.hand_tools import BESIDE_MM

if TYPE_CHECKING:
    from shapely import Polygon


def brace_feet(job: Job, line: Contour) -> tuple[Polygon, ...]:
    """Return what the brace that is on while the opening is cut covers of the skin, as GEOS polygons [mm].

    A bar flat on the skin covers all of its length, one on posts only their feet.
    """
    out: list[Polygon] = []
    for brace in braces_of(job, line):
        for bar in brace.bars if brace.on == "marked" else ():
            shapes = bar.foot_contours() if bar.underside_mm > 0.0 else (bar.footprint(),)
            out += [to_shapely(shape) for shape in shapes]
    return tuple(out)


def overhang_mm(disc_mm: float, depth_mm: float) -> float:
    """Return how far a disc hangs over either end of its slot [mm].

    A disc of diameter D [mm] at depth d [mm] touches the face over its chord c = 2 sqrt(d (D - d)) but is D long half
    its diameter higher: (D - c) / 2, exact.
    """
    return 0.5 * (disc_mm - chord_mm(disc_mm, depth_mm))


def beside(points: Sequence[Point], kerf_mm: float) -> Polygon:
    """Return a strip along a line of points, as wide as kerf [mm] and guard or shoe need."""
    from shapely import LineString

    strip: Polygon = LineString(points).buffer(
        0.5 * kerf_mm + BESIDE_MM, cap_style="flat", join_style="mitre", quad_segs=4
    )
    return strip


def stand(reach: Sequence[Segment], tool: str, depth_mm: float, disc_mm: float, kerf_mm: float) -> Polygon:
    """Return the part of the skin that a tool covers while it makes a cut [mm].

    Parameters
    ----------
    reach : sequence of Segment
        What the tool touches on the face [mm].
    tool : str
        Hand tool.
    depth_mm : float
        Depth below the face [mm].
    disc_mm : float
        Disc diameter [mm].
    kerf_mm : float
        Kerf [mm].

    Notes
    -----
    To the side every tool needs ``BESIDE_MM`` for its guard or shoe; its body is held on the other side. Beyond the
    ends a disc needs its overhang, another tool no more than to the side.
    """
    over = overhang_mm(disc_mm, depth_mm) if tool == "cut-off disc" else 0.5 * kerf_mm
    points = [reach[0].start, *(p for s in reach for p in flatten_segment(s, 0.05)[1:])]
    points[0] = points[0].minus(reach[0].start_direction.times(over))
    points[-1] = points[-1].plus(reach[-1].end_direction.times(over))
    return beside(points, kerf_mm)


def foot_spots(feet: Sequence[Polygon]) -> list[Point]:
    """Return the middles of feet [mm]; a bar flat on the skin has none."""
    return [Point(f.centroid.x, f.centroid.y) for f in feet if f.length < 4.5 * sqrt(f.area)]


def in_the_way(feet: Sequence[Polygon], place: Polygon) -> bool:
    """Whether a foot stands where a tool must."""
    return any(float(foot.intersection(place).area) > 0.5 for foot in feet)
