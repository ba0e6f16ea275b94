"""The blank form of measurements: what to measure, in which order, with the planned value beside it."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from io import StringIO
from itertools import combinations
from math import atan2

from cutplan.errors import CutplanError
from cutplan.geometry.vector import Point
from cutplan.inspection.cells import safe
from cutplan.inspection.datum_loop import stage_said
from cutplan.inspection.named_points import DIAL_PLACES, corners, dial_way, gap_stations
from cutplan.inspection.readings import COLUMNS, STAGES, ReadingKind
from cutplan.opening.brace.taken import with_braces
from cutplan.opening.datum import datum_plan
from cutplan.opening.model import DatumPlan
from cutplan.pattern.job import Job
from cutplan.pattern.opening import opening_line
from cutplan.texts import Reader, say
from cutplan.texts.by_id import told
from cutplan.units import MM_PER_INCH
from cutplan.welding.bench.result import FIT, TACKS

#: Up to this many points every pair is measured; above, a ring of neighbours and two base points.
_ALL_PAIRS = 5
#: Purposes of holes whose place matters for what is bolted on.
_PLACED = ("bolt", "locating", "sleeve")
#: At most so many holes are asked for on the form.
_MOST_HOLES = 24


@dataclass(frozen=True, slots=True)
class Asked:
    """One value to be measured and what the plan says it should be [mm]."""

    kind: ReadingKind
    name: str
    to: str
    plan_mm: float
    note: str = ""
    after: str = ""


def asked(job: Job, lang: str = "en") -> tuple[Asked, ...]:
    """Return what to measure on the finished part: gaps first (before welding), then distances, diagonals and pads."""
    rows = [Asked("gap", name, "", planned_gap_mm(job), told("form.gap", lang)) for name, _, _ in gap_stations(job)]
    holes = [(h.name, h.centre) for h in job.plate.holes if h.purpose in _PLACED][:_MOST_HOLES]
    rows += [Asked("distance", a, b, p.distance(q), told("form.pitch", lang)) for (a, p), (b, q) in _pairs(holes)]
    bare = [(p.name, p.centre) for p in job.pads if all(p.centre.distance(c) > 1.0 for _, c in holes)]
    rows += [Asked("distance", a, b, p.distance(q), told("form.pads", lang)) for (a, p), (b, q) in _pairs(bare)]
    rows += [Asked("distance", a, b, p.distance(q), told("form.diagonal", lang)) for (a, p), (b, q) in _diagonals(job)]
    way = dial_way(job, lang)
    for pad in job.pads:
        rows += [
            Asked("dial", pad.name, str(i), 0.0, told("form.dial", lang, way=way)) for i in range(1, DIAL_PLACES + 1)
        ]
    rows += [
        Asked("feeler", a.name, b.name, 0.0, told("form.feeler", lang))
        for a, b in combinations(job.pads, 2)
        if len(job.pads) <= _ALL_PAIRS
    ]
    return tuple(rows)


def form_csv(job: Job, lang: str = "en") -> str:
    """Return the blank form as CSV with the columns that the reader takes; lengths in the job's display unit."""
    per, digits = (MM_PER_INCH, 4) if job.shown.display == "in" else (1.0, 2)
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in (*datum_asked(job, lang), *bench_asked(job, lang), *asked(job, lang)):
        plan = f"{row.plan_mm / per:.{digits}f}"
        names = (row.kind, safe(row.name), safe(row.to), row.after)
        writer.writerow((*names, plan, "", job.shown.display, safe(str(row.note))))
    return out.getvalue()


def all_asked(job: Job, lang: str = "en") -> tuple[Asked, ...]:
    """Return what to measure on the finished part, then what steers the stitches on the way."""
    return (*asked(job, lang), *bench_asked(job, lang))


def bench_asked(job: Job, lang: str = "en") -> tuple[Asked, ...]:
    """Return the dial readings that steer the stitches: each place before the first tack, and again after the tacks."""
    read = Reader(lang, job.shown.display)
    zero = read(
        say(
            "to re-plan the stitches: dial before the first tack, plus towards the torch; where the brace covers a place leave it "
            "empty"
        )
    )
    again = read(
        say(
            "the same after the tacks; for a later stitch, sleeve or rib copy the line and put its name in column after"
        )
    )
    # a pad alone is read all round, several at every second place
    places = range(1, DIAL_PLACES + 1, 1 if len(job.pads) == 1 else 2)
    return tuple(
        Asked("dial", pad.name, str(i), 0.0, note, stage)
        for stage, note in ((FIT, zero), (TACKS, again))
        for pad in job.pads
        for i in places
    )


def datum_of(job: Job) -> DatumPlan:
    """Return the datum points and distances of the job sheet.

    Raises
    ------
    GeometryError
        When the joint leaves no opening.
    """
    line = opening_line(job).oriented(ccw=True)
    return datum_plan(with_braces(job), line)


def datum_asked(job: Job, lang: str = "en", plan: DatumPlan | None = None) -> tuple[Asked, ...]:
    """Return the datum distances at each stage; with the skin open only those between marks. Empty without an opening.

    ``plan`` are those of the opening's plan; None works them out anew.
    """
    try:
        plan = datum_of(job) if plan is None else plan
    except CutplanError:  # told by the opening's plan
        return ()
    marks = {p.name for p in plan.points if p.kind == "mark"}
    read = Reader(lang, job.shown.display)
    notes = {stage: read(say("datum distance, {stage}", stage=stage_said(stage))) for stage in STAGES}
    return tuple(
        Asked(stage, d.a, d.b, d.planned_mm, notes[stage])
        for stage in STAGES
        for d in plan.lines
        if stage != "open" or {d.a, d.b} <= marks
    )


def planned_gap_mm(job: Job) -> float:
    """Return the gap that the stations should show [mm]: the root opening of a butt, none under a lap."""
    return job.joint.gap_mm if job.joint.kind == "butt" else 0.0


_Named = tuple[str, Point]


def _pairs(points: list[_Named]) -> Iterable[tuple[_Named, _Named]]:
    """All pairs of a few points; of many, each to its neighbour round the middle and to the two farthest apart."""
    if len(points) <= _ALL_PAIRS:
        return combinations(points, 2)
    mx = sum(p.x for _, p in points) / len(points)
    my = sum(p.y for _, p in points) / len(points)
    ring = sorted(points, key=lambda n: (atan2(n[1].y - my, n[1].x - mx), n[0]))
    base = max(combinations(ring, 2), key=lambda ab: ab[0][1].distance(ab[1][1]))
    chosen = [(ring[i - 1], ring[i]) for i in range(len(ring))]
    chosen += [(b, p) for b in base for p in ring if p is not b]
    seen: set[frozenset[str]] = set()
    kept = []
    for a, b in chosen:
        key = frozenset((a[0], b[0]))
        if key not in seen:
            seen.add(key)
            kept.append((a, b))
    return kept


def _diagonals(job: Job) -> list[tuple[_Named, _Named]]:
    """The two diagonals between the corners nearest to those of the bounding box; none without four such corners."""
    named = corners(job)
    if len(named) < 4:
        return []
    box = job.plate.outline.box
    at = [
        min(named, key=lambda n, x=x, y=y: n[1].distance(Point(x, y)))  # type: ignore[misc]
        for x, y in ((box.xmin, box.ymin), (box.xmax, box.ymin), (box.xmax, box.ymax), (box.xmin, box.ymax))
    ]
    return [(at[0], at[2]), (at[1], at[3])] if len({n for n, _ in at}) == 4 else []
