"""Readings taken on the way through the weld plan: gaps still open, heights on the pads, and beads as they were welded."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.errors import JobError
from cutplan.inspection.named_points import DIAL_PLACES, dial_places, gap_stations
from cutplan.inspection.readings import TURNED, Reading
from cutplan.pattern.job import Job
from cutplan.texts import every, say
from cutplan.welding.bench.result import FIT, TACKS, BenchReadings, DialRead, GapRead

#: Kinds that are measured on the finished part only: with one of them the welding is over.
_FINISHED = ("distance", "feeler", "x", "y", "welded")


def finished(rows: Sequence[Reading]) -> list[Reading]:
    """Return the rows that say something of the finished part."""
    return [r for r in rows if not r.after and r.kind != "done"]


def under_way(rows: Sequence[Reading]) -> bool:
    """Return whether readings say that the part is being welded: some were taken on the way, none on the finished part.

    Parameters
    ----------
    rows : sequence of Reading
        All rows of the form.
    """
    given = [r for r in rows if r.measured_mm is not None]
    if any(r.kind in _FINISHED or (r.kind == "dial" and not r.after) for r in given):
        return False
    return any(r.after not in ("", FIT) or r.kind == "gap" for r in given) or any(r.kind == "done" for r in rows)


def bench_readings(job: Job, rows: Sequence[Reading]) -> BenchReadings:
    """Return what was read on the way; gaps without a stage were taken after the tacks, as the form says.

    Parameters
    ----------
    job : Job
        Its stations and pads.
    rows : sequence of Reading
        All rows of the form.

    Raises
    ------
    JobError
        For stations, pads and places that the job does not have, all in one report.
    """
    given = [r for r in rows if r.measured_mm is not None]
    stations = {name: place for name, place, _ in gap_stations(job)}
    pads = {p.name: p for p in job.pads}
    numbers = [str(i) for i in range(1, DIAL_PLACES + 1)]
    wrong = [r.label for r in given if r.kind == "gap" and r.name not in stations]
    wrong += [r.label for r in given if r.kind == "dial" and r.after and (r.name not in pads or r.to not in numbers)]
    if wrong:
        raise JobError(say("readings name what is not on the plan: {which}", which=every(wrong)), "name")
    fit = {(r.kind, r.name, r.to): r.measured_mm for r in given if r.after == FIT}
    gaps = tuple(
        GapRead(r.name, stations[r.name], r.after or TACKS, _mm(r), fit.get((r.kind, r.name, r.to)))
        for r in given
        if r.kind == "gap" and r.after != FIT
    )
    dials = tuple(
        DialRead(
            r.name,
            r.to,
            dial_places(job, pads[r.name])[int(r.to) - 1],
            r.after,
            _mm(r),
            fit.get((r.kind, r.name, r.to)),
        )
        for r in given
        if r.kind == "dial" and r.after not in ("", FIT)
    )
    return BenchReadings(gaps, dials, tuple(b for r in rows if r.kind == "done" for b in _welded(job, r)))


def _welded(job: Job, row: Reading) -> list[tuple[str, bool]]:
    """Beads of one row in turn: one, or several with spaces between, ``<`` behind those against the planned direction."""
    if row.name in {h.name for h in job.plate.holes} | {r.name for r in job.skin.ribs}:
        return [(row.name, row.to == TURNED)]
    return [(w.removesuffix("<"), w.endswith("<") != (row.to == TURNED)) for w in row.name.split()]


def _mm(reading: Reading) -> float:
    return float(reading.measured_mm or 0.0)
