"""Readings that cannot be true: unknown names, slips of the tape, twice measured, too few on a pad."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches

from cutplan.findings import Finding
from cutplan.geometry.vector import Point
from cutplan.inspection.named_points import DIAL_PLACES
from cutplan.inspection.readings import Reading
from cutplan.opening.model import DatumPlan
from cutplan.pattern.job import Job
from cutplan.texts.by_id import told
from cutplan.units import MM_PER_INCH

#: A distance off by more than this, and by more than this share of itself, is a slip rather than a distortion.
SLIP_MM = 10.0
SLIP_SHARE = 0.02
#: What a tape is commonly off by when it is read wrongly [mm], and how near a slip must be to it [mm].
_SLIPS = ((100.0, "100 mm"), (10.0, "10 mm"), (MM_PER_INCH, "1 in"))
_NEAR_MM = 2.0
#: Pads further out of flat, or gaps wider than this, are taken for a slip [mm].
_DIAL_MOST_MM = 5.0
_GAP_MOST_MM = 10.0


def unknown_names(
    job: Job, readings: Sequence[Reading], points: dict[str, Point], stations: Sequence[tuple[str, Point, Point]]
) -> list[str]:
    """Return one sentence for each name that the plan does not have."""
    pads = [p.name for p in job.pads]
    known = {
        "distance": list(points),
        "x": list(points),
        "y": list(points),
        "dial": pads,
        "feeler": pads,
        "gap": [s[0] for s in stations],
    }
    problems = []
    for r in readings:
        names = [r.name] + ([r.to] if r.to and r.kind in ("distance", "feeler") else [])
        for name in names:
            if name not in known[r.kind]:
                near = get_close_matches(name, known[r.kind], 1)
                listed = ", ".join(known[r.kind][:12]) or "none"
                problems.append(
                    f"line {r.line}: {r.kind} {name!r} is not on the plan "
                    + (f"(nearest: {near[0]!r})" if near else f"(known: {listed})")
                )
        if r.kind == "dial" and r.to not in [str(i) for i in range(1, DIAL_PLACES + 1)]:
            problems.append(f"line {r.line}: dial place {r.to!r} is not 1 to {DIAL_PLACES}")
        if r.kind == "distance" and r.name == r.to:
            problems.append(f"line {r.line}: distance from {r.name!r} to itself")
    return problems


def unknown_marks(reading: Reading, datum: DatumPlan | None) -> list[str]:
    """Return one sentence for each name of a datum distance that the datum sheet does not have."""
    known = [p.name for p in datum.points] if datum is not None else []
    return [
        f"line {reading.line}: {name!r} is not on the datum sheet (known: {', '.join(known[:12]) or 'none'})"
        for name in (reading.name, reading.to)
        if name not in known
    ]


def doubts(
    job: Job, readings: Sequence[Reading], points: dict[str, Point], lang: str = "en"
) -> list[tuple[int, Finding]]:
    """Return (index, finding) for each reading that should be taken again; such readings are left out of the verdict.

    Index -1: the finding is about no single reading.
    """
    found: list[tuple[int, Finding]] = []
    seen: dict[tuple[str, str, str], Reading] = {}
    again = told("inspect.again", lang)

    def doubt(i: int, code: str, key: str, **values: object) -> None:
        message = told(key, lang, label=readings[i].label, **values)
        found.append((i, Finding(code, "warning", message, f"line {readings[i].line}", again)))

    for i, r in enumerate(readings):
        value = float(r.measured_mm or 0.0)
        ends = sorted((r.name, r.to)) if r.kind in ("distance", "feeler") else [r.name, r.to]
        key = (r.kind, ends[0], ends[1])
        if key in seen:
            if abs(float(seen[key].measured_mm or 0.0) - value) > 1.0:
                doubt(i, "reading-twice", "inspect.twice", line=seen[key].line)
            else:
                message = told("inspect.same", lang, label=r.label)
                found.append((i, Finding("reading-twice", "note", message, f"line {r.line}")))
            continue
        seen[key] = r
        if r.kind == "distance":
            plan = points[r.name].distance(points[r.to])
            off = value - plan
            if abs(off) > max(SLIP_MM, SLIP_SHARE * plan):
                doubt(i, "reading-slip", "inspect.slip", off=off, plan=plan, why=_why(value, plan, lang))
        elif (r.kind == "dial" and abs(value) > _DIAL_MOST_MM) or (r.kind == "feeler" and value > _DIAL_MOST_MM):
            doubt(i, "reading-slip", "inspect.dial_wild", value=value)
        elif r.kind == "gap" and value > _GAP_MOST_MM:
            doubt(i, "reading-slip", "inspect.gap_wild", value=value)
    for pad in job.pads:
        dial = [r for r in readings if r.kind == "dial" and r.name == pad.name]
        if 0 < len(dial) < 4:
            found.append(
                (
                    -1,
                    Finding(
                        "readings-too-few",
                        "warning",
                        told("inspect.few", lang, pad=pad.name, count=len(dial)),
                        f"pad {pad.name}",
                        told("inspect.few_fix", lang),
                    ),
                )
            )
    for axis, other in (("x", "y"), ("y", "x")):
        have = {r.name for r in readings if r.kind == other}
        for i, r in enumerate(readings):
            if r.kind == axis and r.name not in have:
                doubt(i, "reading-half", "inspect.half", other=other)
    return found


def _why(value: float, plan: float, lang: str) -> str:
    """Return the likely slip behind a wrong distance, or nothing."""
    if abs(value / MM_PER_INCH - plan) < SLIP_MM or abs(value * MM_PER_INCH - plan) < SLIP_MM:
        return " " + told("inspect.why_unit", lang)
    for size, name in _SLIPS:
        if abs(abs(value - plan) - size) <= _NEAR_MM:
            return " " + told("inspect.why_tape", lang, size=name)
    return ""
