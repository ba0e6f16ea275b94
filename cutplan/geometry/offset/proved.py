"""Offsets that are asked again after they were made: nowhere nearer than the distance, nothing left out.

Nearer than the distance is told exactly, from every line and arc to every edge. Whether something was left out is asked
from places along the edges: a disc of the distance's radius laid against the edge there either fits, and then the offset
must run through its centre, or it does not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from cutplan.errors import GeometryError
from cutplan.geometry.clearance import Clearance
from cutplan.geometry.contour import Contour
from cutplan.geometry.micro_edges import without_micro_edges
from cutplan.geometry.offset.raw import Join
from cutplan.geometry.offset.regions import OffsetResult, offset_region
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Segment
from cutplan.texts import code, say
from cutplan.tolerance import MICRO_MM

_Array = NDArray[np.float64]
#: Edges taken out before the offset: first those without meaning, then longer ones where that fails [mm].
TAKEN_OUT_MM = (MICRO_MM, 2e-3, 1e-2, 5e-2)
#: How much nearer than the distance an offset may come by rounding [mm].
NEARER_MM = 5e-4
#: Longest step between the places asked along an edge [mm], and most steps on one line or arc.
STEP_MM, MOST_STEPS = 5.0, 40
#: How far a disc may reach into the edges and still count as lying free [mm].
FIT_MM = 1e-4


@dataclass(frozen=True, slots=True)
class SafeOffset:
    """An offset that keeps its distance.

    Parameters
    ----------
    edge : Contour
        The contour without its shortest edges, which the offset's sources name.
    result : OffsetResult
        The offset.
    off_mm : float
        How far the contour and its offset were moved for that at most [mm].
    """

    edge: Contour
    result: OffsetResult
    off_mm: float


def safe_offset(contour: Contour, distance_mm: float, join: Join = "round") -> SafeOffset:
    """Return the offset of the area within a contour that nowhere comes nearer to the contour than the distance.

    Parameters
    ----------
    contour : Contour
        Counter-clockwise contour.
    distance_mm : float
        Distance of the new edge from the old one, positive into the surroundings [mm].
    join : {"round", "sharp"}
        How the line runs round corners.

    Raises
    ------
    GeometryError
        When no way leads to an offset that keeps its distance.

    Notes
    -----
    Where the offset of the contour itself does not close or comes too near, longer edges are taken out and the distance
    grows by as much as that moved the contour.
    """
    failure = GeometryError(
        say("every line tried comes too near to it"),
        hint=say(
            "draw this contour anew without its shortest edges, or repair the drawing: {command}",
            command=code("cutplan read --repair"),
        ),
    )
    edges = Clearance(contour.segments)
    size = abs(distance_mm)
    for micro_mm in TAKEN_OUT_MM:
        clean, off_mm = without_micro_edges(contour, micro_mm)
        more_mm = off_mm if micro_mm > MICRO_MM else 0.0
        try:
            result = offset_region(Region(clean), (1.0 if distance_mm > 0.0 else -1.0) * (size + more_mm), join)
        except GeometryError as error:
            failure = error
            continue
        if all(keeps_distance(c.segments, edges, size) for r in result.regions for c in r.contours):
            return SafeOffset(clean, result, off_mm + more_mm)
    raise failure


def keeps_distance(line: Sequence[Segment], edges: Clearance, size_mm: float, slack_mm: float = NEARER_MM) -> bool:
    """Return whether a line nowhere comes nearer to edges than a distance [mm]."""
    return float(edges.of(line, size_mm)[0].min()) >= size_mm - slack_mm


@dataclass(frozen=True, slots=True)
class EdgePlaces:
    """Places along edges: (n, 2) points [mm], unit directions straight off the material, number of the contour."""

    points: _Array
    off: _Array
    owner: NDArray[np.intp]


def edge_places(region: Region) -> EdgePlaces:
    """Return places along all edges of a region, at most 5 mm apart but for very long edges."""
    rows: list[tuple[float, float, float, float]] = []
    owner: list[int] = []
    for k, contour in enumerate(region.contours):
        for s in contour.oriented(ccw=k == 0).segments:
            n = min(MOST_STEPS, max(2, ceil(s.length / STEP_MM)))
            for i in range(n):
                t = (i + 0.5) / n
                p, u = s.point_at(t), s.direction_at(t)
                rows.append((p.x, p.y, u.y, -u.x))
            owner.extend([k] * n)
    table = np.array(rows)
    return EdgePlaces(table[:, :2], table[:, 2:], np.array(owner, dtype=np.intp))


def left_out(
    places: EdgePlaces, edges: Clearance, moved: Sequence[Segment], distance_mm: float | _Array
) -> tuple[_Array, NDArray[np.bool_]]:
    """Return for each place, (places,), how much farther than the distance the moved line is [mm], and whether a disc fits there.

    Parameters
    ----------
    places : EdgePlaces
        Places along the edges.
    edges : Clearance
        The edges themselves.
    moved : sequence of Segment
        The offset.
    distance_mm : float or array
        Its distance, positive off the material [mm]; one for all places, or one for each.
    """
    away = np.broadcast_to(np.asarray(distance_mm, dtype=float), len(places.points))
    size = np.abs(away)
    reach = float(size.max()) + 0.05
    over = Clearance(moved).of_points(places.points, reach) - size
    fits = np.ones(len(places.points), dtype=bool)
    doubtful = np.flatnonzero(over > NEARER_MM)
    if len(doubtful):
        discs = places.points[doubtful] + away[doubtful, None] * places.off[doubtful]
        fits[doubtful] = edges.of_points(discs, reach) >= size[doubtful] - FIT_MM
    return over, fits
