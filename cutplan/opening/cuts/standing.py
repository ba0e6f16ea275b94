"""Where a tool stands while it cuts, and the brace's feet that stand on the skin in its way."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutplan.geometry.contour import Contour, polygon
from cutplan.geometry.flatten import flatten_segment, to_shapely
from cutplan.geometry.segment import Segment
from cutplan.geometry.vector import Point
from cutplan.opening.brace.stiffness import brace_ends, foot_mm
from cutplan.opening.cuts.disc import chord_mm
from cutplan.pattern.job import Job
from cutplan.tables.hand_tools import BESIDE_MM

if TYPE_CHECKING:
    from shapely import Polygon


def foot_contours(job: Job, line: Contour) -> tuple[Contour, ...]:
    """Return what the brace's two feet cover of the skin [mm]; none for a real part bolted on, and without a brace.

    A foot is as wide as the brace and stands square to it. The bar itself stands so high that the tool passes under it.
    """
    if not (job.pads or job.brace) or (job.brace is not None and job.brace.kind == "part"):
        return ()
    a, b = brace_ends(job, line)
    u = b.minus(a).unit().times(0.5 * foot_mm(job))
    v = u.left()
    return tuple(
        polygon([(p.x + i * u.x + k * v.x, p.y + i * u.y + k * v.y) for i, k in ((-1, -1), (1, -1), (1, 1), (-1, 1))])
        for p in (a, b)
    )


def brace_feet(job: Job, line: Contour) -> tuple[Polygon, ...]:
    """Return the feet of :func:`foot_contours` as GEOS polygons [mm]."""
    return tuple(to_shapely(foot) for foot in foot_contours(job, line))


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
    """Return the middles of feet [mm]."""
    return [Point(f.centroid.x, f.centroid.y) for f in feet]


def in_the_way(feet: Sequence[Polygon], place: Polygon) -> bool:
    """Whether a foot stands where a tool must."""
    return any(float(foot.intersection(place).area) > 0.5 for foot in feet)
