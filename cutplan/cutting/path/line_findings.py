"""What is said of a torch line: places that the kerf does not reach, kerfs that do not fit, lines that were moved."""

from __future__ import annotations

import numpy as np

from cutplan.cutting.words import sized, spanning
from cutplan.findings import Finding
from cutplan.geometry.clearance import Clearance
from cutplan.geometry.contour import Contour
from cutplan.geometry.offset.regions import OffsetResult
from cutplan.geometry.segment import Arc
from cutplan.geometry.vector import Point
from cutplan.texts import Message, mm, place, say

#: Uncut metal over the kerf above which a wedge is told [1]; a square corner keeps 0.21, one of 60 degrees 0.5.
WEDGE = 0.6
_SAMPLES = (0.0, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9)
#: Departure of a line from the drawing above which it is told [mm].
TOLD_MM = 0.01


def narrow_places(name: Message, edge: Contour, result: OffsetResult, kerf_mm: float) -> list[Finding]:
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
                say(
                    "{what} has a slot narrower than the kerf of {kerf}: {count} of its sides cannot be reached",
                    what=name,
                    kerf=mm(kerf_mm, 2),
                    count=len(whole),
                ),
                where=_near(name, at),
                fix=say("widen the slot, or use a process with a finer kerf"),
            )
        ]
    line = Clearance([s for r in result.regions for c in r.contours for s in c.segments])
    places = [s.point_at(t) for s in edge.segments for t in _SAMPLES]
    over = line.of_points(np.array(places), 0.6 * kerf_mm) - 0.5 * kerf_mm
    k = int(over.argmax())
    if over[k] <= WEDGE * kerf_mm:
        return []
    return [
        Finding(
            "wedge-not-reached",
            "warning",
            say(
                "{what} narrows below the kerf of {kerf}: up to {rest} of metal stays in it",
                what=name,
                kerf=mm(kerf_mm, 2),
                rest=mm(float(over[k]), 2),
            ),
            where=_near(name, places[k]),
            fix=say("saw or file the narrow end, or widen it"),
        )
    ]


def closed(name: Message, edge: Contour, kerf_mm: float) -> Finding:
    """Return the finding about a contour that the kerf does not fit into."""
    return Finding(
        "slot-narrower-than-kerf",
        "error",
        say(
            "{what} ({size}) is narrower than the kerf of {kerf} and cannot be cut",
            what=name,
            size=sized(edge.box.width, edge.box.height, 2),
            kerf=mm(kerf_mm, 2),
        ),
        where=spanning(edge.box),
        fix=say("widen it, drill and saw it, or use a process with a finer kerf"),
    )


def moved(name: Message, moved_mm: float) -> tuple[Finding, ...]:
    """Return the note about steps that were bridged, when they moved the line by what can be measured."""
    if moved_mm <= TOLD_MM:
        return ()
    text = say(
        "{what}: a step shorter than a table can follow was bridged, moving the line by up to {moved}",
        what=name,
        moved=mm(moved_mm, 3),
    )
    return (Finding("short-segment-removed", "note", text, name),)


def _near(name: Message, at: Point) -> Message:
    return say("{what}, near {place}", what=name, place=place(at.x, at.y))
