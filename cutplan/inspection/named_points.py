"""Names of what can be measured on a finished part: hole centres, pad centres, corners and gap stations."""

from __future__ import annotations

from math import acos, ceil, cos, degrees, pi, radians, sin

from cutplan.geometry.vector import Point
from cutplan.pattern.job import Job
from cutplan.pattern.pads import Pad
from cutplan.texts.by_id import told

#: A vertex turns at least this much to be a corner that a tape can be held to [deg].
CORNER_DEG = 20.0
#: More corners than this are not named: the outline is a curve.
MOST_CORNERS = 16
#: Wanted distance between gap stations [mm]; at least 4, at most 24 stations (common practice: about every tack).
STATION_MM = 80.0
#: Places round a pad where a dial is read, and their distance from its middle as a share of its diameter.
DIAL_PLACES = 6
DIAL_SHARE = 0.4


def corners(job: Job) -> tuple[tuple[str, Point], ...]:
    """Return the outline's sharp corners, named E1, E2 ... from the lower left, counter-clockwise [mm]."""
    outline = job.plate.outline.oriented(ccw=True)
    segments = outline.segments
    found = []
    for i, s in enumerate(segments):
        turn = max(-1.0, min(1.0, segments[i - 1].end_direction.dot(s.start_direction)))
        if degrees(acos(turn)) >= CORNER_DEG:
            found.append(s.start)
    if not found or len(found) > MOST_CORNERS:
        return ()
    box = outline.box
    first = min(range(len(found)), key=lambda i: (found[i].x - box.xmin + found[i].y - box.ymin, i))
    ordered = found[first:] + found[:first]
    return tuple((f"E{i}", p) for i, p in enumerate(ordered, 1))


def named_points(job: Job) -> dict[str, Point]:
    """Return every point that readings may name: holes, pads not named like a hole, corners [mm]."""
    points = {h.name: h.centre for h in job.plate.holes}
    for pad in job.pads:
        points.setdefault(pad.name, pad.centre)
    for name, point in corners(job):
        points.setdefault(name, point)
    return points


def pad_at(job: Job, name: str) -> Pad | None:
    """Return the pad of that name, or the pad that holds the hole of that name."""
    for pad in job.pads:
        if pad.name == name:
            return pad
    hole = next((h for h in job.plate.holes if h.name == name), None)
    if hole is None:
        return None
    return next((p for p in job.pads if p.centre.distance(hole.centre) <= 0.5 * p.diameter_mm), None)


def gap_stations(job: Job) -> tuple[tuple[str, Point, Point], ...]:
    """Return (name, place, unit direction of the outline) of the stations where the gap is measured [mm]."""
    outline = job.plate.outline.oriented(ccw=True)
    count = min(24, max(4, ceil(outline.length / STATION_MM)))
    found: list[tuple[str, Point, Point]] = []
    for i in range(count):
        along = (i + 0.5) * outline.length / count
        if not any(_within(along, s.start_mm, s.end_mm) for s in job.joint.unwelded):
            point, direction = outline.point_at_length(along)
            found.append((f"G{len(found) + 1}", point, direction))
    return tuple(found)


def _within(along: float, start: float, end: float) -> bool:
    return start <= along <= end if start <= end else along >= start or along <= end


def dial_way(job: Job, lang: str = "en") -> str:
    """Return the word for the direction in which the first dial place of a pad lies; a face without a front has up or left."""
    return told(f"paper.arrow.{next((name for name, _ in job.marks.arrows), 'up').upper()}", lang)


def dial_places(job: Job, pad: Pad) -> tuple[Point, ...]:
    """Return the places of a pad where a dial is read: the first along the first arrow, then counter-clockwise [mm]."""
    first = radians(next((deg for _, deg in job.marks.arrows), 90.0))
    reach = DIAL_SHARE * pad.diameter_mm
    return tuple(
        Point(
            pad.centre.x + reach * cos(first + 2.0 * pi * i / DIAL_PLACES),
            pad.centre.y + reach * sin(first + 2.0 * pi * i / DIAL_PLACES),
        )
        for i in range(DIAL_PLACES)
    )
