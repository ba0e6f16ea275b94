"""The line of the torch centre: each net contour moved by half the kerf into the waste, and what that closes."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.cutting.path.line_findings import closed, narrow_places
from cutplan.cutting.path.line_findings import moved as told_moved
from cutplan.cutting.path.tidy import without_short_segments
from cutplan.cutting.words import spanning
from cutplan.errors import GeometryError
from cutplan.findings import Finding
from cutplan.geometry.clearance import Clearance
from cutplan.geometry.contour import Contour
from cutplan.geometry.micro_edges import without_micro_edges
from cutplan.geometry.offset.raw import Join
from cutplan.geometry.offset.regions import OffsetResult, offset_region
from cutplan.geometry.region import Region
from cutplan.geometry.segment import circle
from cutplan.texts import Message, code, mm, say
from cutplan.texts import name as name_of
from cutplan.tolerance import JOIN_MM, MICRO_MM

#: Edges taken out before the offset: first those without meaning, then longer ones where that fails [mm].
TAKEN_OUT_MM = (MICRO_MM, 2e-3, 1e-2, 5e-2)
#: How much nearer than half the kerf a torch line may come to the part by rounding [mm].
BITE_MM = 5e-4


@dataclass(frozen=True, slots=True)
class TorchLine:
    """The torch centre line of one net contour, or none when the kerf does not fit; with findings."""

    line: Contour | None
    findings: tuple[Finding, ...]


def torch_line(name: Message, edge: Contour, kerf_mm: float, *, inner: bool, join: Join = "round") -> TorchLine:
    """Return the torch centre line of a net contour.

    Parameters
    ----------
    name : Message
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
            return TorchLine(None, (closed(name, edge, kerf_mm),))
        return TorchLine(Contour((circle(centre, moved),)), ())
    solid = edge.oriented(ccw=True)
    if half <= JOIN_MM:
        line, moved_mm = without_short_segments(solid)
        return TorchLine(line, told_moved(name, moved_mm))
    found = _offset(solid, half, inner, join)
    if isinstance(found, GeometryError):
        message = say("no torch line was found for {what}: {why}", what=name, why=_said(found.message))
        return TorchLine(None, (Finding("path-not-found", "error", message, spanning(edge.box), found.hint),))
    clean, result, off_mm = found
    findings: list[Finding] = []
    if not result.regions:
        return TorchLine(None, (closed(name, edge, kerf_mm),))
    narrow = narrow_places(name, clean, result, kerf_mm)
    if len(result.regions) > 1:
        findings.append(
            Finding(
                "neck-narrower-than-kerf",
                "error",
                say(
                    "{what} has a neck narrower than the kerf of {kerf}: it falls apart into {count} cuts",
                    what=name,
                    kerf=mm(kerf_mm, 2),
                    count=len(result.regions),
                ),
                where=spanning(edge.box),
                fix=say("widen the neck, or use a process with a finer kerf"),
            )
        )
    elif result.regions[0].holes:
        findings.append(
            Finding(
                "slot-narrower-than-kerf",
                "error",
                say(
                    "{what} has a slot narrower than the kerf of {kerf}: its mouth closes before its end",
                    what=name,
                    kerf=mm(kerf_mm, 2),
                ),
                where=spanning(edge.box),
                fix=say("widen the slot, or use a process with a finer kerf"),
            )
        )
    findings.extend(narrow)
    line, moved_mm = _tidied(result.regions[0].outer, solid, half, part_side=-1 if inner else 1)
    findings.extend(told_moved(name, max(moved_mm, off_mm)))
    return TorchLine(line.oriented(ccw=True), tuple(findings))


def _offset(
    solid: Contour, half_mm: float, inner: bool, join: Join
) -> tuple[Contour, OffsetResult, float] | GeometryError:
    """Return the contour without its shortest edges, its offset, and how far edges were moved [mm], or what failed.

    Where the offset of the contour itself does not close or bites, longer edges are taken out and the distance grows by
    as much as that moved the contour, so that the part is never touched.
    """
    failure = GeometryError(
        say("every line tried comes too near to it"),
        hint=say(
            "draw this contour anew without its shortest edges, or repair the drawing: {command}",
            command=code("cutplan read --repair"),
        ),
    )
    edges = Clearance(solid.segments)
    for micro_mm in TAKEN_OUT_MM:
        clean, off_mm = without_micro_edges(solid, micro_mm)
        more_mm = off_mm if micro_mm > MICRO_MM else 0.0
        try:
            result = offset_region(Region(clean), (-1.0 if inner else 1.0) * (half_mm + more_mm), join)
        except GeometryError as error:
            failure = error
            continue
        if all(_clear(c, edges, half_mm) for r in result.regions for c in r.contours):
            return clean, result, off_mm + more_mm
    return failure


def _clear(line: Contour, edges: Clearance, half_mm: float) -> bool:
    """Whether a torch line keeps half the kerf from every edge."""
    return float(edges.of(line.segments, half_mm)[0].min()) >= half_mm - BITE_MM


def _tidied(line: Contour, edge: Contour, half_mm: float, part_side: int) -> tuple[Contour, float]:
    """Return the line without segments that no table can follow, or as it was when that would touch the part."""
    tidy, moved_mm = without_short_segments(line, part_side=part_side)
    if tidy is line or _clear(tidy, Clearance(edge.segments), half_mm):
        return tidy, moved_mm
    return line, 0.0


def _said(text: Message | str) -> Message:
    return text if isinstance(text, Message) else say("{text}", text=name_of(text))
