"""As built against plan on the page: what is asked, what was typed, and the verdict; readings lie beside the job."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from cutplan.errors import CutplanError, JobError
from cutplan.inspection.cells import safe
from cutplan.inspection.form import Asked, all_asked, datum_asked
from cutplan.inspection.readings import COLUMNS, Reading, read_readings
from cutplan.pattern.job import Job
from cutplan.project.folder.write import write_file
from cutplan.project.inspect import inspect_job
from cutplan.project.planned.plans import load, plans
from cutplan.report.bench import bench_readings
from cutplan.sheets.welding.later_table import later_said
from cutplan.texts import ENGLISH, Reader, say
from cutplan.units import MM_PER, UnitName
from cutplan.welding.bench.result import BenchPlan

#: Files beside the job file: the readings, and the page of the part as built.
MEASURED, AS_BUILT = "measured.csv", "as-built.pdf"
#: Longest text of one reading.
_LONGEST = 40


def sheet(job_path: Path, read: Reader = ENGLISH) -> dict[str, Any]:
    """Return what is measured on the finished part with its limits, and what was typed so far.

    Raises
    ------
    CutplanError
        When the job cannot be read.
    """
    job, shop = load(job_path)
    results = plans(job, shop, ())
    known: dict[str, Any] = {
        "unit": job.shown.display,
        "readings": bench_readings(results, job.shown.language),
        "values": {},
    }
    known["problem"] = ""
    path = job_path.parent / MEASURED
    if path.is_file():
        try:
            rows = read_readings(path.read_text(encoding="utf-8-sig"), job.shown.display, MEASURED)
        except (CutplanError, OSError, UnicodeDecodeError) as fault:
            known["problem"] = read(fault.message) if isinstance(fault, CutplanError) else str(fault)
            return known
        places = {(a.kind, a.name, a.to, a.after): i for i, a in enumerate(_everything(job))}
        for row in rows:
            place = places.get((row.kind, row.name, row.to, row.after))
            if place is not None and row.measured_mm is not None:
                known["values"][str(place)] = f"{row.measured_mm / MM_PER[job.shown.display]:.4f}".rstrip("0").rstrip(
                    "."
                )
    return known


def _everything(job: Job) -> tuple[Asked, ...]:
    """All that can be measured, in the order of :func:`sheet`: the part, then the datum distances of every stage."""
    return (*all_asked(job, job.shown.language), *datum_asked(job, job.shown.language))


def keep(job_path: Path, values: Mapping[str, Any]) -> dict[str, Any]:
    """Write the readings typed so far beside the job, in the form that ``cutplan inspect`` reads.

    Parameters
    ----------
    job_path : Path
        The job file.
    values : mapping
        Number of each reading, as :func:`sheet` lists them, to what was typed.

    Raises
    ------
    CutplanError
        When the job cannot be read or the file cannot be written.
    """
    job, _ = load(job_path)
    per, digits = (MM_PER["in"], 4) if job.shown.display == "in" else (1.0, 2)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    count, wanted = 0, _everything(job)
    for i, a in enumerate(wanted):
        typed = " ".join(str(values.get(str(i), "")).split())[:_LONGEST]
        count += bool(typed)
        plan = f"{a.plan_mm / per:.{digits}f}"
        writer.writerow((a.kind, safe(a.name), safe(a.to), a.after, plan, typed, job.shown.display, safe(str(a.note))))
    known: set[tuple[str, str, str, str]] = {(a.kind, a.name, a.to, a.after) for a in wanted}
    for r in _others(job_path, job.shown.display, known):
        value = "" if r.measured_mm is None else f"{r.measured_mm / per:.6g}"
        writer.writerow((r.kind, safe(r.name), safe(r.to), safe(r.after), "", value, job.shown.display, safe(r.note)))
    write_file(job_path.parent / MEASURED, out.getvalue().encode())
    return {"kept": count}


def _others(job_path: Path, unit: UnitName, known: set[tuple[str, str, str, str]]) -> list[Reading]:
    """Rows of the file beside the job that the page does not ask for, so that none is lost; a file that cannot be read is
    an error, so that it is not replaced."""
    path = job_path.parent / MEASURED
    if not path.exists():
        return []
    try:
        rows = read_readings(path.read_text(encoding="utf-8-sig"), unit, MEASURED)
    except (OSError, UnicodeDecodeError):
        raise JobError(
            say("the readings beside the job cannot be read, and are not replaced"),
            MEASURED,
            say("mend that file or move it away"),
        ) from None
    return [r for r in rows if (r.kind, r.name, r.to, r.after) not in known]


def take(job_path: Path, data: bytes) -> dict[str, Any]:
    """Put a ``measured.csv`` that was saved at the bench beside the job, when it can be read.

    Raises
    ------
    CutplanError
        With every line that cannot be used; the readings that were there stay then.
    """
    job, _ = load(job_path)
    rows = read_readings(data.decode("utf-8-sig", "replace"), job.shown.display, MEASURED)
    write_file(job_path.parent / MEASURED, data)
    return {"kept": sum(r.measured_mm is not None for r in rows)}


def verdict(job_path: Path, read: Reader = ENGLISH) -> dict[str, Any]:
    """Return the verdict on the finished part, and write its page beside the job.

    Raises
    ------
    CutplanError
        When readings are missing, doubtful beyond use, or name what is not on the plan.
    """
    both = inspect_job(job_path, job_path.parent / MEASURED, None, job_path.parent / AS_BUILT)
    found = both.found
    return {
        "verdict": found.verdict,
        "bench": None if both.bench is None else _bench(both.bench, read),
        "linear": found.linear_class,
        "flatness": found.flatness_class,
        "checked": [{**c.as_dict(), "label": read(c.label)} for c in found.checked],
        "points": [
            {"name": p.name, "plan": [p.plan.x, p.plan.y], "found": [p.found.x, p.found.y], "off_mm": p.deviation_mm}
            for p in found.points
        ],
        "missing": [read(m) for m in found.missing],
        "advice": [read(a) for a in found.advice],
        "findings": [f.as_dict(read) for f in found.findings],
        "mount": None if found.mount is None else found.mount.as_dict(),
    }


def _bench(bench: BenchPlan, read: Reader) -> dict[str, Any]:
    """How to go on with a part that is being welded, said."""
    return {
        **bench.as_dict(),
        "reason": [read(r) for r in bench.reason],
        "later": [read(later_said(w)) for w in bench.later],
        "findings": [f.as_dict(read) for f in bench.findings],
    }
