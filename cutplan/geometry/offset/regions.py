"""Arc-true offset: the region grown or shrunk by a distance, as exact lines and arcs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutplan.errors import GeometryError
from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.offset.arrange import Unstitched, arranged_offset, in_kites
from cutplan.geometry.offset.local import local_offset
from cutplan.geometry.offset.raw import Join, Piece, RawContour, Source, raw_offset
from cutplan.geometry.offset.report import report
from cutplan.geometry.offset.tidy import tidy_loop
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Line
from cutplan.geometry.vector import Point
from cutplan.tolerance import JOIN_MM

#: Longest sharp point as a multiple of the distance [-]; beyond it a corner becomes round.
SHARP_LIMIT = 2.0
#: Changes of the distance tried when pieces do not join up at the distance asked for [mm].
_NUDGES_MM = (0.0, 1e-5, -1e-5, 5e-5, -5e-5, 2e-4, -2e-4)


@dataclass(frozen=True, slots=True)
class OffsetResult:
    """What became of a region.

    Parameters
    ----------
    regions : tuple[Region, ...]
        The offset, largest piece first; empty when nothing is left.
    vanished : tuple[Contour, ...]
        Contours of the input that have no counterpart.
    lost : tuple[Source, ...]
        Segments of the input, of contours that did not vanish, that have no counterpart.
    origin : tuple[tuple[tuple[Source, ...], ...], ...]
        For each region, for each contour (outer first), the source of each segment.
    findings : tuple[Finding, ...]
        What split, merged, vanished or got lost.
    """

    regions: tuple[Region, ...]
    vanished: tuple[Contour, ...]
    lost: tuple[Source, ...]
    origin: tuple[tuple[tuple[Source, ...], ...], ...]
    findings: tuple[Finding, ...]


def offset_region(
    region: Region, distance_mm: float, join: Join = "round", sharp_limit: float = SHARP_LIMIT
) -> OffsetResult:
    """Return a region grown (positive) or shrunk (negative) by a distance.

    Parameters
    ----------
    region : Region
        Outer contour with holes; contours must not cross themselves or each other.
    distance_mm : float
        Distance of the new edge from the old one, positive into the surroundings [mm].
    join : {"round", "sharp"}
        Round: the new edge is everywhere at the distance. Sharp: corners keep their point.
    sharp_limit : float
        Longest sharp point as a multiple of the distance [-]; beyond it the corner becomes round.

    Returns
    -------
    OffsetResult
        Regions of exact lines and arcs, within 0.001 mm of the true offset.

    Raises
    ------
    GeometryError
        When the pieces of the offset do not join up (a contour that crosses itself, for instance).
    """
    return offset_regions((region,), distance_mm, join, sharp_limit)


def offset_regions(
    regions: Sequence[Region], distance_mm: float, join: Join = "round", sharp_limit: float = SHARP_LIMIT
) -> OffsetResult:
    """Return several regions, apart from each other, grown or shrunk together [mm]; see :func:`offset_region`.

    Pieces that grow into each other become one region. Contours are numbered through all regions.
    """
    contours = [_clean(c) for r in regions for c in r.contours]
    if abs(distance_mm) <= JOIN_MM:
        loops = [[Piece(s, Source(i, k)) for k, s in enumerate(c.segments)] for i, c in enumerate(contours)]
    else:
        loops = _offset_loops(contours, distance_mm, join, sharp_limit)
    done = [t for t in (tidy_loop(loop) for loop in loops) if t is not None]
    nested = _nested(done)
    return OffsetResult(
        tuple(Region(outer[0], tuple(h[0] for h in holes)) for outer, holes in nested),
        *report(contours, [[outer[1], *(h[1] for h in holes)] for outer, holes in nested], distance_mm),
    )


def offset_contour(
    contour: Contour, distance_mm: float, join: Join = "round", sharp_limit: float = SHARP_LIMIT
) -> tuple[Contour, ...]:
    """Return a closed curve moved to its outside (positive) or inside (negative) [mm].

    The result may be several curves, or none; each keeps the direction of travel of the contour, but for
    those that a closing notch leaves inside, which run the other way.
    """
    result = offset_region(Region(contour), distance_mm, join, sharp_limit)
    curves = [c for r in result.regions for c in r.contours]
    return tuple(curves) if contour.ccw else tuple(c.reversed() for c in curves)


def _offset_loops(contours: list[Contour], right_mm: float, join: Join, limit: float) -> list[list[Piece]]:
    raws = [raw_offset(c, right_mm, join, limit) for c in contours]
    size = abs(right_mm)
    loops = local_offset(contours, raws, size, join == "sharp")
    if loops is not None:
        return loops
    segments = [s for c in contours for s in c.segments]
    for nudge in _NUDGES_MM:
        if nudge:
            if size + nudge <= 0.0:
                continue
            changed = right_mm + (nudge if right_mm > 0.0 else -nudge)
            raws = [raw_offset(c, changed, join, limit) for c in contours]
        pieces = [p for k, raw in enumerate(raws) for p in raw.pieces(k)]
        try:
            return arranged_offset(pieces, segments, size + nudge, _tips(contours, raws))
        except Unstitched:
            continue
    box = contours[0].box
    raise GeometryError(
        f"the offset by {right_mm:g} mm does not close",
        where=f"outline spanning {box.xmin:.3f}..{box.xmax:.3f} x {box.ymin:.3f}..{box.ymax:.3f} mm",
        hint="check the outline for crossings, or change the distance by a hundredth of a millimetre",
    )


def in_sharp_corners(contour: Contour, right_mm: float, points: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Return whether each of (n, 2) points [mm] lies in what the sharp corners of an offset add to the area it sweeps.

    Parameters
    ----------
    contour : Contour
        Closed contour.
    right_mm : float
        Distance of its offset to the right of its travel [mm] (left if negative).
    points : array
        Points asked [mm].
    """
    contour = _clean(contour)
    tips = _tips([contour], [raw_offset(contour, right_mm, "sharp", SHARP_LIMIT)])
    return in_kites(points, tips)


def _tips(contours: list[Contour], raws: list[RawContour]) -> list[tuple[Point, ...]]:
    """Kites that sharp corners add to the swept area."""
    tips: list[tuple[Point, ...]] = []
    for contour, raw in zip(contours, raws, strict=True):
        for i, parts in enumerate(raw.joins):
            if len(parts) == 2 and isinstance(parts[0], Line):
                corner = contour.segments[i].end
                tips.append((corner, parts[0].start, parts[0].end, parts[1].end))
    return tips


def _clean(contour: Contour) -> Contour:
    """Leave out segments of no length."""
    if all(s.length > JOIN_MM for s in contour.segments):
        return contour
    kept = tuple(s for s in contour.segments if s.length > JOIN_MM)
    if not kept:
        raise GeometryError("a contour without length cannot be offset")
    return Contour(kept)


_Loop = tuple[Contour, tuple[Source, ...]]


def _nested(loops: list[_Loop]) -> list[tuple[_Loop, list[_Loop]]]:
    """Give each clockwise loop to the smallest counter-clockwise loop around it, largest outer first."""
    outers = sorted((t for t in loops if t[0].signed_area > 0.0), key=lambda t: -t[0].area)
    result: list[tuple[_Loop, list[_Loop]]] = [(t, []) for t in outers]
    for hole in loops:
        if hole[0].signed_area > 0.0:
            continue
        if len(result) == 1:
            result[0][1].append(hole)
            continue
        probe = hole[0].segments[0].point_at(0.5)
        for outer, holes in reversed(result):
            if outer[0].contains(probe):
                holes.append(hole)
                break
    return result
