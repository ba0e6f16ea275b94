"""The line of the torch centre: each net contour moved by half the kerf into the waste, and what that closes."""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, pi, sin

import numpy as np

from cutplan.cutting.path.tidy import without_short_segments
from cutplan.errors import GeometryError
from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.offset.raw import Join
from cutplan.geometry.offset.regions import OffsetResult, offset_region
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc, circle
from cutplan.geometry.segment_table import SegmentTable
from cutplan.tolerance import JOIN_MM

#: Uncut metal over the kerf above which a wedge is told [1]; a square corner keeps 0.21, one of 60 degrees 0.5.
WEDGE = 0.6
_SAMPLES = (0.0, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9)
#: Right turn above which a joint counts as an inside corner [rad] (two degrees).
CORNER_RAD = 0.035


@dataclass(frozen=True, slots=True)
class TorchLine:
    """The torch centre line of one net contour, or none when the kerf does not fit; with findings."""

    line: Contour | None
    findings: tuple[Finding, ...]


def torch_line(name: str, edge: Contour, kerf_mm: float, *, inner: bool, join: Join = "round") -> TorchLine:
    """Return the torch centre line of a net contour.

    Parameters
    ----------
    name : str
        What messages call the contour, such as ``outline`` or ``hole H3``.
    edge : Contour
        Net contour.
    kerf_mm : float
        Kerf [mm]; zero gives the contour itself.
    inner : bool
        Whether the contour is a hole, so that the torch runs inside it.
    join : {"round", "sharp"}
        How the line runs round outside corners of the waste side.

    Returns
    -------
    TorchLine
        Counter-clockwise line within 0.001 mm of the true offset, no segment below 0.1 mm where that can be had;
        None with an error finding when the kerf does not fit into the contour.
    """
    half = 0.5 * kerf_mm
    round_ = edge.as_circle()
    if round_ is not None:
        centre, radius = round_
        moved = radius - half if inner else radius + half
        if moved <= JOIN_MM:
            return TorchLine(None, (_closed(name, edge, kerf_mm),))
        return TorchLine(Contour((circle(centre, moved),)), ())
    solid = Region(edge.oriented(ccw=True))
    if half <= JOIN_MM:
        line, moved_mm = without_short_segments(solid.outer)
        return TorchLine(line, _moved_finding(name, moved_mm))
    try:
        result = offset_region(solid, -half if inner else half, join)
    except GeometryError as error:
        return TorchLine(
            None,
            (
                Finding(
                    "path-not-found",
                    "error",
                    f"no torch line was found for {name}: {error.message}",
                    _where(edge),
                    error.hint,
                ),
            ),
        )
    findings: list[Finding] = []
    if not result.regions:
        return TorchLine(None, (_closed(name, edge, kerf_mm),))
    narrow = _narrow_places(name, solid.outer, result, kerf_mm)
    if len(result.regions) > 1:
        findings.append(
            Finding(
                "neck-narrower-than-kerf",
                "error",
                f"{name} has a neck narrower than the kerf of {kerf_mm:.2f} mm: "
                f"it falls apart into {len(result.regions)} cuts",
                where=_where(edge),
                fix="widen the neck, or use a process with a finer kerf",
            )
        )
    elif result.regions[0].holes:
        findings.append(
            Finding(
                "slot-narrower-than-kerf",
                "error",
                f"{name} has a slot narrower than the kerf of {kerf_mm:.2f} mm: its mouth closes before its end",
                where=_where(edge),
                fix="widen the slot, or use a process with a finer kerf",
            )
        )
    findings.extend(narrow)
    line, moved_mm = without_short_segments(result.regions[0].outer)
    findings.extend(_moved_finding(name, moved_mm))
    return TorchLine(line.oriented(ccw=True), tuple(findings))


def _narrow_places(name: str, edge: Contour, result: OffsetResult, kerf_mm: float) -> list[Finding]:
    """Places that the kerf does not reach: whole sides of a slot are an error, deep wedges a warning."""
    reached = {s.segment for region in result.origin for chain in region for s in chain if not s.corner}
    whole = [
        s
        for k, s in enumerate(edge.segments)
        if k not in reached and s.length > kerf_mm and not (isinstance(s, Arc) and s.radius < 0.5 * kerf_mm)
    ]
    if whole:
        at = whole[0].point_at(0.5)
        return [
            Finding(
                "slot-narrower-than-kerf",
                "error",
                f"{name} has a slot narrower than the kerf of {kerf_mm:.2f} mm: "
                f"{len(whole)} of its sides cannot be reached",
                where=f"{name}, near {at.x:.1f}, {at.y:.1f} mm",
                fix="widen the slot, or use a process with a finer kerf",
            )
        ]
    line = SegmentTable([s for r in result.regions for c in r.contours for s in c.segments])
    places = [s.point_at(t) for s in edge.segments for t in _SAMPLES]
    over = line.distances(np.array(places)) - 0.5 * kerf_mm
    k = int(over.argmax())
    if over[k] <= WEDGE * kerf_mm:
        return []
    return [
        Finding(
            "wedge-not-reached",
            "warning",
            f"{name} narrows below the kerf of {kerf_mm:.2f} mm: up to {over[k]:.2f} mm of metal stays in it",
            where=f"{name}, near {places[k].x:.1f}, {places[k].y:.1f} mm",
            fix="saw or file the narrow end, or widen it",
        )
    ]


def _closed(name: str, edge: Contour, kerf_mm: float) -> Finding:
    box = edge.box
    return Finding(
        "slot-narrower-than-kerf",
        "error",
        f"{name} ({box.width:.2f} x {box.height:.2f} mm) is narrower than the kerf of {kerf_mm:.2f} mm "
        "and cannot be cut",
        where=_where(edge),
        fix="widen it, drill and saw it, or use a process with a finer kerf",
    )


def _moved_finding(name: str, moved_mm: float) -> tuple[Finding, ...]:
    if moved_mm <= 0.01:
        return ()
    return (
        Finding(
            "short-segment-removed",
            "note",
            f"{name}: a step shorter than a table can follow was bridged, moving the line by up to {moved_mm:.3f} mm",
            name,
        ),
    )


def _where(edge: Contour) -> str:
    box = edge.box
    return f"spanning {box.xmin:.1f}..{box.xmax:.1f} x {box.ymin:.1f}..{box.ymax:.1f} mm"


@dataclass(frozen=True, slots=True)
class InsideCorner:
    """An inside corner of the part: place along the contour [mm], its radius [mm] and its angle in the waste [rad]."""

    x_mm: float
    y_mm: float
    radius_mm: float
    angle_rad: float

    def left_over_mm(self, kerf_mm: float) -> float:
        """Return how far the uncut metal stands out of a sharp corner [mm]: k/2 (1/sin(angle/2) - 1), exact."""
        return 0.5 * kerf_mm * (1.0 / max(sin(0.5 * self.angle_rad), 1e-3) - 1.0)


def inside_corners(region: Region) -> tuple[tuple[InsideCorner, ...], ...]:
    """Return the inside corners of each contour of a region (outer first): sharp ones, and fillets by their radius."""
    return tuple(_corners(c) for c in region.contours)


def _corners(contour: Contour) -> tuple[InsideCorner, ...]:
    found: list[InsideCorner] = []
    segments = contour.segments
    for i, s in enumerate(segments):
        if isinstance(s, Arc) and s.sweep < 0.0 and not s.is_circle:
            middle = s.point_at(0.5)
            found.append(InsideCorner(middle.x, middle.y, s.radius, max(0.0, pi + s.sweep)))
        following = segments[(i + 1) % len(segments)]
        d0, d1 = s.end_direction, following.start_direction
        turn = acos(max(-1.0, min(1.0, d0.dot(d1))))
        if d0.cross(d1) < 0.0 and turn > CORNER_RAD:
            found.append(InsideCorner(s.end.x, s.end.y, 0.0, pi - turn))
    return tuple(found)
