"""The job's shapes as plain numbers for a screen: lines and arcs stay lines and arcs, in millimetres, y upward."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from cutplan.errors import CutplanError
from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Arc, Segment
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.job import Job
from cutplan.units import UnitName, parse_length

#: Decimals of a coordinate for the screen: a ten-thousandth of a millimetre.
_DIGITS = 4


def number(value: float) -> float:
    """Return a coordinate rounded for the screen [mm]."""
    return round(value, _DIGITS) + 0.0


def place(point: Point) -> list[float]:
    """Return a point as two numbers [mm]."""
    return [number(point.x), number(point.y)]


def segments(chain: Iterable[Segment]) -> list[list[float]]:
    """Return segments as ``[x0, y0, x1, y1]`` for a line, with ``cx, cy, r, sweep`` [rad] behind it for an arc."""
    return [
        [*place(s.start), *place(s.end), *place(s.centre), number(s.radius), round(s.sweep, 9)]
        if isinstance(s, Arc)
        else [*place(s.start), *place(s.end)]
        for s in chain
    ]


def box(b: Box) -> list[float]:
    """Return a box as ``[xmin, ymin, xmax, ymax]`` [mm]."""
    return [number(b.xmin), number(b.ymin), number(b.xmax), number(b.ymax)]


def hole(contour: Contour) -> dict[str, Any]:
    """Return a hole: centre and diameter of a round one, centre and segments of any other."""
    circle = contour.as_circle()
    if circle:
        return {"at": place(circle[0]), "d": number(2.0 * circle[1])}
    return {"at": place(contour.centroid), "segments": segments(contour.segments)}


def holes(job: Job, data: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return every hole with the keys of the job file that speak of it.

    ``key`` is the entry that places it (a typed hole), ``index`` which one of that entry's it is.
    """
    entries = _entries(data, "plate", "hole")
    counts = [_repeats(e) for e in entries]
    drawn = max(0, len(job.plate.holes) - sum(counts))
    out = []
    owner = [(i, k) for i, n in enumerate(counts) for k in range(n)]
    for number_, h in enumerate(job.plate.holes):
        known: dict[str, Any] = {"name": h.name, "purpose": h.purpose, "bolt": h.bolt, **hole(h.contour)}
        if number_ >= drawn and number_ - drawn < len(owner):
            entry, index = owner[number_ - drawn]
            known["key"] = ["plate", "hole", entry]
            known["index"] = index
            # what follows a study stands elsewhere than its entry says: it is not to be pushed about
            known["free"] = "at" in entries[entry] and (
                job.origin.moved is None or h.name not in job.origin.moved.holes
            )
        out.append(known)
    return out


def corners(data: Mapping[str, Any], points: Mapping[str, Sequence[float]]) -> list[dict[str, Any]]:
    """Return the typed corners of the outline that have a place: index, place [mm], and the taped point's name."""
    unit: UnitName = "in" if data.get("units") == "in" else "mm"
    out: list[dict[str, Any]] = []
    for i, corner in enumerate(_entries(data, "plate", "outline")):
        at, name = corner.get("at"), corner.get("point")
        if isinstance(name, str):
            if name in points:
                out.append({"index": i, "at": list(points[name]), "point": name, "free": False})
        elif isinstance(at, list) and len(at) == 2:
            try:
                spot = [number(parse_length(v, unit)) for v in at]
            except CutplanError:
                continue
            out.append({"index": i, "at": spot, "point": "", "free": True})
    return out


def _entries(data: Mapping[str, Any], *keys: str) -> Sequence[Mapping[str, Any]]:
    here: Any = data
    for key in keys:
        here = here.get(key, {}) if isinstance(here, Mapping) else {}
    return [e for e in here if isinstance(e, Mapping)] if isinstance(here, list) else []


def _repeats(entry: Mapping[str, Any]) -> int:
    """How many holes one entry draws: its count, doubled by each mirror line."""
    count = entry.get("count", 1)
    many = count if isinstance(count, int) and ("circle_diameter" in entry or "step" in entry) else 1
    doubled: int = 2 ** sum(key in entry for key in ("mirror_x", "mirror_y"))
    return many * doubled
