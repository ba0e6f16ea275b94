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
from cutplan.geometry.offset.proved import keeps_distance, safe_offset
from cutplan.geometry.offset.raw import Join
from cutplan.geometry.segment import circle
from cutplan.texts import Message, mm, say
from cutplan.texts import name as name_of
from cutplan.tolerance import JOIN_MM


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
    try:
        safe = safe_offset(solid, -half if inner else half, join)
    except GeometryError as error:
        message = say("no torch line was found for {what}: {why}", what=name, why=_said(error.message))
        return TorchLine(None, (Finding("path-not-found", "error", message, spanning(edge.box), error.hint),))
    result = safe.result
    findings: list[Finding] = []
    if not result.regions:
        return TorchLine(None, (closed(name, edge, kerf_mm),))
    narrow = narrow_places(name, safe.edge, result, kerf_mm)
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
    findings.extend(told_moved(name, max(moved_mm, safe.off_mm)))
    return TorchLine(line.oriented(ccw=True), tuple(findings))


def _tidied(line: Contour, edge: Contour, half_mm: float, part_side: int) -> tuple[Contour, float]:
    """Return the line without segments that no table can follow, or as it was when that would touch the part."""
    tidy, moved_mm = without_short_segments(line, part_side=part_side)
    if tidy is line or keeps_distance(tidy.segments, Clearance(edge.segments), half_mm):
        return tidy, moved_mm
    return line, 0.0


def _said(text: Message | str) -> Message:
    return text if isinstance(text, Message) else say("{text}", text=name_of(text))
